"""The values of cards by the command line: a table filled in, readings brought in, what is known."""

import json
from dataclasses import replace
from datetime import date
from io import StringIO
from pathlib import Path

import numpy as np
import pytest
from rich.console import Console

from grader.card import Serial
from grader.card.layouts import load_layouts
from grader.card.model import Layout
from grader.card_values import CardValues, designed_values, load_values
from grader.cli.telling import tell_batch
from grader.reasons import Reason
from grader.records.summary import BatchEntry, PhotoEntry
from tests.card.scenes import layout_of
from tests.card_values.tables import csv_of, lab_of
from tests.cli.conftest import Call
from tests.records import made_up

BY = ("--run", "K7Q2X", "--sheet", "card-148", "--by", "AB", "--measured", "2026-11-20", "--white", "D50")


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


@pytest.fixture
def card() -> Layout:
    return layout_of("card-148")


@pytest.fixture
def readings(tmp_path: Path, card: Layout) -> Path:
    path = tmp_path / "card.csv"
    path.write_text(csv_of(card, lab_of(card) + np.array([-0.5, 1, 1])), encoding="utf-8")
    return path


def test_a_template_for_a_spreadsheet(call: Call, tmp_path: Path) -> None:
    told = call("card-values", "template", "mat-254", "--out", tmp_path / "mat.csv")
    assert told.exit_code == 0
    text = (tmp_path / "mat.csv").read_text(encoding="utf-8-sig")
    assert "number,place,L,a,b" in text
    assert text.count("\n") == 2 + 1 + len(layout_of("mat-254").patches) + 2


def test_readings_are_brought_in_kept_and_shown(call: Call, readings: Path, own_home: Path, card: Layout) -> None:
    told = call("card-values", "import", readings, *BY, "--instrument", "45/0, M1", "--months", 12)
    assert told.exit_code == 0, told.output
    assert f"K7Q2X, {card.name}: instrument values of 2026-11-20 by AB; counts until 2027-11-20" in told.stdout
    assert "adapted to D65 (Bradford)" in told.stdout
    (kept,) = load_values(own_home / "card-values", load_layouts())
    assert kept.instrument == "45/0, M1"
    shown = json.loads(call("card-values", "show", "--json").stdout)["values"]
    assert [(one["run"], one["sheet"], one["method"]) for one in shown] == [("K7Q2X", "card-148", "instrument")]
    np.testing.assert_allclose(shown[0]["patch_lab"], kept.patch_lab, atol=1e-4)
    assert f"K7Q2X, {card.name}" in call("card-values", "show").stdout
    assert f"K7Q2X, {card.name}" in call("card-values", "show", "--run", "k7q2x").stdout
    assert "Nothing of CCCCC has been measured" in call("card-values", "show", "--run", "CCCCC").stdout


def test_the_newest_is_shown_and_nothing_is_lost(call: Call, readings: Path, own_home: Path) -> None:
    for day in ("2026-01-05", "2026-03-05", "2026-02-05"):
        assert call("card-values", "import", readings, *BY[:-4], "--measured", day, "--white", "D65").exit_code == 0
    shown = json.loads(call("card-values", "show", "--json").stdout)["values"]
    assert [one["measured_on"] for one in shown] == ["2026-03-05"]
    assert len(list((own_home / "card-values").iterdir())) == 3


def test_two_cards_of_a_run_tell_their_spread(call: Call, readings: Path, tmp_path: Path, card: Layout) -> None:
    second = tmp_path / "second.csv"
    second.write_text(csv_of(card, lab_of(card) + np.array([-0.9, 1, 1])), encoding="utf-8")
    assert "mean of 2 cards" in call("card-values", "import", readings, second, *BY).stdout


def test_a_run_in_small_letters_is_the_same_run(call: Call, readings: Path, own_home: Path) -> None:
    assert call("card-values", "import", readings, "--run", "k7q2x", *BY[2:]).exit_code == 0
    assert [one.run for one in load_values(own_home / "card-values", load_layouts())] == ["K7Q2X"]


