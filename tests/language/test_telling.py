"""Texts found, gaps filled, sentences of lower rooms said again."""

from collections.abc import Iterator
from threading import Thread

import pytest

from grader.language import SOURCE, ask_for_language, current_language, retell, speaking, tr, trn
from grader.language import chosen as chosen_language
from grader.language.retelling import forget, untold


@pytest.fixture
def catalogue(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A catalogue of the test's own in place of the Spanish one."""
    texts = {
        "Clearly {failed}: {figures}": "Claramente {failed}: {figures}",
        "too few {things}": "muy pocas {things}",
        "{share} of the fries, at least {limit} asked.": "{share} de las papas, se pide al menos {limit}.",
        "fries of {long} or longer": "papas de {long} o más",
        "{a} and {b}": "{a} y {b}",
        "Look again.": "Mire otra vez.",
    }
    monkeypatch.setattr("grader.language.retelling.singles", lambda _: texts)
    forget()
    yield
    forget()


def test_english_is_what_stands_in_the_program() -> None:
    assert current_language() == SOURCE
    assert tr("Nobody translated {this}") == "Nobody translated {this}"
    assert tr("Plate {number}", number=3) == "Plate 3"
    assert trn("{n} plate", "{n} plates", 1) == "1 plate"
    assert trn("{n} plate", "{n} plates", 2) == "2 plates"


def test_a_language_is_spoken_within_its_block_only() -> None:
    with speaking("es"):
        assert tr("Language") == "Idioma"
        with speaking("en"):
            assert tr("Language") == "Language"
        assert current_language() == "es"
    assert tr("Language") == "Language"


def test_a_language_that_is_not_there_is_english() -> None:
    with speaking("../es"):
        assert current_language() == SOURCE


def test_whoever_shows_the_words_is_asked_in_any_thread(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(chosen_language, "_askers", [])
    ask_for_language(lambda: "es")
    heard: list[str] = []
    thread = Thread(target=lambda: heard.append(tr("Language")))
    thread.start()
    thread.join()
    assert heard == ["Idioma"]


@pytest.mark.usefixtures("catalogue")
def test_a_sentence_with_gaps_is_retold_and_so_is_what_fills_them() -> None:
    told = "Clearly too few fries of 50 mm or longer: 61 % of the fries, at least 80 % asked. Look again."
    with speaking("es"):
        assert retell(told) == (
            "Claramente muy pocas papas de 50 mm o más: 61 % de las papas, se pide al menos 80 %. Mire otra vez."
        )
        assert retell("Too few fries of 50 mm or longer.") == "Muy pocas papas de 50 mm o más."
    assert retell(told) == told
    assert untold(told, "es") == []


@pytest.mark.usefixtures("catalogue")
def test_what_no_catalogue_knows_stays_and_is_named() -> None:
    with speaking("es"):
        assert retell("Look again. A new sentence.") == "Mire otra vez. A new sentence."
    assert untold("Look again. A new sentence.", "es") == ["A new sentence."]
    assert untold("12.5 mm", "es") == []
