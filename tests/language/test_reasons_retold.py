"""Why a fry is marked, what may be claimed, what checks of a sealed file say: each made, and said in every language."""

import ast
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from grader.drawing.marks import Mark
from grader.drawing.why import _NUMBERS, _words
from grader.evidence.custody import TwoClocks, clock_words
from grader.fries.model import FLAG_WORDS, Measured
from grader.language import LANGUAGES, SOURCE
from grader.language.retelling import untold
from grader.records.house_values import HouseValues, HouseValuesError, keep_house_values
from tests.language.made_texts import FIGURE, NAME, nodes, texts
from tests.records import made_up

EVIDENCE = Path(__file__).parents[2] / "grader" / "evidence"
OTHERS = [language for language in LANGUAGES if language != SOURCE]
VERDICTS = {"yes", "no", "left_open", "_told"}
"""What a check of a sealed file comes to; the last but one argument, or the last, says it."""


@pytest.mark.parametrize("language", OTHERS)
def test_why_a_fry_is_marked_is_told(language: str) -> None:
    standard = made_up.standard()
    fry = replace(
        made_up.fry(1, y=30.0),
        width_mm=Measured(value=3.0, u=0.3),
        bow_share=Measured(value=0.4, u=0.01),
        bow_mm=12.0,
        end_gaps_mm=(Measured(value=4.0, u=0.3), Measured(value=5.0, u=0.3)),
        dark_end_mm=Measured(value=9.0, u=1.0),
        dark_end_dl=20.0,
        spots_mm=(6.0, 4.0),
    )
    assert set(_NUMBERS) == set(Mark)
    grey = replace(fry, colour=None)
    told = [_words(mark, one, standard) for mark in Mark for one in (fry, grey)]
    assert all(told)
    assert not [left for text in (*told, *FLAG_WORDS.values()) for left in untold(text, language, [])]


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("apart", [-50, -3, -0.5, 0.0, 0.5, 3, 50, 5000])
def test_what_two_clocks_say_is_told(language: str, apart: float) -> None:
    arrived = datetime(2026, 3, 5, 12, tzinfo=UTC)
    for zone_told in (True, False):
        camera = arrived - timedelta(hours=apart)
        assert not untold(clock_words(TwoClocks(camera=camera, zone_told=zone_told, arrived=arrived)), language, [])
    assert not untold(clock_words(TwoClocks(camera=None, zone_told=False, arrived=arrived)), language, [])


def _checks() -> Iterator[tuple[str, str]]:
    """What the checks of a sealed file say, from the code; figures and names in it replaced."""
    for file in [*EVIDENCE.glob("checks_of_*.py"), EVIDENCE / "regrading.py"]:
        for node, scope in nodes(file):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in VERDICTS:
                for part in node.args[1:2]:
                    yield from ((f"{file.name}:{node.lineno}", text) for text in texts(part, scope))
            elif isinstance(node, ast.FunctionDef) and node.name in {"_differences", "_claims", "_decisions"}:
                for step in ast.walk(node):
                    if isinstance(step, ast.Yield) and step.value is not None:
                        yield from ((f"{file.name}:{step.lineno}", text) for text in texts(step.value, scope))


@pytest.mark.parametrize("language", OTHERS)
def test_every_check_of_a_sealed_file_is_told(language: str) -> None:
    told = [(place, text.replace(NAME, FIGURE)) for place, text in _checks()]
    told = [(place, re.sub(f"^{FIGURE} was there", "This file was there", text)) for place, text in told]
    print(f"{len({text for _, text in told})} sentences of checks")
    assert len(told) > 40
    assert not [(place, left) for place, text in told for left in untold(text, language, [FIGURE])]


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize(
    "wrong",
    [
        {"lift_from_s": 200.0},
        {"samples_a_shift": 0},
        {"shift_from": "early"},
        {"plate_g": -1.0},
        {"price_a_kg": -1.0},
        {"wanted": 1.0},
    ],
)
def test_house_values_that_can_not_be_are_told(language: str, wrong: dict[str, object], tmp_path: Path) -> None:
    with pytest.raises(HouseValuesError) as error:
        keep_house_values(replace(HouseValues(), **wrong), tmp_path)  # type: ignore[arg-type]
    assert not untold(error.value.message, language, [])
