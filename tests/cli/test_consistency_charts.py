"""Shifts watched on the command line: from results on disk with tables, and from the records."""

import json
import re
from collections.abc import Sequence
from datetime import datetime, timedelta
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from grader.records.database import open_house
from grader.records.readings import json_bytes
from tests.cli.conftest import Call
from tests.consistency.harbour import keep_harbour
from tests.records.test_history import run

START = datetime(2026, 9, 14, 9)  # noqa: DTZ001 - as a phone writes it: by the clock on the wall
BATCHES, PLATES = 16, 2


def results(folder: Path, levels: Sequence[float], *, with_times: bool = True) -> Path:
    """A run whose plates lie about those levels, a batch every four hours."""
    run(folder, batches=len(levels), photos=PLATES)
    rng = np.random.default_rng(2)
    for number in range(len(levels) * PLATES):
        path = folder / f"p{number}.json"
        record = json.loads(path.read_text(encoding="utf-8"))
        moved = levels[number // PLATES] + rng.normal(0, 0.05) - record["fries"][0]["scale_place"]
        for fry in record["fries"]:
            if fry["scale_place"] is not None:
                fry["scale_place"] += moved
                fry["off_scale"] = False
        at = START + timedelta(hours=4 * (number // PLATES), minutes=number % PLATES)
        record["picture"]["taken_at"] = at.isoformat() if with_times else None
        ends = {"key": "dark_end", "unit": "share", "measured": float(rng.binomial(40, 0.1)) / 40, "counted": 40}
        record["verdict"]["limits"].append(ends)
        path.write_bytes(json_bytes(record))
    return folder


@pytest.fixture(scope="module")
def graded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return results(tmp_path_factory.mktemp("runs") / "graded", [3.0] * 10 + [4.0] * 6)


@pytest.fixture
def events(tmp_path: Path) -> Path:
    path = tmp_path / "events.csv"
    at = START + timedelta(hours=38)
    path.write_text(f"at,kind,lot,words\n{at:%Y-%m-%d %H:%M},new lot,4711,from the second cellar\n", encoding="utf-8")
    return path


def test_a_darker_lot_is_no_alarm_once_it_is_said_to_be_one(call: Call, graded: Path, events: Path) -> None:
    unsaid = call("consistency", "chart", graded, "--from", "2026-09-14", "--until", "2026-09-15")
    assert unsaid.exit_code == 0, unsaid.output
    assert "a batch beyond the limits, darker" in unsaid.output
    assert "Changed in the stretch before any event: most likely between batch 10 (" in unsaid.output
    said = call("consistency", "chart", graded, "--from", "2026-09-14", "--until", "2026-09-15", "--events", events)
    assert "None of 16 batches stands out." in said.output
    assert "New lot 4711 (from the second cellar), before batch 11 (" in said.output
    assert "steps darker" in said.output
    assert "Hot oil burns" in said.output
    assert "p19.jpg before" in unsaid.output


def test_json_tells_the_same_batch_by_batch(call: Call, graded: Path, events: Path) -> None:
    told = json.loads(call("consistency", "chart", graded, "--events", events, "--json").output)
    assert len(told["batches"]) == BATCHES
    assert told["baseline"]["batches"] == BATCHES
    assert told["baseline"]["chosen"] is False
    assert told["events"][0]["first_batch"] == 10
    assert told["events"][0]["step"]["low"] > 0.5
    assert told["batches"][0]["plates"] == ["graded / batch 0 / p0.jpg", "graded / batch 0 / p1.jpg"]


def test_the_chart_is_drawn(call: Call, graded: Path, events: Path, tmp_path: Path) -> None:
    out = tmp_path / "chart.svg"
    asked = ("--events", events, "--share", "dark_end", "--out", out)
    told = call("consistency", "chart", graded, *asked)
    assert told.exit_code == 0, told.output
    picture = ET.fromstring(out.read_text(encoding="utf-8"))  # noqa: S314 - our own words
    words = [text.text or "" for text in picture.iter("{http://www.w3.org/2000/svg}text")]
    assert any("new lot 4711" in line for line in words)
    share = (tmp_path / "chart-dark_end.svg").read_text(encoding="utf-8")
    assert "Dotted: plain limits" in share
    assert "Dark ends: usually" in told.output


def test_photos_without_a_time_ask_for_a_table(call: Call, tmp_path: Path) -> None:
    folder = results(tmp_path / "copies", [3.0] * 8, with_times=False)
    lacking = call("consistency", "chart", folder)
    assert lacking.exit_code == 2
    assert "Nobody knows when these photos were taken: p0.jpg" in lacking.output
    assert "taken_at" in lacking.output
    about = tmp_path / "batches.csv"
    rows = [f"batch {batch},2026-09-{14 + batch} 09:00,Quay,left" for batch in range(8)]
    about.write_text("\n".join(["batch,taken_at,kitchen,fryer", *rows]), encoding="utf-8")
    told = call("consistency", "chart", folder, "--about", about)
    assert told.exit_code == 0, told.output
    assert told.output.startswith("Quay, fryer left: 8 batches.")


def test_each_fryer_has_a_chart_of_its_own(call: Call, tmp_path: Path) -> None:
    folder = results(tmp_path / "graded", [3.0] * 12)
    about = tmp_path / "batches.csv"
    rows = [f"batch {batch},Quay,{('left', 'right')[batch % 2]}" for batch in range(12)]
    about.write_text("\n".join(["batch,kitchen,fryer", *rows]), encoding="utf-8")
    both = call("consistency", "chart", folder, "--about", about)
    assert both.exit_code == 2
    assert "Quay, fryer left; Quay, fryer right" in both.output
    one = call("consistency", "chart", folder, "--about", about, "--fryer", "right")
    assert one.output.startswith("Quay, fryer right: 6 batches.")


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (("--from", "2026-09-14"), "Give both --from and --until"),
        (("--rule", "nonsense"), "beyond-limits"),
        (("--share", "nonsense"), "No plate has a share called nonsense"),
        (("--from", "2020-01-01", "--until", "2020-01-02"), "Batches of that period: 0."),
        (("--from", "2026-09-14", "--until", "9999-12-31"), "The day 9999-12-31 is too far off."),
        (("--from", "0001-01-01", "--until", "2026-09-14", "--zone", "Asia/Tokyo"), "is too far off."),
        (("--zone", "Nowhere/Land"), "no time zone"),
        (("--kitchen", "Nowhere"), "no plate to chart"),
        (("--records", "sqlite:///x.sqlite3"), "folders were given too"),
    ],
)
def test_what_does_not_go_together_is_told(call: Call, graded: Path, asked: tuple[str, ...], words: str) -> None:
    told = call("consistency", "chart", graded, *asked)
    assert told.exit_code == 2
    assert words in told.output


def test_all_faults_of_a_table_of_events_at_once(call: Call, graded: Path, tmp_path: Path) -> None:
    table = tmp_path / "events.csv"
    table.write_text("at,kind\nyesterday,new lot\n2026-09-14 10:00,full moon\n", encoding="utf-8")
    told = call("consistency", "chart", graded, "--events", table)
    assert told.exit_code == 2
    assert 'is "yesterday"' in told.output
    assert 'is "full moon"' in told.output


def test_rules_are_named_and_can_be_chosen(call: Call, graded: Path) -> None:
    assert "beyond-limits (on)" in call("consistency", "rules").output
    asked = ("--from", "2026-09-14", "--until", "2026-09-15", "--rule", "eight-on-one-side")
    told = call("consistency", "chart", graded, *asked)
    assert "a batch beyond the limits" not in told.output


@pytest.fixture
def records(tmp_path: Path) -> str:
    url = f"sqlite:///{tmp_path / 'house' / 'records.sqlite3'}"
    keep_harbour(open_house(url)).close()
    return url


def test_the_records_are_charted_by_the_kitchens_clock(call: Call, records: str) -> None:
    first = call("consistency", "chart", "--records", records, "--from", "2026-09-01", "--until", "2026-09-02")
    assert first.exit_code == 0, first.output
    assert first.output.startswith("Harbour, fryer left: 12 batches.\nBaseline: 1 Sep 00:00 to 2 Sep 23:59, 10 batches")
    assert "most likely between batch 8 (2 Sep 14:00)" in first.output
    assert "Look at the plates on both sides: plate 15, plate 16 before, plate 17, plate 18 after" in first.output


def test_a_comparison_until_a_day_beyond_all_is_refused(call: Call, records: str) -> None:
    asked = ("--by", "shift", "--worth", 0.3, "--until", "9999-12-31")
    told = call("consistency", "compare", *asked, "--records", records)
    assert told.exit_code == 2
    assert "The day 9999-12-31 is too far off." in told.output


def test_a_baseline_is_frozen_and_then_used(call: Call, records: str) -> None:
    signed = ("--by", "AB", "--why", "all was well")
    frozen = call(
        "consistency", "baseline", "--records", records, "--from", "2026-09-01", "--until", "2026-09-01", *signed
    )
    assert frozen.exit_code == 2
    assert "Batches of that period: 4." in frozen.output
    days = ("--from", "2026-08-30", "--until", "2026-09-02", "--measure", "spread")
    frozen = call("consistency", "baseline", "--records", records, *days, *signed)
    assert frozen.output.startswith("Frozen: 30 Aug 00:00 to 2 Sep 23:59, 10 batches (20 plates).")
    told = call("consistency", "chart", "--records", records, "--measure", "spread")
    assert "Baseline: 30 Aug 00:00 to 2 Sep 23:59" in told.output
    assert re.search(r"That baseline was frozen on \d{4}-\d\d-\d\d UTC by AB: all was well\.", told.output)
    unused = call("consistency", "chart", "--records", records, *days)
    assert "was frozen" not in unused.output
    again = call("consistency", "baseline", "--records", records, *days, "--by", "CD", "--why", "a new fryer")
    assert re.search(r"It takes the place of the one frozen on \d{4}-\d\d-\d\d UTC by AB\.", again.output)
    assert "takes the place" not in frozen.output
    other = call("consistency", "chart", "--records", records)
    assert "these are the earliest 12 batches" in other.output


def test_a_last_day_before_the_first_is_told(call: Call, records: str) -> None:
    for asked in (("baseline", "--by", "AB", "--why", "all was well"), ("chart",)):
        told = call("consistency", *asked, "--records", records, "--from", "2026-09-02", "--until", "2026-09-01")
        assert told.exit_code == 2
        assert "The last day, 2026-09-01, is before the first, 2026-09-02." in told.output


def test_tables_belong_to_folders(call: Call, records: str, events: Path) -> None:
    told = call("consistency", "chart", "--records", records, "--events", events)
    assert told.exit_code == 2
    assert "the records know both" in told.output
