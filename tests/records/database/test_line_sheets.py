"""Line sheets: kept with their batch, added to, read back as defaults and as what is usual, on both databases."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from grader.decision.model import Outcome
from grader.line.causes import load_causes, seen_in
from grader.line.house_notes import HouseNotes
from grader.line.sheet import Drying, LineSheet
from grader.records.database import House, RecordsRefused, keep_decision
from grader.records.database.correcting import correct, versions_of
from grader.records.database.line_history import causes_of_kitchen, told_cases
from grader.records.database.line_sheets import (
    USUAL_FROM,
    batch_for,
    batch_on_line,
    judged_limits,
    keep_sheet,
    last_sheet,
    sheet_of,
    usual_sheet,
)
from grader.records.kept_files import Signed
from tests.bars.records import house_standard
from tests.records import made_up
from tests.records.database.conftest import SETTING, keep

NOW = datetime(2026, 3, 5, 12, tzinfo=UTC)
SHEET = LineSheet(finish_c=182, finish_s=150, drying=Drying.SPUN, oil_kind="sunflower")


def test_what_is_told_later_adds_to_what_was_told_before(house: House) -> None:
    batch = keep(house).batch_id
    assert sheet_of(house, batch).sheet == LineSheet()
    keep_sheet(house, batch, SHEET, by="AB")
    told = keep_sheet(house, batch, LineSheet(hold_min=6), HouseNotes(new_lot=True), cause_found="old_oil", by="CD")
    assert told == sheet_of(house, batch)
    assert (told.sheet.finish_c, told.sheet.hold_min, told.sheet.drying) == (182, 6, Drying.SPUN)
    assert told.notes == HouseNotes(new_lot=True)
    assert told.cause_found == "old_oil"
    keep_sheet(house, batch, LineSheet(hold_min=6))
    assert len(versions_of(house, "line_sheet", 1)) == 2


def test_a_sheet_may_come_before_its_plates(house: House) -> None:
    before = batch_for(house, SETTING, now=NOW)
    keep_sheet(house, before, SHEET)
    assert keep(house).batch_id == before
    assert batch_on_line(house, before).fryer == "left"
    assert batch_on_line(house, before).zone == "Europe/Lisbon"


def test_the_last_values_are_a_new_sheets_defaults(house: House) -> None:
    assert last_sheet(house, "Harbour") == LineSheet()
    first, second = keep(house), keep(house, 2, batch="second", day=date(2026, 3, 6), fryer="right")
    keep_sheet(house, second.batch_id, LineSheet(finish_c=170))
    keep_sheet(house, first.batch_id, SHEET)
    assert last_sheet(house, "Harbour").finish_c == 170
    assert last_sheet(house, "Harbour", fryer="left") == SHEET
    assert last_sheet(house, "Hill") == LineSheet()


def test_what_is_usual_is_told_by_the_other_sheets(house: House) -> None:
    assert len({batch_for(house, SETTING, now=NOW), batch_for(house, SETTING, now=NOW + timedelta(days=3))}) == 1
    batches = [batch_for(house, replace(SETTING, day=date(2026, 3, day)), now=NOW) for day in (1, 2, 3, 4)]
    for batch, celsius in zip(batches, (170, 171, 172, 199), strict=True):
        keep_sheet(house, batch, LineSheet(finish_c=celsius))
    assert USUAL_FROM == 3
    usual = usual_sheet(house, "Harbour", but=batches[3])
    assert usual is not None
    assert usual.finish_c == 171
    assert usual_sheet(house, "Harbour", fryer="right") is None


def test_sheets_are_corrected_like_all_records(house: House) -> None:
    batch = keep(house).batch_id
    keep_sheet(house, batch, SHEET)
    signed = Signed(by="AB", at=datetime(2026, 3, 6, tzinfo=UTC), why="misread")
    correct(house, "line_sheet", 1, {"finish_c": "178"}, signed=signed)
    assert sheet_of(house, batch).sheet.finish_c == 178


def test_what_is_not_there_is_refused(house: House) -> None:
    with pytest.raises(RecordsRefused, match="no batch 7"):
        keep_sheet(house, 7, SHEET)
    batch = keep(house).batch_id
    with pytest.raises(RecordsRefused, match="no cause witchcraft"):
        keep_sheet(house, batch, SHEET, cause_found="witchcraft")
    with pytest.raises(RecordsRefused, match="no verdict"):
        judged_limits(house, batch)


def test_a_batch_of_a_kitchen_that_was_withdrawn_is_refused(house: House) -> None:
    batch = keep(house).batch_id
    signed = Signed(by="AB", at=datetime(2026, 3, 6, tzinfo=UTC), why="no kitchen of ours")
    correct(house, "kitchen", 1, {}, signed=signed, withdraw=True)
    with pytest.raises(RecordsRefused, match=f"kitchen of batch {batch} was withdrawn"):
        batch_on_line(house, batch)
    correct(house, "kitchen", 1, {}, signed=signed)
    assert batch_on_line(house, batch).kitchen == "Harbour"


def test_told_causes_are_read_with_what_the_verdict_showed(house: House) -> None:
    kept = keep(house)
    keep_sheet(house, kept.batch_id, SHEET, cause_found="old_oil")
    assert told_cases(house, "Harbour") == ()  # nobody judged the batch yet
    verdict = made_up.verdict(Outcome.FAIL)
    keep_decision(house, [kept], verdict, standard=house_standard(), method_version="1")
    judged, _ = judged_limits(house, kept.batch_id)
    (case,) = told_cases(house, "Harbour")
    assert case.cause == "old_oil"
    assert case.seen == {one for one, so in seen_in(judged, "finished").items() if so}
    assert told_cases(house, "Harbour", but=kept.batch_id) == ()
    assert causes_of_kitchen(house, "Harbour") == load_causes()  # one batch teaches nothing
