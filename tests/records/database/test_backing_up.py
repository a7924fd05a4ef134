import json
import threading
import time
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import func, select

from grader.records.database import House, RecordsRefused, open_house
from grader.records.database.backing_up import LIST, back_up, restore
from grader.records.database.doctor import examine
from grader.records.database.house import FILE
from grader.records.database.photos import PhotoFolder
from grader.records.database.plate_tables import Fry, Grading, Photo
from grader.records.database.tables import METADATA
from tests.records.database.conftest import FRIES, keep


def rows(house: House) -> dict[str, list[str]]:
    """All rows of all tables."""
    with house.reading() as connection:
        tables = METADATA.sorted_tables
        return {table.name: sorted(repr(row) for row in connection.execute(select(table))) for table in tables}


def test_a_restored_copy_holds_the_same(files: House, tmp_path: Path) -> None:
    for number in range(5):
        keep(files, number)
    made = back_up(files, tmp_path / "copy")
    assert (made.plates, made.photos, made.missing) == (5, 5, ())
    assert restore(tmp_path / "copy", tmp_path / "new") == made
    with closing(open_house(f"sqlite:///{tmp_path / 'new' / FILE}")) as restored:
        assert rows(restored) == rows(files)
        assert list(restored.photos.names()) == list(files.photos.names())
        assert not list(examine(restored, mend=False))


def test_a_copy_made_while_somebody_writes_is_of_one_moment(files: House, tmp_path: Path) -> None:
    keep(files, 0)
    stop, written = threading.Event(), 1

    def write() -> None:
        nonlocal written
        while not stop.is_set():
            keep(files, written)
            written += 1

    writer = threading.Thread(target=write)
    writer.start()
    try:
        made = []
        for turn in range(3):
            before = written
            while written == before and writer.is_alive():
                time.sleep(0.001)
            made.append(back_up(files, tmp_path / f"copy {turn}"))
    finally:
        stop.set()
        writer.join()
    assert made[0].plates < made[1].plates < made[2].plates <= written
    for turn, one in enumerate(made):
        restore(tmp_path / f"copy {turn}", tmp_path / f"new {turn}")
        with closing(open_house(f"sqlite:///{tmp_path / f'new {turn}' / FILE}")) as restored:
            assert not list(examine(restored, mend=False))
            with restored.reading() as connection:
                assert connection.scalar(select(func.count()).select_from(Grading)) == one.plates
                assert connection.scalar(select(func.count()).select_from(Fry)) == one.plates * FRIES
                assert connection.scalar(select(func.count()).select_from(Photo)) == one.photos


def test_a_copy_goes_into_an_empty_folder_and_is_restored_where_no_records_are(files: House, tmp_path: Path) -> None:
    keep(files)
    back_up(files, tmp_path / "copy")
    with pytest.raises(RecordsRefused, match="isn't empty"):
        back_up(files, tmp_path / "copy")
    restore(tmp_path / "copy", tmp_path / "new")
    with pytest.raises(RecordsRefused, match="There are records"):
        restore(tmp_path / "copy", tmp_path / "new")


@pytest.mark.parametrize("spoilt", ["list", "database", "photo", "photo gone"])
def test_a_spoilt_copy_is_refused_and_makes_no_records(files: House, tmp_path: Path, spoilt: str) -> None:
    keep(files)
    copy = tmp_path / "copy"
    back_up(files, copy)
    photo = next(path for path in (copy / "photos").rglob("*") if path.is_file())
    match spoilt:
        case "list":
            (copy / LIST).unlink()
        case "database":
            (copy / FILE).write_bytes((copy / FILE).read_bytes()[:-1] + b"\1")
        case "photo":
            photo.write_bytes(b"another photo")
        case "photo gone":
            photo.unlink()
    with pytest.raises(RecordsRefused, match=r"backed up|no whole backup"):
        restore(copy, tmp_path / "new")
    assert not (tmp_path / "new" / FILE).exists()


def test_a_photo_that_is_missing_is_named_and_does_not_stop_the_copy(files: House, tmp_path: Path) -> None:
    keep(files, 1)
    keep(files, 2)
    lost = next(files.photos.names())
    files.photos.drop(lost)
    made = back_up(files, tmp_path / "copy")
    assert made.missing == (lost,)
    assert json.loads((tmp_path / "copy" / LIST).read_text())["missing"] == [lost]
    restore(tmp_path / "copy", tmp_path / "new")
    with closing(open_house(f"sqlite:///{tmp_path / 'new' / FILE}")) as restored:
        assert [finding.about for finding in examine(restored, mend=False)] == ["photos"]


def test_a_photo_that_is_damaged_is_named_and_the_copy_can_be_restored(files: House, tmp_path: Path) -> None:
    """Copied as it is, it would make the whole copy one that is refused when it is needed."""
    keep(files, 1)
    keep(files, 2)
    assert isinstance(files.photos, PhotoFolder)
    damaged = next(files.photos.names())
    path = files.photos.folder / damaged[:2] / damaged
    path.write_bytes(bytes(path.stat().st_size))
    made = back_up(files, tmp_path / "copy")
    assert (made.photos, made.missing) == (1, (damaged,))
    restore(tmp_path / "copy", tmp_path / "new")
    with closing(open_house(f"sqlite:///{tmp_path / 'new' / FILE}")) as restored:
        assert [finding.about for finding in examine(restored, mend=False)] == ["photos"]


def test_a_log_of_other_records_is_not_played_into_restored_ones(files: House, tmp_path: Path) -> None:
    """Records are moved away, their log stays: SQLite would read it as that of whatever has the name next."""
    keep(files)
    back_up(files, tmp_path / "copy")
    (tmp_path / "new").mkdir()
    for ending in ("-wal", "-shm", "-journal"):
        left = tmp_path / "new" / f"{FILE}{ending}"
        left.write_bytes(b"of other records")
        with pytest.raises(RecordsRefused, match=ending):
            restore(tmp_path / "copy", tmp_path / "new")
        left.unlink()
    restore(tmp_path / "copy", tmp_path / "new")


@pytest.mark.parametrize("kind", ["postgresql"], indirect=True)
def test_for_postgresql_its_own_way_is_named(house: House, tmp_path: Path) -> None:
    with pytest.raises(RecordsRefused, match="pg_dump") as refused:
        back_up(house, tmp_path / "copy")
    assert house.photos.place in str(refused.value)
