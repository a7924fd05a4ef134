"""Plates kept from the page: the same records as the command line's."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from grader.photo import Photo
from grader.places import HOME_VARIABLE
from grader.records.database import open_house
from grader.records.database.reading import Wanted, batches_page, plates_page
from tests.pages.test_judge_a_batch import PHOTO, SECOND, shown
from tests.records import made_up

Page = Callable[[], AppTest]


@pytest.fixture
def records(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where the page keeps them in this test; the made-up photos can be read again."""
    monkeypatch.setenv(HOME_VARIABLE, str(tmp_path))

    def read(data: bytes, *, name: str) -> Photo:
        assert data
        return replace(made_up.photo(), name=name)

    monkeypatch.setattr("grader.pages.components.grading.read_photo", read)
    return tmp_path / "records"


def keep_button(at: AppTest) -> None:
    next(button for button in at.button if button.label == "Keep them").click().run()
    assert not at.exception


def test_nothing_is_kept_until_somebody_asks(page: Page, records: Path) -> None:
    page().file_uploader(key="photos").set_value([PHOTO]).run()
    assert not records.exists()


def test_plates_and_their_decision_are_kept_once(page: Page, records: Path) -> None:
    at = page()
    at.file_uploader(key="photos").set_value([PHOTO, SECOND]).run()
    for field, words in (("kitchen", "Harbour"), ("zone", "Europe/Lisbon"), ("shift", "lunch"), ("by", "AB")):
        at.text_input(key=f"records_{field}").set_value(words)
    keep_button(at)
    assert "2 new, 0 known" in at.success[0].value
    keep_button(at)
    assert "0 new, 2 known" in at.success[0].value
    assert records.exists()
    house = open_house()
    (batch,) = batches_page(house, Wanted(kitchen="Harbour", shift="lunch"))
    assert (batch.plates, batch.outcome) == (2, "fail")
    assert {plate.taken_at.isoformat() for plate in plates_page(house, Wanted())} == {"2026-03-05T12:10:00+00:00"}
    house.close()


def test_what_is_missing_is_told_and_nothing_is_kept(page: Page, records: Path) -> None:
    at = page()
    at.file_uploader(key="photos").set_value([PHOTO]).run()
    keep_button(at)
    assert "kitchen is blank" in shown(at)
    at.text_input(key="records_kitchen").set_value("Harbour")
    keep_button(at)
    assert "isn't known yet" in shown(at).replace("\\", "")
    assert list(records.glob("photos/??/*")) == []


def test_plates_that_are_kept_but_not_chained_are_told(page: Page, records: Path) -> None:
    records.with_name("evidence").write_text("no folder")
    at = page()
    at.file_uploader(key="photos").set_value([PHOTO]).run()
    for field, words in (("kitchen", "Harbour"), ("zone", "Europe/Lisbon")):
        at.text_input(key=f"records_{field}").set_value(words)
    keep_button(at)
    assert "1 new, 0 known" in at.success[0].value
    assert "not entered in the chain" in shown(at)
