"""The commands of a trueness study, from the plan to a study that is kept, with photos that are made up."""

import csv
import json
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from typer.testing import Result

from grader.card.serial import Serial
from grader.card_values import KnownValues
from grader.fries.model import Plate
from grader.grading import GradedPhoto
from grader.records.house import kept_studies
from grader.standard.model import Standard
from grader.trueness import ColourLevel, LengthLevel, standing_of
from grader.trueness.kit_files import write_kit
from tests.records import made_up as graded_up
from tests.trueness import made_up
from tests.trueness.made_up_photos import graded_photo

Call = Callable[..., Result]
Grade = Callable[[str], GradedPhoto]
KIT = replace(made_up.kit(), sheet="card-148")


@pytest.fixture(autouse=True)
def home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A kit with all of its photos, in which is nothing that a decoder would take."""
    write_kit(tmp_path / "kit", KIT)
    for photo in KIT.photos:
        (tmp_path / "kit" / photo.file).write_bytes(photo.name.encode())
    return tmp_path / "kit"


@pytest.fixture
def heights() -> list[float]:
    return []


@pytest.fixture
def change() -> dict[str, Callable[[GradedPhoto], GradedPhoto]]:
    """What becomes of single photos, by name."""
    return {}


@pytest.fixture(autouse=True)
def made_up_grading(
    monkeypatch: pytest.MonkeyPatch, heights: list[float], change: dict[str, Callable[[GradedPhoto], GradedPhoto]]
) -> None:
    rng = np.random.default_rng(3)

    def grade_file(path: Path, *, standard: Standard, known: KnownValues, progress: object) -> GradedPhoto:
        assert known.on >= date(2026, 1, 1)
        assert callable(progress)
        progress(0.5, "finding the fries")
        planned = next(photo for photo in KIT.photos if photo.name == path.stem)
        assert standard.surface == "matt"
        heights.append(standard.plate_height_above_card_mm)
        graded = graded_photo(KIT, planned, rng)
        return change[planned.name](graded) if planned.name in change else graded

    monkeypatch.setattr("grader.cli.trueness_run.grade_file", grade_file)


def test_a_plan_makes_tables_a_worksheet_and_no_second_one(call: Call, tmp_path: Path) -> None:
    out = tmp_path / "new"
    done = call("trueness", "plan", "--out", out, "--light", "window", "--light", "tubes")
    assert done.exit_code == 0, done.output
    assert {path.name for path in out.iterdir()} == {
        "kit.toml", "pieces.csv", "photos.csv", "places.csv", "worksheet.html",
    }  # fmt: skip
    assert "14 photos of 39 pieces" in done.stdout
    assert call("trueness", "plan", "--out", out, "--light", "window").exit_code == 5


def test_a_plan_on_a_mat_has_one_height(call: Call, tmp_path: Path) -> None:
    done = call("trueness", "plan", "--out", tmp_path / "m", "--light", "window", "--sheet", "mat-396")
    assert done.exit_code == 0, done.output
    with (tmp_path / "m" / "photos.csv").open(encoding="utf-8-sig") as file:
        assert {row["raised_mm"] for row in csv.DictReader(file)} == {"0"}


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--light", "window", "--bars", "3"], "3 bars"),
        (["--light", "window", "--sheet", "card-b7"], "no sheet called card-b7"),
        (["--light", "window", "--sheet", "card-a6-inks"], "carries a serial"),
    ],
)
def test_an_impossible_plan_is_told(call: Call, tmp_path: Path, arguments: list[str], told: str) -> None:
    done = call("trueness", "plan", "--out", tmp_path / "x", *arguments)
    assert done.exit_code == 2
    assert told in done.stderr
    assert not (tmp_path / "x").exists()


def test_next_says_one_thing_at_a_time(call: Call, folder: Path) -> None:
    (folder / KIT.photos[3].file).unlink()
    told = call("trueness", "next", folder)
    assert f"Photo {KIT.photos[3].name}" in told.stdout
    assert "(1 to go of this kind.)" in told.stdout
    (folder / KIT.photos[3].file).write_bytes(b"photo")
    assert "trueness study" in call("trueness", "next", folder).stdout
    assert call("trueness", "next", folder / "nowhere").exit_code == 2


def test_a_study_is_told_written_and_kept(call: Call, folder: Path, heights: list[float]) -> None:
    done = call("trueness", "study", folder)
    assert done.exit_code == 0, done.output
    assert "Sizes: bias of length is within what is accepted" in done.stdout
    assert "15 planned, 15 used" in done.stdout
    assert set(heights) == {min(heights), min(heights) + 12}  # the method is told how high pieces lie
    (kept,) = kept_studies()
    assert json.loads((folder / "study.json").read_text(encoding="utf-8"))["by"] == "TH"
    agreement = kept.agreement("length_mm")
    assert agreement is not None
    assert agreement.bias.value == pytest.approx(0.2, abs=0.1)
    with (folder / "differences.csv").open(encoding="utf-8-sig") as file:
        assert len(list(csv.DictReader(file))) == 6 * 24 * 2 + 9 * 15 * 3
    assert len(list((folder / "graded").iterdir())) == 15
    standing = standing_of(made_up.values(sheet="card-148"), kept, kept.made_on, kept.method_version)
    assert (standing.colour, standing.length) == (ColourLevel.ABSOLUTE, LengthLevel.ABSOLUTE)

    shown = call("trueness", "show").stdout
    assert "K7Q2X" in shown
    assert "CIE 2000 distance" in shown


def test_a_study_that_is_not_kept_lifts_nothing(call: Call, folder: Path) -> None:
    done = call("trueness", "study", folder, "--no-keep")
    assert "results don't rest on it" in done.stdout
    assert kept_studies() == ()
    assert "No study is kept" in call("trueness", "show").stdout


def _heap(graded: GradedPhoto) -> Plate:
    """All pieces in one line: no places to be told."""
    assert graded.plate is not None
    fries = tuple(
        replace(fry, outline_px=fry.outline_px - fry.outline_px.mean(axis=0) + (300 + 20 * k, 300 + 10 * k))
        for k, fry in enumerate(graded.plate.fries)
    )
    return replace(graded.plate, fries=fries)


def test_what_could_not_be_used_is_told_and_counted(
    call: Call, folder: Path, change: dict[str, Callable[[GradedPhoto], GradedPhoto]]
) -> None:
    lost = KIT.photos[0].laid[0].pieces[0]
    rng = np.random.default_rng(5)
    change["bars-01"] = lambda _: graded_photo(KIT, KIT.photos[0], rng, without=[lost])
    change["bars-02"] = lambda graded: replace(graded, serial=Serial("D3F4G", 1))
    change["bars-03"] = lambda graded: replace(graded, serial=None)
    change["bars-04"] = lambda _: graded_up.refused("bars-04.jpg")
    change["chips-01"] = lambda graded: replace(graded, values=None)
    change["chips-02"] = lambda graded: replace(graded, values=made_up.values("chart", sheet="card-148"))
    change["chips-03"] = lambda graded: replace(graded, plate=_heap(graded))
    (folder / "bars-05.jpg").unlink()
    done = call("trueness", "study", folder)
    assert done.exit_code == 0, done.output
    told = done.stdout
    assert f"bars-01: Not found or not told apart: {', '.join(KIT.photos[0].laid[0].pieces)}." in told
    assert "bars-02: The card in it is D3F4G-001" in told
    assert "bars-03: The card's serial can't be read" in told
    assert "bars-04: No card is in the photo." in told
    assert "bars-05: There is no such photo." in told
    assert "chips-01: The colours of the card's print run are not kept here" in told
    assert "chips-02: It was graded with other colours" in told
    assert "chips-03: The three rows of places can't be told apart." in told
    (kept,) = kept_studies()
    assert (kept.tally.photos, kept.tally.photos_refused, kept.tally.photos_unclear) == (15, 6, 1)
    assert kept.tally.not_met == len(KIT.photos[0].laid[0].pieces)
    assert "not shown to be within" in told


def test_a_kit_that_is_not_finished_or_shows_nothing_is_told(
    call: Call, folder: Path, tmp_path: Path, change: dict[str, Callable[[GradedPhoto], GradedPhoto]]
) -> None:
    call("trueness", "plan", "--out", tmp_path / "new", "--light", "window")
    unfinished = call("trueness", "study", tmp_path / "new")
    assert unfinished.exit_code == 2
    assert "lacks 67 thing(s)" in unfinished.stderr
    for photo in KIT.photos:
        change[photo.name] = lambda _: graded_up.refused("x.jpg")
    nothing = call("trueness", "study", folder)
    assert nothing.exit_code == 2
    assert "No photo of the kit could be used." in nothing.stderr
    assert "bars-01" in nothing.stderr
