"""From the bytes of a file to a photograph: the one door through which a stranger's bytes come in."""

import hashlib
import warnings

from PIL import Image

from grader.arrays import frozen
from grader.errors import PhotoUnreadable
from grader.photo.heif_files import read_heif
from grader.photo.kind import Kind, kind_of
from grader.photo.model import Photo
from grader.photo.pillow_files import read_with_pillow
from grader.photo.raster import Raster
from grader.photo.refusals import MAX_BYTES, refusal
from grader.photo.upright import upright


def read_photo(data: bytes, *, name: str, least_side_px: int | None = None) -> Photo:
    """Decode a photograph: upright, in sRGB, with what its file says of the camera.

    Colours beyond sRGB (a phone's Display P3 holds some) are clipped to it.

    Parameters
    ----------
    data
        The whole file. What it is, is told by its own bytes.
    name
        What to call it; shown to people, nothing else.
    least_side_px
        How small its shorter side may be; as much as a plate needs where not given.

    Raises
    ------
    PhotoUnreadable
        With the code `empty`, `not_an_image`, `truncated`, `animated`, `too_small` or `too_large`. No decoder's own
        error comes through.
    """
    if len(data) > MAX_BYTES:
        raise refusal("too_large", f"{len(data) / 1_000_000:.0f} MB")
    kind = kind_of(data)
    raster = _decoded(data, kind, least_side_px)
    return Photo(
        name=name,
        sha256=hashlib.sha256(data).hexdigest(),
        pixels=frozen(upright(raster.pixels, raster.facts.orientation)),
        file_format=kind,
        source_profile=raster.source_profile,
        focal_35mm=raster.facts.focal_35mm,
        taken_at=raster.facts.taken_at,
        flash_fired=raster.facts.flash_fired,
    )


def _decoded(data: bytes, kind: Kind, least_side_px: int | None) -> Raster:
    try:
        with warnings.catch_warnings():
            # Decoders warn of oddities in a file; the person who sent it can do nothing about those.
            warnings.simplefilter("ignore")
            if kind == "HEIF":
                return read_heif(data, least_side_px)
            return read_with_pillow(data, kind, least_side_px)
    except PhotoUnreadable:
        raise
    except (MemoryError, Image.DecompressionBombError) as error:
        raise refusal("too_large") from error
    except Exception as error:
        # A stranger's bytes make decoders fail in more ways than they document. These began as a picture and broke off.
        raise refusal("truncated") from error
