import csv
import io
import json
from pathlib import Path

from grader.records.summary import COLUMNS, BatchEntry, PhotoEntry, fries_csv, write_summary
from tests.records import made_up


def batch(name: str = "lunch") -> BatchEntry:
    photos = (
        PhotoEntry(stem="plate1", source="in/plate1.jpg", graded=made_up.graded()),
        PhotoEntry(stem="nocard", source="in/nocard.jpg", graded=made_up.refused()),
    )
    return BatchEntry(name=name, photos=photos, verdict=made_up.verdict())


def rows(table: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(table.decode("utf-8-sig"), newline="")))


def test_every_fry_is_a_row_and_what_was_not_measured_is_empty() -> None:
    table = rows(fries_csv([batch()], standard=made_up.standard()))
    assert list(table[0]) == list(COLUMNS)
    assert [row["fry"] for row in table] == ["1", "2", "3", "4", "5"]
    assert table[0]["length_mm"] == "100.0"
    assert table[1]["largest_spot_mm"] == "4.25"
    assert table[3]["length_mm"] == ""
    assert table[4]["L"] == ""
    assert (table[0]["bow_share"], table[0]["end_gap_2_mm"], table[0]["mass_g"]) == ("0.02", "0.3", "8.0")
    assert (table[3]["bow_share"], table[3]["end_gap_1_mm"], table[3]["mass_g_u"]) == ("", "", "")
    assert (table[0]["scale_place"], table[0]["scale_step"], table[4]["scale_step"]) == ("3.0", "golden", "")


def test_what_a_spreadsheet_would_run_is_inert() -> None:
    assert rows(fries_csv([batch("=1+1")], standard=made_up.standard()))[0]["batch"] == "'=1+1"


def test_the_summary_lists_batches_photos_and_reasons(tmp_path: Path) -> None:
    table, summary = write_summary(tmp_path, iter([batch(), batch("dinner")]), standard=made_up.standard())
    record = json.loads(summary.read_text())
    assert [one["name"] for one in record["batches"]] == ["lunch", "dinner"]
    assert "not seen" in record["thickness"]
    assert record["batches"][0]["long_shares"][0]["by_count"] == 0.75
    measured, refused = record["batches"][0]["photos"]
    assert (measured["status"], measured["fries"], measured["outcome"]) == ("measured", 5, "pass")
    assert (refused["status"], refused["reasons"][0]["code"]) == ("refused", "card_not_found")
    assert len(rows(table.read_bytes())) == 10
