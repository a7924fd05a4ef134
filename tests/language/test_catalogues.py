"""The catalogues that ship: whole, free of contradictions, and nothing that the program says is missing in them."""

import re
from collections import defaultdict
from pathlib import Path

import pytest

from grader.language import LANGUAGES, SOURCE
from grader.language.catalogues import Entry, catalogue, entries
from grader.language.listing import Text, main, missing, texts

GRADER = Path(__file__).parents[2] / "grader"
OTHERS = [language for language in LANGUAGES if language != SOURCE]


@pytest.fixture(params=OTHERS)
def language(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def shipped(language: str) -> list[Entry]:
    return list(entries(language))


def test_no_text_of_the_program_lacks_a_translation(language: str) -> None:
    lacking = missing(list(texts([GRADER])), language)
    assert not [f"{text.file.name}:{text.line} {text.english}" for text in lacking]


def test_every_entry_is_whole(shipped: list[Entry]) -> None:
    assert shipped
    assert not [entry.english for entry in shipped if not entry.whole]


def _gaps(text: str) -> set[str]:
    return set(re.findall(r"\{(\w+)(?:[:!][^}]*)?\}", text))


def test_every_translation_has_the_gaps_of_its_source(shipped: list[Entry]) -> None:
    wrong = [
        entry.english
        for entry in shipped
        for told in entry.translations
        if not _gaps(entry.english) - {"n"} <= _gaps(told) <= _gaps(entry.english) | _gaps(entry.plural)
    ]
    assert not wrong


def test_every_count_is_told_in_the_language(shipped: list[Entry], language: str) -> None:
    """Also the counts for which a library's own plural rules know forms that no entry has."""
    counted = [entry for entry in shipped if entry.plural]
    assert counted
    for n in (0, 1, 2, 5, 21, 1_000_000):
        told = [catalogue(language).ngettext(entry.english, entry.plural, n) for entry in counted]
        assert told == [entry.translations[0 if n == 1 else 1] for entry in counted], n


def test_areas_do_not_contradict_each_other(shipped: list[Entry]) -> None:
    told = defaultdict(set)
    for entry in shipped:
        told[entry.english, entry.plural].add(entry.translations)
    assert not [english for (english, _), translations in told.items() if len(translations) > 1]


def test_a_text_without_translation_is_listed_with_its_place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = tmp_path / "page.py"
    page.write_text('tr("Language")\ntr("Never said \\"before\\" {x}", x=1)\ntrn("{n} ox", "{n} oxen", 3)\n')
    assert list(texts([page]))[1] == Text(file=page, line=2, english='Never said "before" {x}')
    assert main([str(page)]) == 1
    listed = capsys.readouterr().out
    assert f'#: {page}:2\nmsgid "Never said \\"before\\" {{x}}"\nmsgstr ""' in listed
    assert 'msgid_plural "{n} oxen"' in listed
    assert "Language" not in listed
