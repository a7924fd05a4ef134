from pathlib import Path

import numpy as np

from grader.cli.exits import Exit
from grader.line.browning import Browning, place_after
from grader.line.trial_table import read_plates
from tests.cli.conftest import Call
from tests.cli.test_sampling import said

KNOWN = Browning(start=1.0, end=9.0, log_rate=-5.8, energy_kj=85.0)


def fried(table: Path) -> None:
    """Fills in the places that these constants lead to, a little off."""
    header, *rows = table.read_text(encoding="utf-8").split()
    rng = np.random.default_rng(1)
    filled = [header]
    for row in rows:
        time_s, celsius, _ = row.split(",")
        place = float(place_after(KNOWN, float(time_s), float(celsius))) + 0.15 * rng.normal()
        filled.append(f"{time_s},{celsius},{place:.2f}")
    table.write_text("\n".join(filled), encoding="utf-8")


def test_a_trial_from_plan_to_window(call: Call, tmp_path: Path) -> None:
    table = tmp_path / "trial.csv"
    told = said(call("trial", "plan", table, "--guess", 220, "--celsius", 170))
    assert "1. " in told
    assert "Hot oil and hot water burn" in told
    assert "180 C is not" in told
    fried(table)
    assert len(read_plates(table)) == 12
    told = said(call("trial", "read", table, "--celsius", 170, "--wanted", 0.12))
    assert "At 170 C: " in told
    assert "Surely within the target" in told
    assert "first-order browning" in told
    assert "Narrow enough" in told
    assert "2017/2158" not in told
    told = said(call("trial", "read", table, "--celsius", 170, "--wanted", 0.01))
    assert "Most telling next: " in told


def test_nothing_is_told_beyond_what_was_tried(call: Call, tmp_path: Path) -> None:
    table = tmp_path / "trial.csv"
    call("trial", "plan", table, "--guess", 150, "--celsius", 170)
    fried(table)
    refused = call("trial", "read", table, "--celsius", 185)
    assert refused.exit_code == Exit.FAULTY_INPUT
    assert "185 C was not tried, only 160 to 180 C" in refused.stderr


def test_all_faults_of_a_table_are_told_at_once(call: Call, tmp_path: Path) -> None:
    table = tmp_path / "trial.csv"
    table.write_text("time_s,celsius,place\n150,175,\n0,175,3\n150,900,3\n", encoding="utf-8")
    refused = call("trial", "read", table, "--celsius", 175)
    assert refused.exit_code == Exit.FAULTY_INPUT
    for line, field in ((2, "place"), (3, "time_s"), (4, "celsius")):
        assert f"line {line}" in refused.stderr
        assert field in refused.stderr


def test_a_plan_never_overwrites_a_table(call: Call, tmp_path: Path) -> None:
    table = tmp_path / "trial.csv"
    table.write_text("mine", encoding="utf-8")
    told = call("trial", "plan", table, "--guess", 150, "--celsius", 170)
    assert told.exit_code == Exit.NOT_WRITTEN
    assert "Nothing is written over it" in told.stderr
    assert table.read_text(encoding="utf-8") == "mine"


def test_a_trial_of_soak(call: Call, tmp_path: Path) -> None:
    table = tmp_path / "soak.csv"
    told = said(call("trial", "plan-levels", table, "--level", 0.5, "--level", 12))
    assert "fry 8 plates in this order" in told
    header, *rows = table.read_text(encoding="utf-8").split()
    rng = np.random.default_rng(1)
    filled = [f"{row}{5.2 - 0.12 * float(row.rstrip(',')) + 0.1 * rng.normal():.2f}" for row in rows]
    table.write_text("\n".join([header, *filled]), encoding="utf-8")
    told = said(call("trial", "read-levels", table))
    assert "they differ" in told
    assert told.count("not surely within the target") == 1
    assert "Nothing is said of levels between those tried" in told
    assert call("trial", "plan-levels", table, "--level", 1).exit_code == Exit.FAULTY_INPUT
