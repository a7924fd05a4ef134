"""Every picture comes out upright, once, whoever turns it: this program, Pillow, OpenCV or libheif."""

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tifffile
from PIL import ExifTags, Image, ImageOps

from grader.arrays import ByteArray
from grader.photo import read_photo
from grader.photo.upright import upright

# Mean levels. The pictures were turned first and compressed then, and a digit in each says which one it is; turned
# wrongly, they differ by 60 and more.
JPEG_LOSS = 5.0
# HEIF stores luma and chroma even where it compresses without loss.
LOSS_OF_LUMA_AND_CHROMA = 2

_STORED_BY = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}


def _as_stored(pixels: Any, orientation: int) -> Any:
    """How a camera held that way stores the upright `pixels`."""
    if orientation == 1:
        return pixels
    return np.asarray(Image.fromarray(pixels).transpose(_STORED_BY[orientation]))


def _exif(orientation: int) -> Image.Exif:
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = orientation
    return exif


@pytest.mark.parametrize(("scene_name", "orientations"), [("Portrait", tuple(range(1, 9))), ("Landscape", (1, 6, 8))])
def test_real_files_are_upright(real: Path, scene_name: str, orientations: tuple[int, ...]) -> None:
    photos = {
        n: read_photo((real / "orientation" / f"{scene_name}_{n}.jpg").read_bytes(), name=str(n)) for n in orientations
    }
    reference = photos[1].pixels.astype(np.int16)
    for photo in photos.values():
        assert photo.size_px == photos[1].size_px
        assert np.abs(photo.pixels - reference).mean() < JPEG_LOSS


def test_real_files_agree_with_pillow(real: Path) -> None:
    for path in sorted((real / "orientation").glob("*.jpg")):
        with Image.open(path) as image:
            np.testing.assert_array_equal(
                read_photo(path.read_bytes(), name=path.name).pixels, np.asarray(ImageOps.exif_transpose(image))
            )


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("kind", ["PNG", "WEBP", "TIFF", "HEIF"])
def test_every_format_is_upright(
    scene: ByteArray, make_file: Callable[..., bytes], kind: str, orientation: int
) -> None:
    options: dict[str, Any] = {"lossless": True} if kind == "WEBP" else {}
    if kind == "HEIF":
        options = {"quality": -1}
    exif = _exif(orientation)
    stored = _as_stored(scene, orientation)
    data = make_file(kind, stored, exif=exif.tobytes() if kind == "HEIF" else exif, **options)
    photo = read_photo(data, name="turned")
    assert np.abs(photo.pixels.astype(int) - scene).max() <= LOSS_OF_LUMA_AND_CHROMA


@pytest.mark.parametrize("orientation", range(1, 9))
def test_deep_pictures_are_upright(scene: ByteArray, make_deep_png: Callable[..., bytes], orientation: int) -> None:
    deep = scene.astype(np.uint16) * np.uint16(256) + np.uint16(17)
    stored = _as_stored(scene, orientation).astype(np.uint16) * np.uint16(256) + np.uint16(17)
    png = make_deep_png(stored, exif=_exif(orientation).tobytes())
    np.testing.assert_array_equal(read_photo(png, name="deep.png").pixels, deep)
    stream = io.BytesIO()
    tifffile.imwrite(stream, stored, photometric="rgb", extratags=[(274, "H", 1, orientation, True)])
    np.testing.assert_array_equal(read_photo(stream.getvalue(), name="deep.tif").pixels, deep)


def test_orientations_beyond_eight_are_upright(scene: ByteArray) -> None:
    np.testing.assert_array_equal(upright(scene, 0), scene)
