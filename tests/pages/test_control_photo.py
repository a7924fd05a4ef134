"""The control photograph on the page, with a card that was rendered."""

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from grader import pages
from grader.card_values import KnownValues
from grader.records.control_photos import RowOf, take_control
from tests.consistency.control_photos import CARD, START, pixels, png
from tests.pages.conftest import Page


@pytest.fixture
def opened(page: Page, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> AppTest:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path))
    return page().switch_page(str(Path(pages.__file__).parent / "watch_the_method.py")).run()


def handed_in(at: AppTest, data: bytes) -> AppTest:
    at.text_input(key="control_phone").input("one")
    at.file_uploader(key="control_photo").set_value(("card.png", data, "image/png"))
    return at.button(key="control_hold").click().run(timeout=60)


def test_a_first_photo_is_kept(opened: AppTest) -> None:
    at = handed_in(opened, png(pixels(CARD, number=1)))
    assert not at.exception
    assert "1 of 10 photos that set what is usual" in at.info[-1].value.replace("\\", "")


def test_a_lamp_that_changed_is_told_with_a_chart(opened: AppTest) -> None:
    for number in range(1, 6):
        take_control(
            png(pixels(CARD, number=number)),
            name="card.png",
            row=RowOf(phone="one", first=5),
            known=KnownValues(on=START.date(), values=()),
            now=START,
        )
    at = handed_in(opened, png(pixels(CARD, number=30, gain=(1.0, 0.9, 0.7))))
    assert not at.exception
    assert "The card looks changed, and the correction fits it as well as before." in at.info[-1].value.replace(
        "\\", ""
    )
    assert len(at.get("image")) == 1


def test_what_shows_no_card_is_told(opened: AppTest) -> None:
    assert "no picture" not in handed_in(opened, b"no picture").error[0].value
