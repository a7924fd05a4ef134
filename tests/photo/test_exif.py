"""What EXIF says is believed only where it can be true, and nonsense in it stops nothing."""

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ExifTags, Image

from grader.arrays import ByteArray
from grader.photo import read_photo
from grader.photo.exif import CameraFacts, camera_facts, camera_facts_of_bytes


def _exif(orientation: Any = 1, **details: Any) -> Image.Exif:
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = orientation
    inner = exif.get_ifd(ExifTags.IFD.Exif)
    for name, value in details.items():
        inner[ExifTags.Base[name]] = value
    return exif


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF", "WEBP", "HEIF"])
def test_facts_come_out_of_every_format(scene: ByteArray, make_file: Callable[..., bytes], kind: str) -> None:
    exif = _exif(FocalLengthIn35mmFilm=28, DateTimeOriginal="2026:03:01 11:58:30", OffsetTimeOriginal="-05:00")
    data = make_file(kind, scene, exif=exif.tobytes())
    photo = read_photo(data, name="a")
    assert photo.focal_35mm == 28
    assert photo.taken_at == "2026-03-01T11:58:30-05:00"


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF", "WEBP", "HEIF"])
def test_no_facts_where_there_is_no_exif(scene: ByteArray, make_file: Callable[..., bytes], kind: str) -> None:
    photo = read_photo(make_file(kind, scene), name="a")
    assert photo.focal_35mm is None
    assert photo.taken_at is None


@pytest.mark.parametrize(
    ("details", "taken"),
    [
        ({"DateTimeOriginal": "2026:03:01 11:58:30"}, "2026-03-01T11:58:30"),
        ({"DateTimeOriginal": "2026:03:01 11:58:30\0", "OffsetTimeOriginal": "Z"}, "2026-03-01T11:58:30+00:00"),
        ({"DateTimeOriginal": "2026:03:01 11:58:30", "OffsetTimeOriginal": "near noon"}, "2026-03-01T11:58:30"),
        ({"DateTimeOriginal": "0000:00:00 00:00:00"}, None),
        ({"DateTimeOriginal": "2026:02:30 11:58:30"}, None),
        ({"DateTimeOriginal": "yesterday"}, None),
        ({"DateTimeOriginal": b"\xff\xfe"}, None),
        ({"OffsetTimeOriginal": "+01:00"}, None),
    ],
)
def test_time_taken(details: dict[str, Any], taken: str | None) -> None:
    assert camera_facts(_exif(**details)).taken_at == taken


@pytest.mark.parametrize(
    ("value", "focal"), [(26, 26.0), (0, None), (65535, None), (-3, None), ("wide", None), ((26, 27), None)]
)
def test_focal_length(value: Any, focal: float | None) -> None:
    assert camera_facts(_exif(FocalLengthIn35mmFilm=value)).focal_35mm == focal


@pytest.mark.parametrize(("value", "orientation"), [(6, 6), (0, 1), (9, 1), ("up", 1), (None, 1), ((6, 6), 1)])
def test_orientation(value: Any, orientation: int) -> None:
    assert camera_facts(_exif(orientation=value)).orientation == orientation


def test_a_broken_table_means_no_facts(scene: ByteArray, make_file: Callable[..., bytes]) -> None:
    good = _exif(FocalLengthIn35mmFilm=28).tobytes()
    for exif in (good[:20], b"Exif\0\0MM\0*\xff\xff\xff\xff", b"Exif\0\0nonsense"):
        photo = read_photo(make_file("JPEG", scene, exif=exif), name="a")
        assert photo.taken_at is None


def test_a_table_that_pillow_trips_over_means_no_facts() -> None:
    class Broken(Image.Exif):
        def get_ifd(self, tag: int) -> dict[int, Any]:
            raise SyntaxError(tag)

    assert camera_facts(Broken()) == CameraFacts()


@given(st.binary(max_size=200))
def test_no_bytes_make_it_fail(data: bytes) -> None:
    for start in (b"", b"Exif\0\0", b"Exif\0\0II*\0\x08\0\0\0", b"MM\0*\0\0\0\x08"):
        assert isinstance(camera_facts_of_bytes(start + data), CameraFacts)
