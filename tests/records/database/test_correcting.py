"""Corrections add rows: who, when, why; what was kept before stays."""

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from grader.line.sheet import LineSheet, SheetError
from grader.records.database import House, RecordsRefused
from grader.records.database.correcting import correct, listed, versions_of
from grader.records.database.exporting import Kind, export
from grader.records.database.keeping import check_kitchen
from grader.records.database.line_sheets import keep_sheet
from grader.records.database.plate_checks import PlateFacts, facts_of, keep_facts
from grader.records.kept_files import Signed
from tests.records.database.conftest import LOT, SETTING, keep

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


def test_yes_and_no_are_read_as_words(house: House) -> None:
    plate = keep(house).plate_id
    keep_facts(house, plate, PlateFacts(seasoned=True, crisp=False))
    correct(house, "plate_check", 1, {"seasoned": "no", "crisp": "Yes"}, signed=SIGNED)
    assert (facts_of(house, plate).seasoned, facts_of(house, plate).crisp) == (False, True)
    correct(house, "plate_check", 1, {"crisp": ""}, signed=SIGNED)
    assert facts_of(house, plate).crisp is None


@pytest.mark.parametrize(
    ("what", "changes", "words"),
    [
        ("plate_check", {"seasoned": "maybe"}, "yes or no"),
        ("plate_check", {"bend": "floppy"}, r"It must be: bend IN"),
        ("plate_check", {"mass_g": "nan"}, "as a number"),
        ("plate_check", {"mass_g": "inf"}, "as a number"),
        ("plate", {"batch_id": "9" * 30}, "as a whole number"),
        ("plate", {"taken_at": "9999-12-31T23:59-14:00"}, "with its offset"),
    ],
)
def test_values_that_no_column_holds_are_refused(house: House, what: str, changes: dict[str, str], words: str) -> None:
    keep_facts(house, keep(house).plate_id, PlateFacts(seasoned=True))
    with pytest.raises(RecordsRefused, match=words):
        correct(house, what, 1, changes, signed=SIGNED)
    assert len(versions_of(house, what, 1)) == 1


@pytest.mark.parametrize(
    ("what", "changes", "words"),
    [
        ("kitchen", {"name": " "}, "name is blank"),
        ("supplier", {"name": ""}, "name is blank"),
        ("fryer", {"name": ""}, "name is blank"),
        ("shift", {"name": "x" * 121}, "more than 120 characters"),
        ("lot", {"number": ""}, "number is blank"),
        ("lot", {"solids_percent": "250"}, "solids of 250 % can't be"),
        ("lot", {"received": "2026-04-03"}, "received 2026-04-03 has not come yet"),
        ("batch", {"day": "2099-01-01"}, "day 2099-01-01 has not come yet"),
        ("plate", {"taken_from": "Foo"}, "taken_from is photo, file or keeping"),
        ("plate", {"taken_at": "2031-03-05T12:00+00:00"}, "2031-03-05T12:00:00.00:00 has not come yet"),
        ("plate_check", {"mass_g": "-5"}, "a plate of -5 g can't be"),
        ("line_sheet", {"cause_found": "moon"}, "There is no cause moon"),
    ],
)
def test_what_keeping_refuses_is_no_correction(house: House, what: str, changes: dict[str, str], words: str) -> None:
    kept = keep(house)
    keep_facts(house, kept.plate_id, PlateFacts(seasoned=True))
    keep_sheet(house, kept.batch_id, LineSheet(finish_c=180))
    with pytest.raises(RecordsRefused, match=words):
        correct(house, what, 1, changes, signed=SIGNED)
    assert len(versions_of(house, what, 1)) == 1


def test_a_line_sheet_that_could_not_be_read_again_is_no_correction(house: House) -> None:
    keep_sheet(house, keep(house).batch_id, LineSheet(finish_c=180))
    with pytest.raises(SheetError, match="finish_c is 1800"):
        correct(house, "line_sheet", 1, {"finish_c": "1800"}, signed=SIGNED)


