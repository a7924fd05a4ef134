"""Every page opened in every language: what it shows is said in that language, with nothing left in English."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from grader import pages
from grader.language import LANGUAGES, SOURCE
from grader.language.catalogues import singles
from grader.places import HOME_VARIABLE
from tests.pages.spoken import english

Page = Callable[[], AppTest]
PAGES = sorted(path.name for path in Path(pages.__file__).parent.glob("*.py") if path.name != "__init__.py")


def _said(at: AppTest) -> Iterator[str]:
    """Labels, texts and options of everything on a page."""
    for element in at.main:
        chosen = hasattr(element, "options")  # what is chosen is a key; its words are made when it is drawn
        for name in ("label", "help", "placeholder", "alt", *([] if chosen else ["value"])):
            told = getattr(element, name, None) or getattr(getattr(element, "proto", None), name, None)
            if isinstance(told, str) and told:
                yield told.replace("\\", "")


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("name", PAGES)
def test_a_page_speaks_one_language(
    page: Page, name: str, language: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(HOME_VARIABLE, str(tmp_path / "home"))
    at = page()
    at.session_state["language"] = language
    at.switch_page(str(Path(pages.__file__).parent / name)).run()
    assert not at.exception
    told = list(_said(at))
    assert told
    if language == SOURCE:
        return
    sources = {text for text, translation in singles(language).items() if text != translation and " " in text}
    assert not [text for text in told if text in sources]
    assert any(text in set(singles(language).values()) for text in told)
    assert english(at) == []


def _told() -> None:
    import streamlit

    from grader.pages.components import manners

    streamlit.text(manners.session_language())
    streamlit.text(manners.session_lengths())
    streamlit.text(manners.session_temperatures())


@pytest.mark.parametrize(
    ("address", "told"),
    [
        ({}, ["en", "mm", "°C"]),
        ({"language": "Español", "lengths": "in", "temperatures": "°F"}, ["es", "in", "°F"]),
        ({"language": "Utopian", "lengths": "yards", "temperatures": ""}, ["en", "mm", "°C"]),
    ],
)
def test_language_and_units_in_the_address_count_from_the_first_moment(
    address: dict[str, str], told: list[str]
) -> None:
    """As after a reload: the choices at the page's foot are drawn after all else."""
    at = AppTest.from_function(_told)
    for name, value in address.items():
        at.query_params[name] = value
    assert [text.value for text in at.run().text] == told
