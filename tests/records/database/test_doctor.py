import os
import time
from pathlib import Path

import pytest
from sqlalchemy import text

from grader.records.database import House, RecordsUnusable
from grader.records.database.doctor import examine
from grader.records.database.engines import WRITES
from grader.records.database.guards import drop_guards
from grader.records.database.photos import PhotoFolder
from tests.bars.records import photo_bytes
from tests.records.database.conftest import keep

PAGE = 4096
"""Bytes that SQLite writes at a time."""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The photo store of `house`."""
    return tmp_path / "photos"


def stored(folder: Path) -> Path:
    return next(path for path in sorted(folder.rglob("*")) if path.is_file())


def found(house: House, *, mend: bool = False, photos_from: Path | None = None) -> list[tuple[str, bool]]:
    findings = list(examine(house, mend=mend, photos_from=photos_from))
    assert all(finding.mended or finding.remedy for finding in findings)
    return [(finding.about, finding.mended) for finding in findings]


def spoil(house: House, statement: str) -> None:
    """Change a row behind the guards' back."""
    with house.engine.execution_options(**{WRITES: True}).begin() as connection:
        if connection.dialect.name == "sqlite":
            connection.exec_driver_sql("PRAGMA defer_foreign_keys = ON")
        drop_guards(connection)
        connection.execute(text(statement))


def test_sound_records_are_found_sound(house: House) -> None:
    assert found(house) == []
    keep(house, 1)
    keep(house, 2)
    assert found(house) == []


@pytest.mark.parametrize("damage", ["gone", "cut short", "of the same length"])
def test_a_lost_or_damaged_photo_is_mended_from_where_the_original_lies(
    house: House, folder: Path, tmp_path: Path, damage: str
) -> None:
    keep(house, 1)
    path = stored(folder)
    match damage:
        case "gone":
            path.unlink()
        case "cut short":
            path.write_bytes(path.read_bytes()[:100])
        case _:
            path.write_bytes(bytes(len(path.read_bytes())))
    assert found(house) == [("photos", False)]
    assert found(house, mend=True) == [("photos", False)], "there is nothing to mend it from"
    originals = tmp_path / "camera"
    (originals / "march").mkdir(parents=True)
    (originals / "march" / "another name.jpg").write_bytes(photo_bytes(1, 5000))
    assert found(house, mend=True, photos_from=originals) == [("photos", True)]
    assert found(house) == []


def test_what_an_import_left_when_it_was_cut_short_is_told(house: House, folder: Path) -> None:
    keep(house, 1)
    house.photos.put("ab" * 32, b"never named by a row")
    half = stored(folder).parent / ".half.part"
    half.write_bytes(b"half a photo")
    assert found(house) == [("photos", False)], "a writer at work has such a file too"
    hours_ago = time.time() - 7200
    os.utime(half, (hours_ago, hours_ago))
    assert found(house, mend=True) == [("photos", False), ("photos", True)]
    assert isinstance(house.photos, PhotoFolder)
    assert not half.exists()


@pytest.mark.parametrize(
    ("statement", "about"),
    [
        ("DELETE FROM fry WHERE number = 3", "rows"),
        ("DELETE FROM grading_record", "rows"),
        ("UPDATE house_standard SET text = replace(text, '9.5', '9.6')", "rows"),
        ("UPDATE house_standard SET text = 'no standard at all'", "rows"),
    ],
)
def test_rows_that_do_not_belong_together_are_told(house: House, statement: str, about: str) -> None:
    keep(house, 1)
    spoil(house, statement)
    assert (about, False) in found(house)
    assert (about, False) in found(house, mend=True), "it can't be mended without guessing"


def test_guards_that_were_taken_away_are_set_again(house: House) -> None:
    keep(house, 1)
    spoil(house, "SELECT 1")
    assert found(house) == [("database", False)]
    assert found(house, mend=True) == [("database", True)]
    assert found(house) == []


def test_tables_that_are_not_this_editions_are_told(house: House) -> None:
    spoil(house, "ALTER TABLE person ADD COLUMN telephone VARCHAR")
    assert ("database", False) in found(house)


def test_a_file_that_was_damaged_while_it_was_open_is_told_to_who_writes(files: House) -> None:
    keep(files)
    assert files.file is not None
    files.close()
    files.file.write_bytes(b"no database" * PAGE)
    with pytest.raises(RecordsUnusable, match="can't be used"):
        keep(files, 2)


@pytest.mark.parametrize("where", [0.1, 0.5, 0.9])
def test_a_damaged_file_is_told(files: House, where: float) -> None:
    for number in range(3):
        keep(files, number)
    files.close()
    assert files.file is not None
    data = bytearray(files.file.read_bytes())
    page = int(len(data) * where) // PAGE * PAGE
    data[page : page + PAGE] = photo_bytes(1, PAGE)
    files.file.write_bytes(data)
    assert ("database", False) in found(files)