def test_no_two_things_become_the_same_by_a_correction(house: House) -> None:
    keep(house, 1)
    keep(house, 2, lot=replace(LOT, number="L-8"), batch="second", day=date(2026, 3, 6))
    for what, changes in (("lot", {"number": "L-7"}), ("shift", {"day": "2026-03-05"})):
        with pytest.raises(RecordsRefused, match=f"That is {what} 1 already") as told:
            correct(house, what, 2, changes, signed=SIGNED)
        assert told.value.hint.endswith(f"records show {what} 1")
    became_first = {"name": "first", "day": "2026-03-05"}
    correct(house, "batch", 2, became_first, signed=SIGNED)  # another lot's
    with pytest.raises(RecordsRefused, match="That is batch 1 already") as told:
        correct(house, "batch", 2, {"lot_id": "1"}, signed=SIGNED)
    assert told.value.hint.endswith("--set batch_id=1")


def test_what_was_withdrawn_is_not_taken_up_beside_what_took_its_place(house: House) -> None:
    keep(house, 1)
    keep(house, 2, fryer="right", batch="second")
    correct(house, "fryer", 1, {}, signed=SIGNED, withdraw=True)
    correct(house, "fryer", 2, {"name": "left"}, signed=SIGNED)
    with pytest.raises(RecordsRefused, match="That is fryer 2 already"):
        correct(house, "fryer", 1, {}, signed=SIGNED)


def test_nothing_is_kept_in_a_batch_that_was_withdrawn(house: House) -> None:
    """It would be kept and seen by nobody."""
    batch = keep(house, 1).batch_id
    correct(house, "batch", batch, {}, signed=SIGNED, withdraw=True)
    with pytest.raises(RecordsRefused, match="was withdrawn"):
        keep(house, 2)
    correct(house, "batch", batch, {}, signed=SIGNED)
    assert keep(house, 2).batch_id == batch


def test_plates_of_a_batch_that_was_withdrawn_do_not_stand_anywhere(house: House, tmp_path: Path) -> None:
    first, other = keep(house, 1), keep(house, 2, batch="other")
    for kept in (first, other):
        keep_sheet(house, kept.batch_id, LineSheet(finish_c=180))
    correct(house, "batch", first.batch_id, {}, signed=SIGNED, withdraw=True)
    assert [plate["id"] for plate in listed(house, "plate")] == [other.plate_id]
    assert [sheet["batch_id"] for sheet in listed(house, "line_sheet")] == [other.batch_id]
    rows = {one.file.stem: one.rows for one in export(house, tmp_path, Kind.JSON)}
    assert rows["plates"] == 1
    correct(house, "batch", first.batch_id, {}, signed=SIGNED)
    assert len(listed(house, "plate")) == len(listed(house, "line_sheet")) == 2


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
    with pytest.raises(RecordsRefused, match='Fryer "left" was corrected to another name') as caught:
        keep(house, 3, fryer="left", batch="third")
    assert caught.value.hint.endswith("records show fryer 1.")


def test_a_batch_that_was_corrected_to_a_name_is_the_one_of_that_name(house: House) -> None:
    first = keep(house, 1).batch_id
    correct(house, "batch", first, {"name": "second"}, signed=SIGNED)
    assert keep(house, 2, batch="second").batch_id == first
    assert keep(house, 3).batch_id == first, "what was told first goes on in it too"
    assert [batch["name"] for batch in listed(house, "batch")] == ["second"]


@pytest.mark.parametrize(
    ("what", "told"), [("lot", 'Lot "L-7"'), ("kitchen", 'Kitchen "Harbour"'), ("shift", 'Shift "2026-03-05, lunch"')]
)
def test_what_was_withdrawn_is_told_as_such_and_can_be_taken_up_again(house: House, what: str, told: str) -> None:
    keep(house, 1)
    correct(house, what, 1, {}, signed=SIGNED, withdraw=True)
    with pytest.raises(RecordsRefused, match=f"{told} was withdrawn") as caught:
        keep(house, 2, batch="second")
    assert caught.value.hint == f"Take it up again: python -m grader records correct {what} 1."
    if what == "kitchen":
        with pytest.raises(RecordsRefused, match="was withdrawn"):  # before anything is graded
            check_kitchen(house, replace(SETTING, zone=""))
    correct(house, what, 1, {}, signed=SIGNED)
    assert keep(house, 2, batch="second").new


@pytest.mark.parametrize("statement", ["UPDATE lot SET variety = 'x'", "DELETE FROM fry", "DELETE FROM grading_record"])
def test_the_database_itself_refuses_changes(house: House, statement: str) -> None:
    keep(house)
    with pytest.raises(DBAPIError, match="never changed or deleted"):
        house.write(lambda connection: connection.execute(text(statement)))
