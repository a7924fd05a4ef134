"""The commands of a gauge study, from the plan to what it says, with photos that are made up."""

import csv
import hashlib
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from typer.testing import Result

from grader.arrays import frozen
from grader.grading import GradedPhoto
from grader.records.gauge_studies import read_study
from tests.records import made_up

Call = Callable[..., Result]
PLAN = ("--person", "AB", "--person", "CD", "--phone", "old", "--phone", "new", "--plates", "5")


@pytest.fixture(autouse=True)
def home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path / "home"))


@pytest.fixture
def folder(tmp_path: Path, call: Call) -> Path:
    done = call("consistency", "gauge", "plan", "--out", tmp_path / "study", *PLAN)
    assert done.exit_code == 0, done.output
    assert "40 photos: 5 plates in all" in done.output
    assert "Fries cool and dry" in done.output
    return tmp_path / "study"


@pytest.fixture(autouse=True)
def made_up_grading(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> list[str]:
    """Every plate has a colour of its own, the new phone reads 4 units lighter; what says "refused" is refused."""
    graded: list[str] = []

    def grade_photo(data: bytes, *, name: str, **_: object) -> GradedPhoto:
        graded.append(name)
        if b"refused" in data:
            return made_up.refused(name)
        photo = read_study(tmp_path / "study").plan.photos[int(Path(name).stem) - 1]
        light = 72 - 5 * int(photo.plate[1:]) + 4 * (photo.condition.phone == "new")
        lab = frozen(np.array([light + np.random.default_rng(photo.number).normal(0, 0.3), 8.0, 35.0]))
        fries = tuple(made_up.fry(n, y=40.0 * n) for n in range(1, 7))
        coloured = tuple(replace(one, colour=one.colour and replace(one.colour, lab=lab)) for one in fries)
        found = made_up.graded(name)
        plate = found.plate and replace(found.plate, fries=coloured)
        return replace(found, plate=plate, sha256=hashlib.sha256(data).hexdigest())

    monkeypatch.setattr("grader.records.guarded.grade_photo", grade_photo)
    return graded


def schedule(folder: Path) -> list[dict[str, str]]:
    with (folder / "schedule.csv").open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def photographed(folder: Path, *, but: tuple[int, ...] = ()) -> None:
    for row in schedule(folder):
        if int(row["photo"]) not in but:
            (folder / "photos" / row["file"]).write_bytes(row["photo"].encode())


def test_the_schedule_is_written_and_drawn_again_by_the_same_number(folder: Path, tmp_path: Path, call: Call) -> None:
    rows = schedule(folder)
    assert len(rows) == 40
    assert {row["phone"] for row in rows} == {"old", "new"}
    call("consistency", "gauge", "plan", "--out", tmp_path / "again", *PLAN)
    assert schedule(tmp_path / "again") == rows


def test_a_study_says_that_the_phone_is_to_blame(folder: Path, call: Call) -> None:
    photographed(folder)
    done = call("consistency", "gauge", "read", folder, "--quantity", "L")
    assert done.exit_code == 0, done.output
    assert "All 40 photos are read." in done.stdout
    assert "most of its doubt is the phone" in done.stdout
    told = json.loads(call("consistency", "gauge", "read", folder, "--json").stdout)
    assert told["missing"] == []
    of_phone = told["quantities"]["L"]["sd"]["phone"]
    assert of_phone["value"] == pytest.approx(4 / 2**0.5, abs=0.3)  # two phones 4 apart: their own sd is 2.83
    (plates, *_) = told["quantities"]["L"]["anova"]
    assert (plates["source"], plates["freedom"]) == ("plate", 4)
    assert plates["squares"] == pytest.approx(8 * 5**2 * 10, rel=0.05)  # 8 photos each of -2, -1, 0, 1, 2 times 5


def test_what_is_missing_is_told_and_a_whole_plate_is_left_out(
    folder: Path, call: Call, made_up_grading: list[str]
) -> None:
    photographed(folder, but=(3,))
    done = call("consistency", "gauge", "read", folder, "--quantity", "L")
    plate = schedule(folder)[2]["plate"]
    assert f"Photo 3: plate {plate}" in done.stdout
    assert f"Left out, because photos of them are missing: {plate}." in done.stdout
    graded = len(made_up_grading)
    photographed(folder)
    assert "All 40 photos are read." in call("consistency", "gauge", "read", folder).stdout
    assert made_up_grading[graded:] == ["003.jpg"]  # what was read is not graded again


def test_refused_photos_stop_no_other_and_may_be_taken_again(folder: Path, call: Call) -> None:
    photographed(folder)
    (folder / "photos" / "001.jpg").write_bytes(b"refused")
    done = call("consistency", "gauge", "read", folder)
    assert "Photo 1 (001.jpg) can't be used" in done.stderr
    assert "39 of 40 are read" in done.stdout
    photographed(folder)
    assert "All 40 photos are read." in call("consistency", "gauge", "read", folder).stdout


def test_before_the_second_plate_nothing_can_be_told(folder: Path, call: Call) -> None:
    photographed(folder, but=tuple(range(9, 41)))
    done = call("consistency", "gauge", "read", folder)
    assert done.exit_code == 0
    assert "Lightness L*: can't be told yet." in done.stdout


def test_faulty_calls_say_what_to_do(folder: Path, tmp_path: Path, call: Call) -> None:
    for arguments, words in (
        (("plan", "--out", folder, *PLAN), "There is a study in"),
        (("plan", "--out", tmp_path / "x", "--person", "AB"), "nothing could differ"),
        (("read", tmp_path), "holds no study"),
        (("read", folder, "--quantity", "taste"), "no quantity called taste"),
        (("read", folder, "--tolerance", "2"), "belongs to one quantity"),
    ):
        done = call("consistency", "gauge", *arguments)
        assert done.exit_code == 2
        assert words in done.stderr
