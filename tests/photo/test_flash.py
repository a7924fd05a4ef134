"""A flash that fired is read from the file and told, with what to do instead."""

from collections.abc import Callable
from typing import Any

import pytest
from PIL import ExifTags, Image

from grader.arrays import ByteArray
from grader.photo import find_flash, read_photo
from grader.photo.exif import camera_facts


def _exif(flash: Any) -> Image.Exif:
    exif = Image.Exif()
    exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.Flash] = flash
    return exif


# Exif 3.0, tag Flash: bit 0 fired; bits 1 and 2 what came back of it; bits 3 and 4 the mode; bit 5 no flash at all;
# bit 6 red eyes.
@pytest.mark.parametrize(
    ("value", "fired"),
    [
        (0x00, False),
        (0x01, True),
        (0x05, True),
        (0x0F, True),
        (0x10, False),
        (0x18, False),
        (0x19, True),
        (0x20, False),
        (0x5F, True),
        (0x21, False),
        (0xFFFF, False),
        (-1, False),
        ("on", False),
        ((1, 1), False),
        (None, False),
    ],
)
def test_what_the_tag_says(value: Any, fired: bool) -> None:
    assert camera_facts(_exif(value)).flash_fired is fired


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF", "WEBP", "HEIF"])
def test_it_is_told_in_every_format(scene: ByteArray, make_file: Callable[..., bytes], kind: str) -> None:
    photo = read_photo(make_file(kind, scene, exif=_exif(0x19).tobytes()), name="a")
    told = find_flash(photo)
    assert told is not None
    assert told.code == "flash"
    assert "flash off" in told.hint
    assert not told.refuses


def test_without_flash_nothing_is_told(scene: ByteArray, make_file: Callable[..., bytes]) -> None:
    assert find_flash(read_photo(make_file("JPEG", scene, exif=_exif(0x10).tobytes()), name="a")) is None
    assert find_flash(read_photo(make_file("JPEG", scene), name="a")) is None
