"""Shifts compared and capability on the page, of records whose plates were made to differ by a known amount."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from unittest.mock import patch

import numpy as np
import pytest
from streamlit.testing.v1 import AppTest

from grader import pages
from grader.records.database import House, LotFacts, Setting, keep_graded, open_house
from grader.records.database.figures import PlateFigures, plate_figures
from tests.bars.records import graded_plate, house_standard, photo_bytes
from tests.consistency.weeks import EVERY, START
from tests.pages.conftest import Page

PAGE = str(Path(pages.__file__).parent / "shift_to_shift.py")
LEVELS = {"lunch": 3.0, "dinner": 4.0, "late": 3.02}
"""Mean places of the shifts' plates, before what chance adds."""


def about(level: float) -> Callable[..., PlateFigures]:
    return lambda *asked: replace(plate_figures(*asked), place_mean=level, place_sd=0.4, length_mean_mm=20 * level)


def keep_shifts(house: House) -> None:
    """Of each shift six batches of two plates; dinner's are a step darker, late's like lunch's."""
    rng = np.random.default_rng(3)
    for number in range(36):
        batch = number // 2
        shift = list(LEVELS)[batch % 3]
        graded = graded_plate(number, photo_bytes(number, 100), fries=6)
        assert graded.photo is not None
        at = START + batch * EVERY + timedelta(minutes=number % 2)
        graded = replace(graded, photo=replace(graded.photo, taken_at=at.isoformat()))
        setting = Setting(
            kitchen="Harbour",
            zone="Europe/Lisbon",
            fryer="left",
            shift=shift,
            lot=LotFacts(supplier="Invented Growers", number="L-1" if shift == "late" else "L-7"),
            batch=f"batch {batch}",
            by="AB",
        )
        level = LEVELS[shift] + rng.normal(0, 0.03)
        with patch("grader.records.database.keeping.plate_figures", about(level)):
            keep_graded(house, graded, photo_bytes(number, 100), standard=house_standard(), setting=setting)


@pytest.fixture
def at(page: Page, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> AppTest:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path))
    for name in ("FRY_GRADER_RECORDS", "FRY_GRADER_PHOTOS"):
        monkeypatch.delenv(name, raising=False)
    house = open_house()
    keep_shifts(house)
    house.close()
    opened = page().switch_page(PAGE).run()
    assert not opened.exception
    return opened


def shown(at: AppTest) -> str:
    assert not at.exception
    told = [*at.markdown, *at.info, *at.warning, *at.error, *at.caption]
    return " ".join(str(one.value) for one in told).replace("\\", "")


def test_nothing_is_reckoned_before_it_is_asked(at: AppTest) -> None:
    assert "worth acting on." not in shown(at)
    assert "Expected outside" not in shown(at)


def test_a_comparison_wants_what_is_worth_acting_on(at: AppTest) -> None:
    at.number_input(key="compare_worth_place").set_value(0.0)
    words = shown(at.button(key="compare_go").click().run())
    assert "Say which difference you would act on" in words


def test_shifts_that_differ_and_shifts_that_are_alike_are_told_apart(at: AppTest) -> None:
    words = shown(at.button(key="compare_go").click().run())
    assert "They differ by more than the 0.30 steps worth acting on." in words
    assert "lunch and late are alike enough" in words or "late and lunch are alike enough" in words
    assert "Not all had the same lots" in words
    table = next(one.value for one in at.dataframe if "Mean" in one.value.columns)
    means = dict(zip(table["Which"], table["Mean"], strict=True))
    assert {name: float(told.split()[0]) for name, told in means.items()} == pytest.approx(LEVELS, abs=0.05)
    assert set(table["Plates"]) == {12}
    assert set(table["Batches"]) == {6}


def test_lengths_are_compared_in_the_visitors_unit(at: AppTest) -> None:
    at.session_state["lengths"] = "in"
    at.segmented_control(key="compare_what").set_value("length").run()
    words = shown(at.button(key="compare_go").click().run())
    assert " in longer than " in words or " in shorter than " in words
    apart = 20.0 / 25.4  # a step is 20 mm here
    assert f"{apart:.1f}" in words


def test_one_kitchen_alone_is_compared_with_nothing(at: AppTest) -> None:
    at.selectbox(key="compare_by").set_value("kitchen").run()
    words = shown(at.button(key="compare_go").click().run())
    assert "There is nothing to compare: all plates are of one group." in words
    assert "worth acting on." not in words


def test_plates_of_which_nobody_said_the_shift_are_left_out_and_counted(at: AppTest) -> None:
    house = open_house()
    data = photo_bytes(99, 100)
    setting = Setting(kitchen="Harbour", zone="Europe/Lisbon", fryer="left", batch="nobody said", by="AB")
    with patch("grader.records.database.keeping.plate_figures", about(6.0)):
        keep_graded(house, graded_plate(99, data, fries=6), data, standard=house_standard(), setting=setting)
    house.close()
    words = shown(at.button(key="compare_go").click().run())
    assert "1 plate is left out: nobody said which it is of." in words
    assert "lunch" in words


def test_capability_is_told_against_the_standards_target(at: AppTest) -> None:
    standard = house_standard()
    assert at.number_input(key="capability_low_place").value == standard.scale.target_from
    words = shown(at.button(key="capability_go").click().run())
    assert "Expected outside the range:" in words
    table = next(one.value for one in at.dataframe if "Index" in one.value.columns)
    assert list(table["Index"]) == ["Cp", "Cpk", "Pp", "Ppk"]
    low, high = standard.scale.target_from, standard.scale.target_to
    within = float(np.hypot(0.4, 0.03))  # fries of a plate, and plates of a batch, as they were made
    assert float(table["Value"][0]) == pytest.approx((high - low) / (6 * within), rel=0.1)


def test_a_range_without_ends_is_asked_for(at: AppTest) -> None:
    at.segmented_control(key="capability_what").set_value("length").run()
    assert "Give the range one end at least." in shown(at.button(key="capability_go").click().run())
