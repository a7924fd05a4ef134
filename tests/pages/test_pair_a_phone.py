"""The square code that pairs a phone."""

import base64
from collections.abc import Callable
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest
from streamlit.testing.v1 import AppTest

from grader import pages
from grader.serving.here import SERVED_VARIABLE
from grader.serving.pairing import Pairings

Page = Callable[[], AppTest]
PAIR = str(Path(pages.__file__).parent / "pair_a_phone.py")


@pytest.fixture
def pairings(monkeypatch: pytest.MonkeyPatch) -> Pairings:
    kept = Pairings()
    monkeypatch.setattr("grader.pages.components.pairing.pairings", lambda: kept)
    monkeypatch.setenv(SERVED_VARIABLE, "https://192.168.0.20:8443")
    return kept


def test_a_page_for_one_machine_says_how_to_serve_phones(page: Page) -> None:
    at = page().switch_page(PAIR).run()
    assert not at.exception
    assert "python -m grader serve" in at.info[0].value


def test_a_code_pairs_a_phone_to_the_kitchen_that_was_named(
    page: Page, pairings: Pairings, monkeypatch: pytest.MonkeyPatch
) -> None:
    links: list[str] = []
    monkeypatch.setattr("grader.pages.components.pairing._show_code", links.append)
    at = page().switch_page(PAIR).run()
    at.text_input(key="pair_kitchen").set_value("Quay")
    at.text_input(key="pair_zone").set_value("Europe/Lisbon")
    at.button[0].click().run()
    assert not at.exception
    code = parse_qs(urlsplit(links[0]).query)["c"][0]
    place = pairings.place(pairings.pair(code))
    assert place is not None
    assert (place.kitchen, place.zone) == ("Quay", "Europe/Lisbon")
    at.run()
    at.button(key="unpair_Quay").click().run()
    assert pairings.phones() == ()


def test_the_code_is_shown_as_a_picture_with_words(page: Page, pairings: Pairings) -> None:
    assert pairings.phones() == ()
    at = page().switch_page(PAIR).run()
    at.text_input(key="pair_kitchen").set_value("Quay")
    at.text_input(key="pair_zone").set_value("Europe/Lisbon")
    at.button[0].click().run()
    (picture,) = at.get("image")
    assert "Square code" in str(picture.proto)
    assert base64.b64encode(b"<?xml").decode()[:4] in str(picture.proto)


def test_without_a_kitchen_nothing_is_paired(page: Page, pairings: Pairings) -> None:
    at = page().switch_page(PAIR).run()
    at.text_input(key="pair_kitchen").set_value(" ")
    at.button[0].click().run()
    assert "Name the kitchen" in at.error[0].value
    assert not at.get("image")
    assert pairings.phones() == ()