@pytest.mark.parametrize("day", ["2962-11-20", "9999-12-31"])
def test_no_card_was_measured_on_a_day_to_come(call: Call, readings: Path, own_home: Path, day: str) -> None:
    told = call("card-values", "import", readings, *BY[:-4], "--measured", day, "--white", "D65")
    assert told.exit_code == 2
    assert f"{day} has not come yet" in told.stderr
    assert call("card-values", "from-chart", readings, "--by", "AB", "--measured", day).exit_code == 2
    assert not own_home.exists()


def test_old_values_are_told_so(call: Call, readings: Path) -> None:
    told = call("card-values", "import", readings, *BY[:-4], "--measured", "2020-01-31", "--white", "D65")
    assert "counts until 2020-07-31, and is old" in told.stdout


def test_faulty_readings_are_told_all_at_once_and_nothing_is_kept(
    call: Call, tmp_path: Path, own_home: Path, card: Layout
) -> None:
    path = tmp_path / "card.csv"
    path.write_text(csv_of(card, lab_of(card)).replace("\n3,", "\n4,"), encoding="utf-8")
    told = call("card-values", "import", path, *BY)
    assert told.exit_code == 2
    assert "sample 4: is there twice" in told.stderr
    assert "no reading of 3" in told.stderr
    assert not own_home.exists()


def test_a_run_that_is_no_run_is_told(call: Call, readings: Path) -> None:
    told = call("card-values", "import", readings, "--run", "../../x", *BY[2:])
    assert told.exit_code == 2
    assert "no name of a print run" in told.stderr


def test_a_file_that_is_too_large_is_told(call: Call, tmp_path: Path) -> None:
    (tmp_path / "card.txt").write_bytes(b"1" * 3_000_000)
    assert "larger than a table of readings" in call("card-values", "import", tmp_path / "card.txt", *BY).stderr


def test_a_file_that_is_not_there(call: Call, tmp_path: Path) -> None:
    told = call("card-values", "import", tmp_path / "none.txt", *BY)
    assert told.exit_code == 2
    assert f"There is no {tmp_path / 'none.txt'}." in told.stderr
    told = call("card-values", "import", tmp_path, *BY)
    assert told.exit_code == 2
    assert f"{tmp_path} is a folder, not a file." in told.stderr


def test_a_damaged_file_of_values_stops_grading_with_words(call: Call, own_home: Path, tmp_path: Path) -> None:
    (own_home / "card-values").mkdir(parents=True)
    (own_home / "card-values" / "K7Q2X.card-148.2026-01-01.01.toml").write_text("run = ", encoding="utf-8")
    (tmp_path / "plate.jpg").write_bytes(b"made up")
    told = call("grade", tmp_path / "plate.jpg", "--out", tmp_path / "out")
    assert told.exit_code == 2
    assert "K7Q2X.card-148.2026-01-01.01.toml" in told.stderr


def test_a_card_known_by_its_serial_is_told_once_and_nothing_quiet_is(measured: CardValues) -> None:
    quiet = Reason(code="card_not_measured", message="Nobody measured it.", hint="Have it measured.", quiet=True)
    known = replace(made_up.graded(), serial=Serial("K7Q2X", 14), values=measured, reasons=(quiet,))
    entries = tuple(PhotoEntry(stem=stem, source=stem, graded=known) for stem in ("a", "b"))
    words = StringIO()
    batch = BatchEntry(name="lunch", photos=entries, verdict=known.verdict)
    tell_batch(Console(file=words, width=200), batch, made_up.standard())
    assert words.getvalue().count("Card K7Q2X-014-T: colours measured by instrument on 2026-11-20 by AB") == 1
    assert "Nobody measured it." not in words.getvalue()


@pytest.fixture
def measured(card: Layout) -> CardValues:
    day = date(2026, 11, 20)
    values = designed_values(card, run="K7Q2X", printed_on=day, expires_on=date(2027, 5, 20), by="AB")
    return replace(values, method="instrument")
