"""The study of the method, control photographs, cards over time, kept standards: all they say, in every language."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import get_args

import numpy as np
import pytest

from grader.card.layouts import load_layouts
from grader.card.model import Layout
from grader.card_values.drift_log import DriftLine, PatchLine
from grader.card_values.drift_trend import drift_trend
from grader.card_values.model import CardValues, Method
from grader.card_values.words import values_lines
from grader.consistency.control.causes import Other, State, control_lines
from grader.consistency.control.series import Watched
from grader.consistency.gauge.model import Condition, Reading, varied
from grader.consistency.gauge.plan import StudySize, plan_study
from grader.consistency.gauge.study import study_result
from grader.consistency.gauge.words import component_rows, headline, plan_lines, pooled_words, verdict_lines
from grader.consistency.quantities import QUANTITIES
from grader.language import LANGUAGES, SOURCE
from grader.language.retelling import untold
from grader.records.card_drift import DriftRun, drift_lines
from grader.records.kept_standards import load_kept, note_judged
from grader.records.kept_words import history_lines
from tests.card_values.conftest import card, measured  # noqa: F401 - fixtures
from tests.card_values.test_drift_trend import points
from tests.consistency.control_photos import PATCHES, made_up
from tests.consistency.published_studies import shafts, vignette
from tests.consistency.test_control import watched
from tests.consistency.test_gauge_study import with_turns
from tests.language.made_texts import NAME
from tests.records.test_kept_standards import AT, FIRST, edited, kept  # noqa: F401 - a fixture among them

NAMES = (NAME, "C:/a house/controls", "a/b", *(f"house@{turn}  Invented house" for turn in (1, 2, 3)))
OTHERS = [language for language in LANGUAGES if language != SOURCE]


def _left(told: Iterator[str], language: str) -> set[str]:
    lines = list(told)
    assert lines
    return {left for line in lines for left in untold(line.strip(), language, NAMES)}


def _studies() -> Iterator[str]:
    rng = np.random.default_rng(3)
    many = [
        Reading(
            plate=f"P{plate}",
            condition=Condition(person=who, phone=phone, light=light),
            value=plate + bias * (phone == "two") + rng.normal(0, 0.05),
        )
        for plate in range(10)
        for who in "AB"
        for phone in ("one", "two")
        for light in ("pass", "window")
        for bias in (0.5, 0.5)
    ]
    along = [replace(one, condition=replace(one.condition, phone=one.condition.person)) for one in with_turns(-0.1)]
    once = [one for turn, one in enumerate(with_turns(0.0)) if turn % 2]
    for readings in (shafts(), vignette(), many, with_turns(0.1), along, once):
        for quantity in QUANTITIES:
            for tolerance in (None, 0.5, 10.0):
                for layout in ("crossed", "nested"):
                    try:
                        result = study_result(readings, quantity=quantity, tolerance=tolerance, layout=layout)
                    except ValueError:
                        continue
                    result = replace(result, left_out=("P3", NAME))
                    different = varied({one.condition for one in readings})
                    yield headline(result, varied=different)
                    yield from verdict_lines(result)
                    yield from (words for words, _ in component_rows(result, different))
                    yield from (line.name for line in result.anova.table)
                    yield pooled_words(result)
    for one in QUANTITIES.values():
        yield from (one.title, one.unit, one.amount(1.5))


@pytest.mark.parametrize("language", OTHERS)
def test_every_study_is_told(language: str) -> None:
    assert not _left(_studies(), language)


def _plans() -> Iterator[str]:
    for size in (
        StudySize(people=("AB", "CD")),
        StudySize(people=("AB", "CD"), keeps="pieces"),
        StudySize(people=("AB", "CD"), layout="nested", plates=3),
    ):
        yield from plan_lines(plan_study(size, rng=np.random.default_rng(1)))


@pytest.mark.parametrize("language", OTHERS)
def test_every_plan_is_told(language: str) -> None:
    assert not _left(_plans(), language)


def _controls() -> Iterator[str]:
    soiled = np.zeros((PATCHES, 3))
    soiled[7] = 1.0
    rng = np.random.default_rng(3)
    watches = [
        watched(),
        watched(made_up(rng, left=-8 * soiled, seen=-0.25 * soiled)),
        watched(made_up(rng, left=-8 * np.ones((PATCHES, 3)), seen=-0.25 * np.ones((PATCHES, 3)))),
        watched(made_up(rng, left=0.0 * soiled, seen=-0.25 * np.ones((PATCHES, 3)))),
    ]
    others = [
        [],
        [Other(same_card=True, same_phone=False, same_light=True, state=State.AS_USUAL)],
        [Other(same_card=True, same_phone=False, same_light=True, state=State.LEFT)],
        [Other(same_card=False, same_phone=True, same_light=True, state=State.AS_USUAL)],
        [Other(same_card=False, same_phone=True, same_light=False, state=State.LEFT)],
    ]
    for watch in watches:
        for other in others:
            yield from control_lines(watch, other)
        yield from control_lines(replace(watch, rows={}), [])
    yield (
        "38 fries lie beside the card. A control photograph is of the card alone: take one without them, and begin "
        "the row anew with it."
    )
    yield from (*Watched, *State, "Kept in C:/a house/controls", "the first 10 photos set the limits", "5 Sep")


@pytest.mark.parametrize("language", OTHERS)
def test_every_control_photograph_is_told(language: str) -> None:
    assert not _left(_controls(), language)


def _cards(values: CardValues) -> Iterator[str]:
    for layout in load_layouts():
        yield layout.name
        for method in get_args(Method):
            one = replace(values, method=method, as_read=(*values.as_read, *values.as_read))
            for on in (values.measured_on, values.expires_on + timedelta(days=1)):
                yield from (
                    values_lines(one, replace(layout, patches=layout.patches), on=on)
                    if (len(layout.patches) == len(values.patch_lab))
                    else ()
                )


@pytest.mark.parametrize("language", OTHERS)
def test_what_is_known_of_a_card_is_told(measured: CardValues, card: Layout, language: str) -> None:  # noqa: F811
    assert card.key in {layout.key for layout in load_layouts()}
    assert not _left(_cards(measured), language)


def _drifts() -> Iterator[str]:
    patch = PatchLine(number=4, usable=True, dl=1, da=2, db=-1, dl_u=0.1, da_u=0.1, db_u=0.1, de=2.3, de_u=0.2)
    for told in (points((0, 0.3)), points((0, 0.2), (200, 0.6), (400, 1.0), u=0.05), points((0, 9.0))):
        lines = tuple(
            DriftLine(
                day=one.day, layout="card-a6", working=None, kept=None, photo="a.jpg", sha256="0" * 64,
                mean_de=one.mean_de, mean_de_u=one.mean_de_u, paper_da=0.1, paper_db=0.2, patches=(patch,),
            )
            for one in told
        )  # fmt: skip
        run = DriftRun(line=lines[-1], twins=None, lines=lines, trend=drift_trend(told), file=Path("a/b"))  # type: ignore[arg-type]  # it is not told of
        yield run.trend.words
        yield from drift_lines(run)[1:]  # the first says of which card, and the verdict that stands above


@pytest.mark.parametrize("language", OTHERS)
def test_every_comparison_of_cards_is_told(language: str) -> None:
    assert not _left(_drifts(), language)


@pytest.mark.parametrize("language", OTHERS)
def test_the_history_of_a_standard_is_told(kept: Path, language: str) -> None:  # noqa: F811
    note_judged(kept, FIRST, plates=1, at=AT)
    note_judged(kept, edited("2", 4.5), plates=2, at=AT)
    note_judged(kept, edited("2", 4.5), plates=2, at=AT + timedelta(days=3))
    told = history_lines(kept, load_kept(kept, "house"))
    assert sum("has judged" in line for line in told) == 3
    changed = [line for line in told if " -> " in line]  # fields of the file, called as they stand there
    assert changed
    other = (line for line in told if line not in changed and not line.strip().startswith(("sha256", "why: ")))
    assert not _left(other, language)
    assert not untold("limits.crumb_share_at_most left out -> 0.05", language)
    assert not untold("stages.held.target_from 2.9 -> left out", language)
