import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from grader.cli.photos import NothingToGradeError, gather

Make = Callable[..., Path]


def test_a_folder_is_a_batch_and_each_folder_inside_it_too(folder: Make, tmp_path: Path) -> None:
    top = folder(
        "2.jpg", "1.JPG", "lunch/a.heic", "lunch/truth/a.mask.png", "dinner/b.png", ".git/c.jpg", "notes/d.txt"
    )
    batches, left_out = gather([top], out=tmp_path / "out")
    assert [(batch.name, [photo.name for photo in batch.photos]) for batch in batches] == [
        ("plates", ["1.JPG", "2.jpg"]),
        ("dinner", ["b.png"]),
        ("lunch", ["a.heic"]),
    ]
    assert left_out == ()


def test_masks_labels_and_graded_pictures_are_no_photos(folder: Make, tmp_path: Path) -> None:
    top = folder("a.jpg", "a.json", "a.mask.png", "a.labels.png", "a.graded.jpg", ".b.jpg")
    batches, _ = gather([top], out=tmp_path)
    assert [photo.name for photo in batches[0].photos] == ["a.jpg"]


def test_a_folder_that_is_a_link_is_not_followed_but_named(folder: Make, tmp_path: Path) -> None:
    top, elsewhere = folder("day1/a.jpg"), tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "b.jpg").write_bytes(b"")
    (top / "linked").symlink_to(elsewhere, target_is_directory=True)
    batches, left_out = gather([top], out=tmp_path / "out")
    assert [photo.name for batch in batches for photo in batch.photos] == ["a.jpg"]
    assert left_out == (top / "linked",)


def test_photos_named_one_by_one_are_one_batch_and_each_is_graded_once(folder: Make, tmp_path: Path) -> None:
    top = folder("a.jpg", "b.jpg", "a.json", "a.mask.png", "phone")
    named = [top / name for name in ("b.jpg", "a.jpg", "a.json", "a.mask.png", "phone", "b.jpg")]
    batches, left_out = gather(named, out=tmp_path)
    assert [photo.name for photo in batches[0].photos] == ["b.jpg", "a.jpg", "phone"]
    assert [path.name for path in left_out] == ["a.json", "a.mask.png"]


def test_earlier_results_inside_the_folder_are_left_alone(folder: Make) -> None:
    top = folder("a.jpg", "graded/a.png")
    batches, _ = gather([top], out=top / "graded")
    assert [batch.name for batch in batches] == ["plates"]


@pytest.mark.parametrize("names", [(), ("a.txt",), ("a.mask.png",)])
def test_no_photo_is_a_fault_that_names_the_endings(folder: Make, tmp_path: Path, names: tuple[str, ...]) -> None:
    (tmp_path / "plates").mkdir()
    with pytest.raises(NothingToGradeError, match=r"\.heic"):
        gather([folder(*names)], out=tmp_path / "out")


def test_what_is_not_there_is_named(folder: Make, tmp_path: Path) -> None:
    with pytest.raises(NothingToGradeError, match="nowhere"):
        gather([folder("a.jpg"), tmp_path / "nowhere"], out=tmp_path)


def test_results_never_land_among_the_photos(folder: Make) -> None:
    top = folder("a.jpg", "b/c.jpg")
    with pytest.raises(NothingToGradeError, match="among the photos"):
        gather([top / "a.jpg"], out=top)
    with pytest.raises(NothingToGradeError, match="among the photos"):
        gather([top / "b"], out=top / "x" / ".." / "b")


def test_results_need_a_folder(folder: Make, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(NothingToGradeError, match="is a file, not a folder"):
        gather([folder("a.jpg")], out=tmp_path / "file")


@pytest.mark.skipif(sys.platform != "linux", reason="other systems make no such names")
@pytest.mark.parametrize("name", ["gr\udcf6sse.jpg", "k\udcfcche/a.jpg"])
def test_names_that_are_no_text_are_told_before_anything_is_graded(folder: Make, tmp_path: Path, name: str) -> None:
    """As Latin-1 writes them: results are kept under these names, and could not be written."""
    top = folder("a.jpg")
    (top / name).parent.mkdir(exist_ok=True)
    (top / name).touch()
    with pytest.raises(NothingToGradeError, match=r"no text .*(gr\?sse\.jpg|k\?che)\.") as told:
        gather([top], out=tmp_path / "out")
    assert "Rename" in told.value.hint
