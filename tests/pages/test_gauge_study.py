"""The guided study of the method: planned, photographed in the drawn order, told, and there again after a restart."""

import hashlib
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from streamlit.testing.v1 import AppTest

from grader import pages
from grader.arrays import frozen
from grader.grading import GradedPhoto
from grader.records.gauge_studies import KeptStudy, ReadLine, add_reading, named_folder, read_study
from tests.pages.conftest import Page
from tests.records import made_up


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path))


Opened = Callable[[], AppTest]


@pytest.fixture
def opened(page: Page) -> Opened:
    return lambda: page().switch_page(str(Path(pages.__file__).parent / "watch_the_method.py")).run()


@pytest.fixture
def fries_on_plates(monkeypatch: pytest.MonkeyPatch, graded_names: list[str]) -> None:
    """Plates with fries enough; "refused" in a name is refused."""
    assert graded_names == []

    def grade_photo(data: bytes, *, name: str, **_: object) -> GradedPhoto:
        if "refused" in name:
            return made_up.refused(name)
        found = made_up.graded(name)
        fries = tuple(made_up.fry(n, y=40.0 * n, lab=(60.0 + len(data) % 7, 8.0, 35.0)) for n in range(1, 8))
        plate = found.plate and replace(found.plate, fries=fries, labels=frozen(np.zeros((4, 4), np.uint16)))
        return replace(found, plate=plate, photo=None, sha256=hashlib.sha256(data).hexdigest())

    monkeypatch.setattr("grader.records.guarded.grade_photo", grade_photo)
    monkeypatch.setattr("grader.pages.components.grading.draw_plate", lambda *_: None)


def planned(at: AppTest, *, people: str = "AB, CD", plates: int = 2) -> AppTest:
    at.text_input(key="gauge_name").input("three phones")
    at.text_input(key="gauge_people").input(people)
    at.number_input(key="gauge_plates").set_value(plates)
    return at.button(key="gauge_draw").click().run()


def shown(at: AppTest) -> str:
    return " ".join(str(one.value) for one in [*at.markdown, *at.info, *at.success, *at.error]).replace("\\", "")


def add_all(study: KeptStudy) -> None:
    """Plates differ, and AB reads 1 unit lighter."""
    rng = np.random.default_rng(2)
    for photo in study.missing:
        light = 60 + 3 * int(photo.plate[1:]) + (photo.condition.person == "AB") + rng.normal(0, 0.1)
        line = ReadLine(
            number=photo.number,
            file="a.jpg",
            sha256=f"{photo.number:064x}",
            at=datetime(2026, 11, 26, tzinfo=UTC),
            method_version="2",
            means={"L": light, "place": 3 - 0.1 * (light - 60)},
        )
        study = add_reading(study, line)


def test_a_study_is_planned_and_goes_on(opened: Opened) -> None:
    at = planned(opened())
    assert not at.exception
    assert at.selectbox(key="gauge_study").value == "three phones"
    study = read_study(named_folder("three phones"))
    assert len(study.plan.photos) == 8
    due = study.plan.photos[0]
    assert at.selectbox(key="gauge_number_three phones_0").value == 1
    assert at.file_uploader[0].label == f"Photo 1: plate {due.plate}, {due.condition.person}"
    assert "Nothing can be told yet" in shown(at)


def test_what_can_say_nothing_is_told_before_it_is_begun(opened: Opened) -> None:
    at = planned(opened(), people="AB")
    assert "nothing could differ" in shown(at)
    assert not named_folder("three phones").exists()


def test_a_photo_is_read_and_the_next_one_is_due(opened: Opened, fries_on_plates: None) -> None:
    assert fries_on_plates is None
    at = planned(opened())
    at.file_uploader[0].set_value(("one.jpg", b"one", "image/jpeg")).run()
    assert not at.exception
    assert "Photo 1 is read: Place on the colour scale" in shown(at)
    assert at.selectbox(key="gauge_number_three phones_1").value == 2
    at.file_uploader[0].set_value(("one.jpg", b"one", "image/jpeg")).run()
    assert "was given as photo 1 already" in shown(at)
    assert len(read_study(named_folder("three phones")).lines) == 1


def test_a_refused_photo_stays_due(opened: Opened, fries_on_plates: None) -> None:
    assert fries_on_plates is None
    at = planned(opened())
    at.file_uploader[0].set_value(("refused.jpg", b"one", "image/jpeg")).run()
    assert "Photo 1 (refused.jpg) can't be used" in shown(at)
    assert not read_study(named_folder("three phones")).lines


def test_after_a_restart_the_study_is_there_and_says_what_it_found(opened: Opened) -> None:
    planned(opened(), plates=4)
    add_all(read_study(named_folder("three phones")))
    at = opened()
    assert not at.exception
    assert at.selectbox(key="gauge_study").value == "three phones"
    at = at.button_group(key="gauge_quantity").set_value("L").run()
    assert not at.exception
    assert "the method can tell" in shown(at)
    assert "most of its doubt is the person" in shown(at)
    assert any("(read)" in option for option in at.selectbox(key="gauge_number_three phones_16").options)
    (parts,) = at.table
    assert list(parts.value.columns) == ["Scatter (units)", "95 %"]
    assert "the person" in parts.value.index
