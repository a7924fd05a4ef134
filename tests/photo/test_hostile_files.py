"""Photos made to harm: each is read in a process of its own, under limits, and either refused clearly or decoded."""

from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest

from tests.fuzz import hostile_photos as hostile
from tests.fuzz.photo_targets import flat_png, picture, saved
from tests.fuzz.running import Came, Reader

DOOR = "photo, decoded"
GROWN_MB = 100
"""What a photo refused for its size may take: less than 39 megapixels, the smallest, take when decoded."""


@pytest.fixture(scope="module")
def reader(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Reader]:
    made = Reader(tmp_path_factory.mktemp("reading"))
    yield made
    made.close()


def fine(came: Came) -> Came:
    assert came.kind in ("refused", "accepted"), came
    return came


def refused(came: Came, words: str) -> None:
    assert came.kind == "refused", came
    assert words in came.words


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "PNG, 16 bits", "TIFF", "HEIF"])
@pytest.mark.parametrize(
    ("size", "words"),
    [(hostile.HUGE, "too large"), ((65_000, 600), "strip"), ((16_320, 12_288), "too large")],
    ids=["65 000 x 65 000", "65 000 x 600", "200 megapixels"],
)
def test_a_header_that_promises_too_much(reader: Reader, kind: str, size: tuple[int, int], words: str) -> None:
    came = reader.read(DOOR, hostile.resized_header(hostile.WHOLE[kind](), size))
    refused(came, words)
    assert came.grown_mb < GROWN_MB


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF", "HEIF"])
def test_a_header_that_promises_what_is_just_allowed_and_is_not_there(reader: Reader, kind: str) -> None:
    fine(reader.read(DOOR, hostile.resized_header(hostile.WHOLE[kind](), (8000, 8000))))


def test_pictures_that_swell(reader: Reader) -> None:
    """A thousand times, ten thousand times as large unpacked; and one drawn over itself 20 000 times."""
    swollen = reader.read(DOOR, flat_png(8900, 8900))
    assert swollen.kind == "accepted"
    assert swollen.grown_mb > GROWN_MB  # so the measure sees it
    refused(reader.read(DOOR, hostile.profile_bomb()), "damaged")
    refused(reader.read(DOOR, hostile.text_bomb()), "damaged")
    refused(reader.read(DOOR, hostile.scans_bomb()), "far more parts")


def test_pictures_built_of_too_many_parts(reader: Reader) -> None:
    for name, data in hostile.built_of_many().items():
        came = reader.read(DOOR, data)
        assert came.kind == "refused", (name, came)
        assert "far more parts" in came.words, (name, came)
        assert came.cpu_s < 1, (name, came)


@pytest.mark.parametrize("kind", ["GIF", "WEBP", "PNG", "TIFF"])
def test_moving_pictures_whatever_they_are_called(reader: Reader, kind: str) -> None:
    refused(reader.read(DOOR, hostile.moving(kind)), "it is a GIF" if kind == "GIF" else "several pictures")


def test_files_that_are_two_things_at_once_are_read_as_photos_only(reader: Reader) -> None:
    for name, data in hostile.two_at_once().items():
        assert reader.read(DOOR, data).kind == "accepted", name
    photo = saved(picture((640, 600)), "JPEG")
    refused(reader.read(DOOR, b"%PDF-1.4\n" + photo), "PDF")
    refused(reader.read(DOOR, b"PK\x03\x04" + photo), "ZIP")


@pytest.mark.parametrize("lie", hostile.LYING_EXIF)
def test_exif_that_lies_is_left_out(reader: Reader, lie: str) -> None:
    for kind in ("JPEG", "PNG", "WEBP", "HEIF"):
        block = hostile.LYING_EXIF[lie]
        if kind == "JPEG":
            data = hostile.with_segments(saved(picture((640, 600)), kind), (0xE1, block))
        else:
            data = saved(picture((640, 600)), kind, exif=block)
        assert reader.read(DOOR, data).kind == "accepted", kind


@pytest.mark.parametrize("name", [name for name, _ in hostile.nonsense_profiles()])
def test_colour_profiles_that_make_no_sense_are_left_out(reader: Reader, name: str) -> None:
    profile = dict(hostile.nonsense_profiles())[name]
    for kind in ("JPEG", "PNG", "TIFF", "WEBP", "HEIF"):
        data = saved(picture((640, 600)), kind, icc_profile=profile)
        assert reader.read(DOOR, data).kind == "accepted", kind


@pytest.mark.parametrize(("said", "coded"), [((640, 600), (3000, 3000)), ((8000, 8000), (640, 600))])
def test_a_heif_file_of_another_size_than_it_says(
    reader: Reader, said: tuple[int, int], coded: tuple[int, int]
) -> None:
    came = reader.read(DOOR, hostile.mismatched_heif(said, coded))
    refused(came, "damaged")
    assert came.grown_mb < GROWN_MB


@pytest.mark.parametrize("kind", hostile.WHOLE)
def test_cut_short_anywhere(reader: Reader, kind: str) -> None:
    data = hostile.WHOLE[kind]()
    random = Random(3)  # noqa: S311
    for at in (*range(64), *(random.randrange(len(data)) for _ in range(64))):
        fine(reader.read(DOOR, data[:at]))


def test_a_process_that_dies_is_told_and_begun_anew(tmp_path: Path) -> None:
    reader = Reader(tmp_path)
    reader._process.kill()
    came = reader.read(DOOR, b"")
    assert (came.kind, came.words) == ("crash", "the process died of -9")
    assert reader.read(DOOR, b"").kind == "refused"
    reader.close()
