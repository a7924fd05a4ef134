"""All that likely causes and the lot test fry say is known in every language; figures and all."""

from collections.abc import Callable, Iterator

import numpy as np
import pytest

from grader.errors import GraderError
from grader.language import LANGUAGES, SOURCE, retell, speaking
from grader.language.retelling import untold
from grader.line.brine import salt_g_per_kg_water
from grader.line.cartons import hold_against_count, mean_tuber_g
from grader.line.causes import load_causes
from grader.line.cut_time import time_for_cut
from grader.line.floating import fit_float_test
from grader.line.fry_numbers import chips_of
from grader.line.load import Fryer, Load, fall_of
from grader.line.lot_answer import answer_of
from grader.line.lot_fry import compare_lots, plan_lot_fry
from grader.line.solids import specific_gravity
from grader.line.trial import TrialPlate, columns
from grader.line.trial_plan import plan_trial
from grader.standard import load_shipped
from tests.line.cause_cases import CASES, rank_case
from tests.line.simulated_lots import Lots, fry_lots

OTHERS = [language for language in LANGUAGES if language != SOURCE]


@pytest.mark.parametrize("language", OTHERS)
def test_every_cause_check_and_reason_is_translated(language: str) -> None:
    causes = load_causes()
    told = [text for cause in causes for text in (cause.name, cause.check, cause.source)]
    for case in CASES:
        for one in rank_case(case, causes).causes:
            told += [
                text for reason in (*one.reasons_for, *one.reasons_against) for text in (reason.words, reason.source)
            ]
    assert not {left for text in told for left in untold(text, language)}


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize(
    "lots",
    [
        Lots(),
        Lots(difference=2.0, ends=0.9),
        Lots(difference=-2.0, ends=0.2, tuber_sd=2.0),
        Lots(cartons=1, strips=1),
    ],
)
def test_every_answer_on_a_lot_is_translated(language: str, lots: Lots) -> None:
    strips = fry_lots(lots, np.random.default_rng(1))
    answer = answer_of(strips, compare_lots(strips), load_shipped()["strips-9.5mm-skin-on"])
    assert not [left for reason in answer.reasons for left in untold(reason, language)]


def test_a_reason_keeps_its_figures() -> None:
    with speaking("es"):
        told = retell("The oil was 8.5 °C hotter than is usual.")
    assert told == "El aceite estaba 8.5 °C más caliente de lo usual."


def refused() -> Iterator[GraderError]:
    """What somebody may run into on the pages of the line."""
    plate, strip = TrialPlate(time_s=100, celsius=170, place=3), fry_lots(Lots(), np.random.default_rng(1))[0]
    tries: list[Callable[[], object]] = [
        lambda: time_for_cut(100, cut_mm=5, new_cut_mm=20),
        lambda: salt_g_per_kg_water(2.0),
        lambda: salt_g_per_kg_water(1.08, temperature_c=60),
        lambda: fit_float_test([1.09, 1.08], [1, 1], bath_u=0.001),
        lambda: fall_of(Fryer(oil_kg=0, power_kw=1, oil_c=170), Load(kg=1, celsius=4, water=0.7, lost=0.2)),
        lambda: compare_lots([strip]),
        lambda: plan_lot_fry(tubers=5, cartons=1, baskets=1, strips=1, seed=1),
        lambda: specific_gravity(100, 90, u_g=1),
        lambda: columns([plate]),
        lambda: plan_trial(guess_s=1, celsius=170, apart_c=5, seed=1),
        lambda: plan_trial(guess_s=100, celsius=194, apart_c=5, seed=1),
        lambda: plan_trial(guess_s=100, celsius=104, apart_c=5, seed=1),
        lambda: plan_trial(guess_s=1800, celsius=170, apart_c=25, seed=1),
        lambda: mean_tuber_g(500),
        lambda: hold_against_count([1.0], 80),
        lambda: chips_of({}),
    ]
    for attempt in tries:
        with pytest.raises(GraderError) as error:
            attempt()
        yield error.value


@pytest.mark.parametrize("language", OTHERS)
def test_what_is_refused_is_said_in_every_language(language: str) -> None:
    left = [text for error in refused() for text in (*untold(error.message, language), *untold(error.hint, language))]
    assert not left
