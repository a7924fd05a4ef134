"""From a picture's own colours to sRGB, whatever profile it carries."""

import io

import numpy as np
from PIL import Image, ImageCms

from grader.arrays import PixelArray
from grader.photo.icc import Profile, read_profile
from grader.photo.rgb_space import convert_to_srgb

UNTAGGED = "sRGB (untagged)"
UNREADABLE = "sRGB (the file's own profile is unusable)"


def apply_profile(pixels: PixelArray, icc: bytes | None) -> tuple[PixelArray, str]:
    """Pixels in sRGB, and the name of the space that they came in.

    A profile of primaries and tone curves is applied at the pixels' own depth. One made of tables is applied by
    littlecms at 8 bits: then 16-bit pixels come back as 8-bit ones. Relative colorimetric: what is white in the file
    is white in sRGB. A profile that is damaged, or of another colour model than the picture, is left out.

    Parameters
    ----------
    pixels
        (h, w, 3) uint8 or uint16.
    icc
        The profile's bytes, None where the file carries none.
    """
    if not icc:
        return pixels, UNTAGGED
    profile = _usable(icc, "RGB", "GRAY")
    if profile is None:
        return pixels, UNREADABLE
    if profile.space is not None:
        if profile.colour_model == "GRAY" and not _is_grey(pixels):
            return pixels, UNREADABLE
        return convert_to_srgb(pixels, profile.space), profile.name
    eight = pixels if pixels.dtype == np.uint8 else np.rint(pixels / 257.0).astype(np.uint8)
    converted = _by_littlecms(Image.fromarray(eight), icc)
    return (pixels, UNREADABLE) if converted is None else (np.asarray(converted), profile.name)


def cmyk_to_rgb(image: Image.Image, icc: bytes | None) -> tuple[Image.Image, str]:
    """A CMYK picture as 8-bit sRGB by its profile; where it has no usable one, by the plain complement of its inks."""
    profile = _usable(icc, "CMYK") if icc else None
    converted = _by_littlecms(image, icc) if icc and profile else None
    if converted is None or profile is None:
        return image.convert("RGB"), UNREADABLE if icc else "CMYK (untagged)"
    return converted, profile.name


def _usable(icc: bytes, *models: str) -> Profile | None:
    try:
        profile = read_profile(icc)
    except ValueError:
        return None
    return profile if profile.colour_model in models else None


def _is_grey(pixels: PixelArray) -> bool:
    return all(np.array_equal(pixels[..., 0], pixels[..., channel]) for channel in (1, 2))


def _by_littlecms(image: Image.Image, icc: bytes) -> Image.Image | None:
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(icc))
        return ImageCms.profileToProfile(
            image,
            source,
            ImageCms.createProfile("sRGB"),
            renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
            outputMode="RGB",
        )
    except (ImageCms.PyCMSError, OSError):
        return None
