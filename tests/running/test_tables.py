"""A run as Parquet: whole files, the same however it went, nothing left of a run before."""

from pathlib import Path

import pytest
from pyarrow import parquet

from grader.records.summary import BatchEntry, PhotoEntry, fries_of_photo
from grader.running import tables as room
from grader.running.tables import RunTables
from tests.records import made_up

STANDARD = made_up.standard()


def batch(name: str, count: int) -> BatchEntry:
    graded = [made_up.graded(f"{name}{number}.jpg") for number in range(count)] + [made_up.refused(f"{name}-no.jpg")]
    photos = tuple(PhotoEntry(stem=one.name, source=f"in/{one.name}", graded=one) for one in graded)
    return BatchEntry(name=name, photos=photos, verdict=made_up.verdict())


def write(folder: Path, *batches: BatchEntry) -> None:
    with RunTables(folder, standard=STANDARD) as tables:
        for one in batches:
            tables.add(one)
        tables.finish()


@pytest.fixture(autouse=True)
def small_files(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room, "PLATES_A_FILE", 4)


def test_every_plate_and_every_fry_is_there_once(tmp_path: Path) -> None:
    batches = [batch("lunch", 3), batch("dinner", 5)]
    write(tmp_path, *batches)
    assert sorted(path.name for path in (tmp_path / "plates").iterdir()) == [f"part-0000{n}.parquet" for n in range(3)]
    plates = parquet.read_table(tmp_path / "plates").to_pylist()
    wanted = [(one.name, photo.graded.name) for one in batches for photo in one.photos]
    assert [(row["batch"], row["photo"]) for row in plates] == wanted
    assert {row["outcome"] for row in plates if "no" in row["photo"]} == {"refused"}
    fries = parquet.read_table(tmp_path / "fries").to_pylist()
    told = [
        row for one in batches for photo in one.photos for row in fries_of_photo(one.name, photo.graded, STANDARD.scale)
    ]
    assert [tuple(row.values())[1:] for row in fries] == told
    assert {row["sha256"] for row in fries} == {made_up.graded().sha256}


def test_the_same_run_gives_the_same_files_and_nothing_of_a_longer_one_stays(tmp_path: Path) -> None:
    write(tmp_path, batch("lunch", 3), batch("dinner", 9))
    write(tmp_path, batch("lunch", 3))
    write(tmp_path / "afresh", batch("lunch", 3))
    for name in ("plates", "fries"):
        again, afresh = ((folder / name).rglob("*") for folder in (tmp_path, tmp_path / "afresh"))
        assert {one.name: one.read_bytes() for one in again} == {one.name: one.read_bytes() for one in afresh}


def test_a_file_is_whole_or_not_there(tmp_path: Path) -> None:
    with RunTables(tmp_path, standard=STANDARD) as tables:
        tables.add(batch("lunch", 5))
        here = [path.name for path in (tmp_path / "plates").iterdir() if not path.name.startswith(".")]
        assert here == ["part-00000.parquet"]
    assert [path.name for path in (tmp_path / "plates").iterdir()] == ["part-00000.parquet"]
