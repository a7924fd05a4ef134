"""Calls before verdicts, on the training page and at the pass; agreement told; the guide for the wall."""

from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from grader import pages
from grader.records.database import House, open_house
from grader.records.database.colour_calls import Called, calls_since, keep_call
from grader.records.database.reading import Wanted, plates_page
from grader.records.house_values import HouseValues, keep_house_values
from grader.standard.model import Standard
from tests.bars.records import house_standard
from tests.pages.test_at_the_pass import PASS, own_home, shoot
from tests.pages.test_judge_a_batch import PHOTO, shown
from tests.pages.test_the_line import press
from tests.records.database.conftest import keep

__all__ = ["own_home"]
Page = Callable[[], AppTest]
TRAIN = str(Path(pages.__file__).parent / "train_the_eye.py")
LONG_AGO = datetime(2000, 1, 1, tzinfo=UTC)


def calls() -> list[Called]:
    with closing(open_house()) as house:
        return list(calls_since(house, LONG_AGO))


@pytest.fixture
def training(page: Page, monkeypatch: pytest.MonkeyPatch) -> AppTest:
    """A house with five kept plates; their made-up photos are shown as a grey square."""

    def standard(*, key: str, usual: str) -> Standard:
        assert key
        assert usual == ""
        return house_standard()

    monkeypatch.setattr("grader.pages.components.choosing.standard", standard)
    monkeypatch.setattr("grader.pages.components.eye_training._picture", lambda *_: _grey())
    with closing(open_house()) as house:
        for number in range(1, 6):
            keep(house, number)
    at = page().switch_page(TRAIN).run()
    at.text_input(key="train_by").set_value("AB").run()
    assert not at.exception
    return at


def _grey() -> bytes:
    import cv2
    import numpy as np

    return bytes(cv2.imencode(".png", np.full((40, 60, 3), 120, np.uint8))[1])


def test_the_method_is_told_after_the_call_and_not_before(training: AppTest) -> None:
    assert not training.info
    press(training, "Right")
    assert not training.exception
    assert "You called it" in training.info[0].value
    (call,) = calls()
    assert (call.by, call.called, call.again) == ("AB", "right", False)
    assert call.method in {"pale", "right", "dark"}


def test_a_second_click_calls_no_plate_that_nobody_looked_at(training: AppTest) -> None:
    (first,) = [one for one in training.button if one.label == "Too dark"]
    first.click().run()
    assert len(calls()) == 1
    assert first.proto.id not in [one.proto.id for one in training.button]


def test_a_plate_whose_photo_is_deleted_meanwhile_gives_way_to_another(training: AppTest) -> None:
    gone = training.session_state["train_shown"].photo
    with closing(open_house()) as house:
        house.photos.drop(gone)
    training.run()
    assert not training.error
    assert training.session_state["train_shown"].photo != gone
    press(training, "Right")
    (call,) = calls()
    assert call.photo_sha256 != gone


def test_another_standard_gets_a_plate_of_its_own(training: AppTest, monkeypatch: pytest.MonkeyPatch) -> None:
    other = replace(house_standard(), name="Another")
    monkeypatch.setattr("grader.pages.components.choosing.standard", lambda **_: other)
    training.run()
    assert not training.exception
    assert "No plate is left to call" in shown(training), "no plate was judged by it"


def test_plates_come_back_once_all_were_called(training: AppTest) -> None:
    for _ in range(6):
        press(training, "Too dark")
        assert not training.exception
    told = calls()
    assert len(told) == 6
    assert any(one.again for one in told)
    assert "Nobody called" not in shown(training)


def test_agreement_is_told_per_cook_from_ten_plates_on(training: AppTest) -> None:
    with closing(open_house()) as house:
        _call_often(house)
    training.run()
    tables = [frame.value for frame in training.dataframe]
    told = tables[0]
    whole = told[(told["Cook"] == "CD") & (told["Week from"] == "all")].iloc[0]
    assert (whole["Plates"], whole["Called alike"]) == (12, 9)
    assert whole["Kappa"].startswith("0.")


def _call_often(house: House) -> None:
    photo = plates_page(house, Wanted())[0].photo_sha256
    pairs = [("pale", "pale")] * 4 + [("right", "right")] * 5 + [("dark", "right")] * 3
    for minutes, (called, method) in enumerate(pairs):
        at = datetime.now(UTC) - timedelta(minutes=minutes)
        keep_call(house, Called(by="CD", at=at, photo_sha256=photo, called=called, method=method, again=False))


def test_who_has_no_plates_is_told_where_they_come_from(page: Page) -> None:
    at = page().switch_page(TRAIN).run()
    at.text_input(key="train_by").set_value("AB").run()
    assert "Plates come from the pass" in shown(at)
    assert "Nobody called a plate yet" in shown(at)


def test_at_the_pass_the_call_comes_before_the_verdict(page: Page) -> None:
    keep_house_values(HouseValues(kitchen="Quayside", zone="Europe/Lisbon", shift="lunch", by="AB"))
    at = page().switch_page(PASS).run()
    at.toggle(key="pass_call_first").set_value(True).run()
    at = shoot(at, PHOTO)
    assert 'fg-word">' not in shown(at)
    next(one for one in at.button if one.label == "Too pale").click().run()
    assert not at.exception
    assert 'fg-word">' in shown(at)
    (call,) = calls()
    assert (call.by, call.called) == ("AB", "pale")
