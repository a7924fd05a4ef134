import csv
import io
import json
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from grader.decision.model import Outcome
from grader.fries.mends import Drop, Join, Mend, Restore, Split
from grader.fries.model import Measured
from grader.grading import GradedPhoto, Mending
from grader.records.mends import mend_record
from grader.records.readings import json_bytes, photo_record
from grader.records.summary import BatchEntry, PhotoEntry, fries_csv, summary_record
from tests.records import made_up

AT = datetime(2026, 3, 5, 12, 10, 30, 5, tzinfo=UTC)
MENDS: tuple[Mend, ...] = (
    Join(numbers=(1, 2), becomes=6, by="AB", at=AT),
    Drop(numbers=(5,), by="=CD", at=AT),
)


def mended() -> GradedPhoto:
    plate = made_up.plate()
    joined = replace(plate.fries[0], number=6, length_mm=Measured(value=175.0, u=1.0))
    return replace(
        made_up.graded(outcome=Outcome.FAIL),
        plate=replace(plate, fries=(*plate.fries[2:4], joined)),
        mending=Mending(mends=MENDS, plate=plate, verdict=made_up.verdict(Outcome.PASS), dropped=(plate.fries[4],)),
    )


@pytest.mark.parametrize(
    ("mend", "record"),
    [
        (MENDS[0], {"kind": "join", "fries": [1, 2], "becomes": [6]}),
        (MENDS[1], {"kind": "drop", "fries": [5], "becomes": []}),
        (Restore(numbers=(5,), by="CD", at=AT), {"kind": "restore", "fries": [5], "becomes": []}),
        (
            Split(number=3, line_px=((1.0, 2.0), (3.0, 4.123)), becomes=(7, 8), by="AB", at=AT),
            {"kind": "split", "fries": [3], "becomes": [7, 8], "line_px": [[1.0, 2.0], [3.0, 4.12]]},
        ),
    ],
)
def test_a_mend_says_what_by_whom_and_when(mend: Mend, record: dict[str, object]) -> None:
    written = mend_record(mend)
    assert record.items() <= written.items()
    assert written["by"] == mend.by
    assert datetime.fromisoformat(written["at"]) == AT.replace(microsecond=0)
    assert written["words"]


def test_the_readings_hold_the_plate_as_mended_and_as_it_was() -> None:
    record = json.loads(json_bytes(photo_record(mended(), standard=made_up.standard())))
    assert [fry["id"] for fry in record["fries"]] == [3, 4, 6]
    assert record["verdict"]["outcome"] == "fail"
    mending = record["mending"]
    assert mending["by"] == ["AB", "=CD"]
    assert [mend["kind"] for mend in mending["mends"]] == ["join", "drop"]
    assert [fry["id"] for fry in mending["without"]["fries"]] == [1, 2, 3, 4, 5]
    assert mending["without"]["fries"][0]["length_mm"] == 100.0
    assert mending["without"]["verdict"]["outcome"] == "pass"


def test_a_plate_that_nobody_mended_says_so() -> None:
    assert photo_record(made_up.graded(), standard=made_up.standard())["mending"] is None


def test_the_summary_holds_both_verdicts_and_the_table_who_made_a_fry() -> None:
    entry = BatchEntry(
        name="lunch",
        photos=(PhotoEntry(stem="plate1", source="page", graded=mended()),),
        verdict=made_up.verdict(Outcome.FAIL),
        unmended_verdict=made_up.verdict(Outcome.PASS),
    )
    batch = summary_record([entry], standard=made_up.standard())["batches"][0]
    assert batch["verdict"]["outcome"] == "fail"
    assert batch["unmended_verdict"]["outcome"] == "pass"
    assert batch["photos"][0]["mending"]["by"] == ["AB", "=CD"]
    table = fries_csv([entry], standard=made_up.standard()).decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(table, newline="")))
    assert {row["fry"]: row["mended_by"] for row in rows} == {"3": "", "4": "", "6": "AB"}
    assert {row["plate_mended_by"] for row in rows} == {"AB, =CD"}, "also where only something was dropped"
