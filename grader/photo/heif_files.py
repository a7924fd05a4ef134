"""HEIC and HEIF, as phones write them, by libheif."""

import io

import numpy as np
import pillow_heif

from grader.arrays import PixelArray
from grader.photo.cicp import space_of_code_points
from grader.photo.exif import camera_facts_of_bytes
from grader.photo.profile import apply_profile
from grader.photo.raster import Raster, colour_and_alpha, over_white
from grader.photo.refusals import check_size
from grader.photo.rgb_space import convert_to_srgb


def read_heif(data: bytes, least_side_px: int | None = None) -> Raster:
    """Decode the primary picture of a HEIF file; its depth and small pictures are left alone.

    libheif turns the picture upright by the file's own `irot` and `imir`, which by ISO/IEC 23008-12 outrank EXIF: the
    raster's orientation is always 1.

    Raises
    ------
    PhotoUnreadable
        By the header: `too_small`, `too_large`, `not_an_image`. Whatever libheif raises on damaged bytes is left to
        the caller.
    """
    file = pillow_heif.open_heif(io.BytesIO(data), convert_hdr_to_8bit=False)
    width_px, height_px = file.size
    check_size(width_px, height_px, least_side_px)
    facts = camera_facts_of_bytes(file.info.get("exif"))
    space = None if file.info.get("icc_profile") else space_of_code_points(file.info.get("nclx_profile"))
    pixels, alpha = colour_and_alpha(_full_range(np.asarray(file), file.info.get("bit_depth", 8)))
    if space is not None:
        pixels, profile = convert_to_srgb(pixels, space), space.name
    else:
        pixels, profile = apply_profile(pixels, file.info.get("icc_profile"))
    return Raster(pixels=over_white(pixels, alpha), source_profile=profile, facts=facts.with_orientation(1))


def _full_range(pixels: PixelArray, bit_depth: int) -> PixelArray:
    """10 or 12 bits come in the upper bits of 16, so that white is 65472: fill the lower ones so that it is 65535."""
    if pixels.dtype != np.uint16 or bit_depth >= 16:
        return pixels
    return pixels | (pixels >> np.uint16(bit_depth))
