import csv
import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from pyarrow import parquet
from sqlalchemy import select

from grader.records.database import House
from grader.records.database.correcting import correct
from grader.records.database.exporting import Kind, export
from grader.records.database.keeping import keep_decision
from grader.records.database.plate_tables import Fry
from grader.records.kept_files import Signed
from grader.records.summary import COLUMNS
from tests.bars.records import house_standard
from tests.records.database.conftest import FRIES, keep

SIGNED = Signed(by="AB", at=datetime(2026, 3, 6, 9, 0, tzinfo=UTC), why="read wrongly")


def read(file: Path) -> list[dict[str, Any]]:
    """An export's rows, whichever kind."""
    match file.suffix:
        case ".csv":
            with file.open(encoding="utf-8-sig", newline="") as opened:
                return list(csv.DictReader(opened))
        case ".json":
            rows: list[dict[str, Any]] = json.loads(file.read_text(encoding="utf-8"))
            return rows
        case _:
            return list(parquet.read_table(file).to_pylist())


@pytest.mark.parametrize("kind_of_file", list(Kind))
def test_every_row_is_there_and_says_what_is_kept(house: House, tmp_path: Path, kind_of_file: Kind) -> None:
    keep(house, 1)
    keep(house, 2, batch="second")
    written = {one.file.stem: one for one in export(house, tmp_path / "out", kind_of_file)}
    plates, fries = read(written["plates"].file), read(written["fries"].file)
    assert (written["plates"].rows, written["fries"].rows) == (len(plates), len(fries)) == (2, 2 * FRIES)
    assert [plate["kitchen"] for plate in plates] == ["Harbour"] * 2
    assert [plate["batch_name"] for plate in plates] == ["first", "second"]
    assert list(fries[0]) == ["grading", *COLUMNS]
    with house.reading() as connection:
        kept = connection.scalars(select(Fry.length_mm).order_by(Fry.grading_id, Fry.number)).all()
    assert [float(fry["length_mm"]) for fry in fries] == kept
    assert read(written["decisions"].file) == []


def test_moments_bear_their_zone(house: House, tmp_path: Path) -> None:
    keep(house)
    for kind_of_file in (Kind.CSV, Kind.JSON):
        export(house, tmp_path, kind_of_file)
        plate = read(tmp_path / f"plates.{kind_of_file.value}")[0]
        assert datetime.fromisoformat(plate["taken_at"]) == datetime(2026, 3, 5, 12, 10, tzinfo=UTC)
        assert datetime.fromisoformat(plate["taken_at"]).tzinfo is not None
        assert plate["zone"] == "Europe/Lisbon"
    export(house, tmp_path, Kind.PARQUET)
    assert read(tmp_path / "plates.parquet")[0]["taken_at"] == datetime(2026, 3, 5, 12, 10, tzinfo=UTC)


def test_no_cell_of_the_table_is_run_by_a_spreadsheet(house: House, tmp_path: Path) -> None:
    keep(house, batch="=HYPERLINK(1)", shift="@lunch", fryer="+1+1", station="-2*A1")
    export(house, tmp_path, Kind.CSV)
    plate = read(tmp_path / "plates.csv")[0]
    assert (plate["batch_name"], plate["shift"], plate["fryer"], plate["station"]) == (
        "'=HYPERLINK(1)",
        "'@lunch",
        "'+1+1",
        "'-2*A1",
    )


def test_what_was_corrected_goes_out_corrected_and_what_was_withdrawn_not_at_all(house: House, tmp_path: Path) -> None:
    first, second = keep(house, 1), keep(house, 2)
    correct(house, "batch", first.batch_id, {"name": "renamed"}, signed=SIGNED)
    correct(house, "plate", second.plate_id, {}, signed=SIGNED, withdraw=True)
    export(house, tmp_path, Kind.JSON)
    assert [plate["batch_name"] for plate in read(tmp_path / "plates.json")] == ["renamed"]
    assert len(read(tmp_path / "fries.json")) == FRIES


@pytest.mark.parametrize("kind_of_file", list(Kind))
def test_a_decision_over_a_plate_that_was_withdrawn_is_marked(house: House, tmp_path: Path, kind_of_file: Kind) -> None:
    first, second, other = keep(house, 1), keep(house, 2), keep(house, 3, batch="other")
    for plates in ([first, second], [first], [other]):
        keep_decision(house, plates, None, standard=house_standard(), method_version="1")
    correct(house, "plate", second.plate_id, {}, signed=SIGNED, withdraw=True)
    export(house, tmp_path, kind_of_file)
    marks = [row["over_withdrawn"] for row in read(tmp_path / f"decisions.{kind_of_file.value}")]
    assert marks == (["yes", "no", "no"] if kind_of_file is Kind.CSV else [True, False, False])


def test_an_export_of_nothing_has_its_headings(house: House, tmp_path: Path) -> None:
    for kind_of_file in Kind:
        assert all(one.rows == 0 for one in export(house, tmp_path, kind_of_file))
        assert read(tmp_path / f"plates.{kind_of_file.value}") == []
    assert parquet.read_schema(tmp_path / "fries.parquet").names[1:] == list(COLUMNS)
    assert (tmp_path / "fries.csv").read_text(encoding="utf-8-sig").startswith("grading,batch,photo")
