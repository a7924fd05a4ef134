"""Control photographs kept: rows by card, phone and light, begun anew where said, nothing lost of a cut-short write."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from grader.card_values import KnownValues
from grader.consistency.control.causes import State, state_of
from grader.errors import DocumentFaulty, PhotoRefused
from grader.records.control_photos import (
    ControlRun,
    RowOf,
    control_record,
    read_controls,
    run_lines,
    take_control,
)
from tests.consistency.control_photos import CARD, START, pixels, png

SAMPLES = Path(__file__).parents[2] / "sample_images"
KNOWN = KnownValues(on=START.date(), values=())
PHOTOS = [png(pixels(CARD, number=number)) for number in range(1, 8)]


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path))


def take(data: bytes, day: int, *, phone: str = "one", anew: str = "") -> ControlRun:
    row = RowOf(phone=phone, light="pass", first=5, anew=anew)
    return take_control(data, name=f"{day}.png", row=row, known=KNOWN, now=START + timedelta(days=day))


def test_a_row_is_kept_and_watched() -> None:
    for day, data in enumerate(PHOTOS[:4]):
        assert state_of(take(data, day).watch) is State.LEARNING
    take(PHOTOS[4], 4)
    run = take(PHOTOS[5], 5)
    assert state_of(run.watch) is State.AS_USUAL
    assert run_lines(run)[1] == "The card looks as usual."
    assert len(read_controls(run.file)) == 6
    assert take(PHOTOS[5], 6).watch.taken[-1].at == START + timedelta(days=5)  # the same photo is no second one
    assert len(read_controls(run.file)) == 6
    lamp = take(png(pixels(CARD, number=30, gain=(1.0, 0.9, 0.7))), 7)
    assert state_of(lamp.watch) is State.REFITTED
    record = control_record(lamp)
    assert record["suspects"] == ["the phone", "the print", "the light"]
    assert record["rows"]["blue"]["out"] == [False] * 6 + [True]
    again = take(png(pixels(CARD, number=31, gain=(1.0, 0.9, 0.7))), 8, anew="a new lamp")
    assert (state_of(again.watch), len(again.watch.taken)) == (State.LEARNING, 1)
    assert len(read_controls(run.file)) == 8


def test_a_plate_is_no_card_alone_and_that_is_told() -> None:
    plate = take((SAMPLES / "b1" / "b1-plate2.jpg").read_bytes(), 0)
    assert run_lines(plate)[1].startswith("38 fries lie beside the card. A control photograph is of the card alone")
    assert control_record(plate)["fries"] == 38
    assert not any("lie beside" in line for line in run_lines(take(PHOTOS[0], 1)))


def test_a_photo_that_is_kept_already_stays_in_its_row() -> None:
    first = take(PHOTOS[0], 0)
    again = take(PHOTOS[0], 1, phone="named otherwise")
    assert again.line == first.line
    assert len(again.watch.taken) == 1
    assert len(read_controls(first.file)) == 1


def test_another_phone_has_a_row_of_its_own_and_clears_itself() -> None:
    for day in range(5):
        take(PHOTOS[day], day)
        take(png(pixels(CARD, number=100 + day)), day, phone="two")
    take(png(pixels(CARD, number=40)), 5, phone="two")
    changed = take(png(pixels(CARD, number=41, gamma=1.25)), 5)
    assert state_of(changed.watch) is State.REFITTED
    assert [other.state for other in changed.others] == [State.AS_USUAL]
    assert "By what other cards and phones show, it is the phone." in run_lines(changed)
    later = take(png(pixels(CARD, number=42, gamma=1.25)), 30)
    assert later.others == ()  # what the other phone saw weeks ago says nothing of today


def test_a_write_that_was_cut_short_costs_nothing_that_was_told() -> None:
    run = take(PHOTOS[0], 0)
    whole = run.file.read_bytes()
    run.file.write_bytes(whole + whole[: len(whole) // 2])
    assert read_controls(run.file) == (run.line,)
    assert len(read_controls(take(PHOTOS[1], 1).file)) == 2
    run.file.write_bytes(b"{}\n" + whole)
    with pytest.raises(DocumentFaulty, match="line 1"):
        take(PHOTOS[2], 2)
    assert run.file.read_bytes() == b"{}\n" + whole


def test_a_photo_without_a_card_is_refused() -> None:
    grey = np.random.default_rng(1).integers(90, 110, (900, 1200, 3), np.uint8)
    with pytest.raises(PhotoRefused):
        take(png(grey), 0)


def test_the_files_own_time_counts() -> None:
    run = take(PHOTOS[0], 0)
    assert run.line.at == datetime(2026, 11, 2, 9, tzinfo=UTC)
