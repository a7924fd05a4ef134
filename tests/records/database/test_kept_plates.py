"""Plates of the records as comparisons want them: the same figures as results on disk give."""

import json
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from typer.testing import CliRunner

from grader.cli.commands import app
from grader.cli.compare_run import Source, plates_of
from grader.cli.exits import Exit
from grader.consistency.comparing import compare_groups
from grader.records.comparisons import asked_range, grouped, spread
from grader.records.database import House
from grader.records.kept_plates import kept_plates
from grader.records.plate_readings import read_plates
from grader.records.readings import write_readings
from grader.records.summary import BatchEntry, PhotoEntry, write_summary
from tests.bars.records import graded_plate, house_standard, photo_bytes
from tests.records.database.conftest import FRIES, keep

STANDARD = house_standard()


@pytest.fixture
def kept(files: House) -> House:
    """Two shifts of three batches of two plates, over three days."""
    for number in range(12):
        shift, batch = "early" if number < 6 else "late", number // 2
        keep(files, number, shift=shift, batch=f"batch {batch}", day=date(2026, 3, 5 + batch % 3))
    return files


def test_the_records_give_what_results_on_disk_give(kept: House, tmp_path: Path) -> None:
    entries = []
    for number in range(12):
        graded = graded_plate(number, photo_bytes(number, 5000), fries=FRIES)
        assert graded.plate is not None
        graded = replace(graded, plate=replace(graded.plate, labels=np.zeros((8, 8), np.uint16)))
        write_readings(tmp_path, f"p{number}", graded, standard=STANDARD)
        entries.append(PhotoEntry(stem=f"p{number}", source="plates", graded=graded))
    write_summary(tmp_path, [BatchEntry(name="all", photos=tuple(entries), verdict=None)], standard=STANDARD)
    on_disk = sorted(plate.means["place"].mean for plate in read_plates([tmp_path], standard=STANDARD))
    in_records = sorted(plate.means["place"].mean for plate in kept_plates(kept, standard=STANDARD))
    assert in_records == pytest.approx(on_disk, abs=1e-3)


def test_shifts_of_the_records_are_compared(kept: House) -> None:
    plates = kept_plates(kept, standard=STANDARD)
    assert len(plates) == 12
    drawn = grouped(plates, by="shift", quantity="place", within_lots=True)
    assert len({(plate.group, plate.batch) for plate in drawn}) == 6
    found = compare_groups(drawn, worth_acting_on=0.3)
    assert {group.name for group in found.groups} == {"early", "late"}
    target = asked_range(STANDARD, "place", None, None)
    told = spread(plates, quantity="place", standard=STANDARD, within=target)
    assert all(plate.outside is not None for plate in told)


def called(kept: House, *words: object) -> str:
    url = str(kept.engine.url)
    result = CliRunner().invoke(app, ["consistency", *[str(word) for word in words], "--records", url])
    assert result.exit_code == Exit.DONE, result.output
    return result.stdout


def test_the_commands_read_the_records(kept: House) -> None:
    told = called(kept, "compare", "--by", "shift", "--worth", 0.3)
    assert "6 plates in 3 batches" in told
    assert "144 fries on 12 plates in 6 batches" in called(kept, "capability")
    record = json.loads(called(kept, "capability", "--kitchen", "Harbour", "--json"))
    assert record["plates"] == 12


def test_days_narrow_what_is_asked(kept: House) -> None:
    taken = sorted(plate.taken_at for plate in kept_plates(kept, standard=STANDARD) if plate.taken_at is not None)
    assert len(taken) == 12
    later = kept_plates(kept, standard=STANDARD, since=taken[-1])
    assert 0 < len(later) <= 12
    assert not kept_plates(kept, standard=STANDARD, until=datetime.fromisoformat("2000-01-01T00:00+00:00"))


def test_days_are_those_of_the_kitchens_own_clock(files: House, monkeypatch: pytest.MonkeyPatch) -> None:
    """Auckland keeps UTC+13 until the first Sunday of April, UTC+12 from then on (IANA time zone database)."""
    asked: dict[str, datetime] = {}

    def note(*_: object, since: datetime, until: datetime, **__: object) -> tuple[str]:
        asked.update(since=since, until=until)
        return ("a plate",)

    monkeypatch.setattr("grader.cli.compare_run.kept_plates", note)
    monkeypatch.setattr("grader.cli.compare_run.kitchen_zone", lambda *_: ZoneInfo("Pacific/Auckland"))
    source = Source(
        runs=(),
        records=str(files.engine.url),
        kitchen="Harbour",
        first_day=datetime.fromisoformat("2026-04-04"),
        last_day=datetime.fromisoformat("2026-04-05"),
    )
    plates_of(source, standard=STANDARD)
    assert asked["since"] == datetime(2026, 4, 3, 11, tzinfo=UTC)
    assert asked["until"] == datetime(2026, 4, 5, 12, tzinfo=UTC)


def test_folders_and_records_at_once_are_refused(tmp_path: Path) -> None:
    asked = ["consistency", "capability", str(tmp_path), "--kitchen", "Harbour"]
    refused = CliRunner().invoke(app, asked)
    assert refused.exit_code == Exit.FAULTY_INPUT
    assert "Leave the folders out" in refused.stderr


def test_empty_records_say_what_to_do(files: House) -> None:
    refused = CliRunner().invoke(app, ["consistency", "capability", "--records", str(files.engine.url)])
    assert refused.exit_code == Exit.FAULTY_INPUT
    assert "hold no plate" in refused.stderr
