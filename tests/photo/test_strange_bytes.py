"""Law: whatever bytes come in, either a photograph comes out or `PhotoUnreadable`; no decoder's error comes through."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from grader.arrays import ByteArray
from grader.errors import PhotoUnreadable
from grader.photo import Photo, read_photo

STARTS = [
    b"",
    b"\xff\xd8\xff\xe0",
    b"\xff\xd8\xff\xc0",
    b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR",
    b"II*\0\x08\0\0\0",
    b"MM\0*\0\0\0\x08",
    b"RIFF\xff\xff\0\0WEBPVP8 ",
    b"RIFF\xff\xff\0\0WEBPVP8X",
    b"\0\0\0\x18ftypheic\0\0\0\0mif1heic",
]
CODES = {"empty", "not_an_image", "truncated", "animated", "too_small", "too_large"}


def _survives(data: bytes) -> None:
    try:
        photo = read_photo(data, name="strange")
    except PhotoUnreadable as error:
        assert error.code in CODES  # noqa: PT017  either outcome is right; this one must have a code
    else:
        assert isinstance(photo, Photo)
        assert photo.pixels.ndim == 3
        assert photo.pixels.shape[2] == 3


@given(start=st.sampled_from(STARTS), rest=st.binary(max_size=400))
def test_any_bytes(start: bytes, rest: bytes) -> None:
    _survives(start + rest)


@pytest.fixture(scope="module")
def files(scene: ByteArray, make_file: Callable[..., bytes], make_deep_png: Callable[..., bytes]) -> dict[str, bytes]:
    """A valid file of each kind, with a profile and EXIF inside where the format takes them."""
    exif = b"Exif\0\0MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\0\0\0\0"
    options: dict[str, Any] = {"exif": exif}
    kinds = {kind: make_file(kind, scene, **options) for kind in ("JPEG", "PNG", "WEBP", "HEIF")}
    kinds["TIFF"] = make_file("TIFF", scene, compression="tiff_deflate")
    kinds["progressive JPEG"] = make_file("JPEG", scene, progressive=True, **options)
    kinds["deep PNG"] = make_deep_png(scene.astype(np.uint16) * np.uint16(257), exif=exif)
    return kinds


KINDS = ["JPEG", "progressive JPEG", "PNG", "deep PNG", "TIFF", "WEBP", "HEIF"]
_few = settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.mark.parametrize("kind", KINDS)
@_few
@given(share=st.floats(0, 1))
def test_any_part_of_a_file(files: dict[str, bytes], kind: str, share: float) -> None:
    data = files[kind]
    _survives(data[: int(share * len(data))])


@pytest.mark.parametrize("kind", KINDS)
@_few
@given(places=st.lists(st.tuples(st.floats(0, 1, exclude_max=True), st.integers(0, 7)), min_size=1, max_size=6))
def test_flipped_bits(files: dict[str, bytes], kind: str, places: list[tuple[float, int]]) -> None:
    data = bytearray(files[kind])
    for share, bit in places:
        data[int(share * len(data))] ^= 1 << bit
    _survives(bytes(data))


@pytest.mark.parametrize("kind", KINDS)
@_few
@given(place=st.integers(0, 400), value=st.integers(0, 255))
def test_a_changed_byte_in_the_header(files: dict[str, bytes], kind: str, place: int, value: int) -> None:
    data = bytearray(files[kind])
    data[place] = value
    _survives(bytes(data))
