"""Corrections add rows: who, when, why; what was kept before stays."""

from datetime import UTC, date, datetime

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from grader.records.database import House, RecordsRefused
from grader.records.database.correcting import correct, listed, versions_of
from grader.records.kept_files import Signed
from tests.records.database.conftest import keep

SIGNED = Signed(by="CD", at=datetime(2026, 4, 1, tzinfo=UTC), why="read the sack")


def test_a_correction_is_read_and_the_first_row_stays(house: House) -> None:
    keep(house)
    correct(house, "lot", 1, {"variety": "Russet", "solids_percent": "21.5", "received": "2026-03-01"}, signed=SIGNED)
    correct(house, "lot", 1, {"solids_percent": ""}, signed=SIGNED)
    (lot,) = listed(house, "lot")
    assert (lot["id"], lot["variety"], lot["solids_percent"], lot["received"]) == (1, "Russet", None, date(2026, 3, 1))
    first, second, third = versions_of(house, "lot", 1)
    assert (first.values["variety"], first.by, first.why) == ("", "AB", "")
    assert (second.values["solids_percent"], second.by, second.why) == (21.5, "CD", "read the sack")
    assert third.values["solids_percent"] is None


@pytest.mark.parametrize(
    ("what", "thing", "changes", "words"),
    [
        ("grading", 1, {"fries": "3"}, "can't be corrected"),
        ("lot", 99, {"variety": "x"}, "no lot 99"),
        ("lot", 1, {"colour": "red"}, "colour can't be corrected"),
        ("plate", 1, {"photo_sha256": "00"}, "photo_sha256 can't be corrected"),
        ("lot", 1, {"solids_percent": "much"}, 'can\'t be "much"'),
        ("lot", 1, {"received": "March"}, 'can\'t be "March"'),
        ("plate", 1, {"taken_at": "2026-03-05T12:00"}, "can't be"),
        ("kitchen", 1, {"zone": "Europe/Nowhere"}, "no time zone"),
        ("batch", 1, {"lot_id": "7"}, "7 is no lot"),
        ("lot", 1, {"number": "L-7"}, "changes nothing"),
        ("lot", 1, {}, "changes nothing"),
    ],
)
def test_what_can_not_be_is_refused_and_nothing_is_added(
    house: House, what: str, thing: int, changes: dict[str, str], words: str
) -> None:
    keep(house)
    with pytest.raises(RecordsRefused, match=words):
        correct(house, what, thing, changes, signed=SIGNED)
    assert len(versions_of(house, "lot", 1)) == len(versions_of(house, "plate", 1)) == 1


def test_nobody_corrects_without_initials_and_a_reason(house: House) -> None:
    keep(house)
    for signed in (Signed(by="", at=SIGNED.at, why="why"), Signed(by="CD", at=SIGNED.at, why=" ")):
        with pytest.raises(RecordsRefused, match="initials and a reason"):
            correct(house, "lot", 1, {"variety": "Russet"}, signed=signed)


def test_a_thing_is_found_by_its_newest_name_only(house: House) -> None:
    keep(house, 1)
    correct(house, "fryer", 1, {"name": "big one"}, signed=SIGNED)
    assert keep(house, 2, fryer="big one", batch="second").new
    assert [fryer["name"] for fryer in listed(house, "fryer")] == ["big one"]
    with pytest.raises(RecordsRefused, match="corrected to another name"):
        keep(house, 3, fryer="left", batch="third")


@pytest.mark.parametrize("statement", ["UPDATE lot SET variety = 'x'", "DELETE FROM fry", "DELETE FROM grading_record"])
def test_the_database_itself_refuses_changes(house: House, statement: str) -> None:
    keep(house)
    with pytest.raises(DBAPIError, match="never changed or deleted"):
        house.write(lambda connection: connection.execute(text(statement)))
