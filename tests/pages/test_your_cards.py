"""The page of the house's cards: what is known, readings brought in, faults told, twins compared."""

from pathlib import Path

import cv2
import pytest
from streamlit.testing.v1 import AppTest

from grader import pages
from grader.card import load_layouts
from grader.card_values import load_values
from tests.card.scenes import layout_of
from tests.card_values.tables import csv_of, lab_of
from tests.card_values.test_drift import CARD, both, faded
from tests.chart.test_home import two_lights
from tests.pages.conftest import Page


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path))
    return tmp_path


@pytest.fixture
def cards(page: Page) -> AppTest:
    return page().switch_page(str(Path(pages.__file__).parent / "your_cards.py")).run()


def filled_in(cards: AppTest, text: str) -> AppTest:
    cards.file_uploader(key="card_files").set_value([("card.csv", text.encode(), "text/csv")])
    cards.text_input(key="card_run").input("k7q2x")
    cards.text_input(key="card_by").input("AB")
    cards.selectbox(key="card_white").select("D50")
    return cards.button(key="card_bring_in").click().run()


def test_nothing_is_known_at_first(cards: AppTest) -> None:
    assert not cards.exception
    assert any("No print run has been measured" in caption.value for caption in cards.caption)


def test_readings_are_brought_in_and_shown_from_then_on(cards: AppTest, own_home: Path) -> None:
    card = layout_of("card-148")
    told = filled_in(cards, csv_of(card, lab_of(card)))
    assert not told.exception
    assert not told.error
    assert "K7Q2X" in told.success[0].value
    (kept,) = load_values(own_home / "card-values", load_layouts())
    assert (kept.run, kept.measured_by) == ("K7Q2X", "AB")
    again = told.run()
    assert any("K7Q2X" in markdown.value for markdown in again.markdown)


def test_faulty_readings_are_told_and_nothing_is_kept(cards: AppTest, own_home: Path) -> None:
    card = layout_of("card-148")
    told = filled_in(cards, csv_of(card, lab_of(card)).replace("\n3,", "\n4,"))
    assert "is there twice" in told.error[0].value
    assert list(own_home.iterdir()) == []


def test_a_run_gets_its_colours_by_photos_beside_a_chart(cards: AppTest, own_home: Path) -> None:
    _, photos = two_lights(0)
    cards.file_uploader(key="chart_photos").set_value([(name, data, "image/jpeg") for name, data in photos])
    cards.text_input(key="chart_by").input("AB")
    told = cards.button(key="chart_go").click().run(timeout=120)
    assert not told.exception
    assert not told.error
    assert "The lights differ by" in told.success[0].value
    (kept,) = load_values(own_home / "card-values", load_layouts())
    assert (kept.run, kept.measured_by, kept.method) == ("K7Q2X", "AB", "chart")


def test_one_photo_beside_a_chart_is_not_enough_and_nothing_is_kept(cards: AppTest, own_home: Path) -> None:
    _, photos = two_lights(0)
    cards.file_uploader(key="chart_photos").set_value([(name, data, "image/jpeg") for name, data in photos[:1]])
    cards.text_input(key="chart_by").input("AB")
    told = cards.button(key="chart_go").click().run(timeout=120)
    assert "light" in told.error[0].value
    assert list(own_home.iterdir()) == []


def test_a_faded_card_is_told(cards: AppTest) -> None:
    _, packed = cv2.imencode(".png", both(faded(CARD, 0.2), CARD)[..., ::-1])
    cards.file_uploader(key="twins_photo").set_value(("both.png", packed.tobytes(), "image/png"))
    cards.run()
    told = cards.button(key="twins_compare").click().run(timeout=60)
    assert not told.exception
    assert "print anew now" in told.info[0].value.replace("\\", "")
