"""A batch against a standard: what each limit finds, and the whole."""

import re
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from grader.decision import LimitDecision, Outcome, Question, Terms, Verdict, begin_with, judge_batch, judge_plate
from grader.decision.words import BETTER_LIGHT, LAY_FLAT, MORE_FRIES, SHOW_FLESH
from grader.fries.model import Fry
from grader.standard import Standard, at_stage

Make = Callable[..., Fry]
ORDER = {Outcome.FAIL: 0, Outcome.UNDECIDED: 1, Outcome.PASS: 2}


def limit(verdict: Verdict, key: str) -> LimitDecision:
    return next(decision for decision in verdict.limits if decision.key == key)


def good_plates(make: Make, *, plates: int = 3, fries: int = 36) -> list[list[Fry]]:
    rng = np.random.default_rng(3)
    return [
        [make(length_mm=float(rng.uniform(60, 110)), place=float(rng.normal(3.8, 0.4))) for _ in range(fries)]
        for _ in range(plates)
    ]


def test_a_good_batch_of_three_plates_passes(make: Make, standard: Standard) -> None:
    verdict = judge_batch(good_plates(make), standard)
    assert verdict.outcome is Outcome.PASS
    assert verdict.headline == "Pass: colour, lengths, width and defects all meet the standard."
    assert [d.key for d in verdict.limits] == [
        "colour",
        "spread",
        "out_of_target",
        "length_50.8",
        "length_76.2",
        "short",
        "scrap",
        "sliver",
        "width",
        "dark_end",
        "spot",
    ]
    assert (verdict.plates, verdict.fries_counted, verdict.fries_left_out) == (3, 108, 0)
    assert all(d.more_plates == 0 and d.remedy == "" for d in verdict.limits)


def test_one_plate_says_so(make: Make, standard: Standard) -> None:
    verdict = judge_plate(good_plates(make, plates=1)[0], standard)
    assert "one plate only" in verdict.headline
    assert verdict.plates == 1


@pytest.mark.parametrize(("place", "says"), [(6.0, "too dark"), (1.5, "too pale")])
def test_a_wrong_colour_fails_in_words(make: Make, standard: Standard, place: float, says: str) -> None:
    verdict = judge_batch([[make(place=place) for _ in range(30)] for _ in range(3)], standard)
    colour = limit(verdict, "colour")
    assert verdict.outcome is colour.outcome is Outcome.FAIL
    assert colour.finding == says
    assert colour.reason.startswith(f"Clearly {says}: {place:.1f} on the house scale")
    assert says in verdict.headline
    assert limit(verdict, "length_50.8").outcome is Outcome.PASS


def test_what_all_fries_of_a_photo_share_does_not_shrink_with_their_number(make: Make, standard: Standard) -> None:
    def doubt(fries: int, shared: float, own: float) -> float:
        u = {"shared_u": (shared,) * 3, "own_u": (own,) * 3}
        rng = np.random.default_rng(4)
        plate = [make(place=float(rng.normal(3.8, 0.5)), **u) for _ in range(fries)]
        return limit(judge_plate(plate, standard), "colour").u

    assert doubt(4000, 2.0, 0.5) > 0.9 * doubt(40, 2.0, 0.5)
    assert doubt(4000, 2.0, 0.5) > 0.25
    assert doubt(40, 2.0, 0.5) > doubt(40, 0.1, 0.5) + 0.05


def test_colour_at_the_edge_of_the_target_is_undecided_and_asks_for_light(make: Make, standard: Standard) -> None:
    plates = [[make(place=standard.scale.target_to) for _ in range(30)] for _ in range(3)]
    verdict = judge_batch(plates, standard)
    colour = limit(verdict, "colour")
    assert colour.outcome is Outcome.UNDECIDED
    assert colour.probability == pytest.approx(0.5, abs=0.02)
    assert colour.remedy == BETTER_LIGHT
    assert "Can't tell yet whether it is too dark" in colour.reason
    assert verdict.headline.startswith("Can't tell yet about colour")


def test_more_plates_are_asked_for_where_they_help(make: Make, standard: Standard) -> None:
    plate = [make(length_mm=80.0 if i % 4 else 55.0) for i in range(12)] + [make(length_mm=46.0) for _ in range(2)]
    verdict = judge_plate(plate, standard)
    enough = limit(verdict, "short")
    assert verdict.outcome is Outcome.UNDECIDED
    more = limit(verdict, "dark_end").more_plates
    assert more is not None
    assert more > 0
    assert f"hotograph {more} more plate" in limit(verdict, "dark_end").reason
    settled = judge_batch([plate] * (1 + more), standard)
    assert limit(settled, "dark_end").outcome is Outcome.PASS
    assert limit(judge_batch([plate] * more, standard), "dark_end").outcome is Outcome.UNDECIDED
    assert enough.counted == 14


def test_more_plates_are_not_asked_for_as_if_they_settled_what_they_do_not(make: Make, standard: Standard) -> None:
    """The colour lies at the edge of the target: light alone helps it. Dark ends only want to be counted further."""
    plate = [make(place=standard.scale.target_to) for _ in range(14)]
    verdict = judge_plate(plate, standard)
    assert limit(verdict, "colour").more_plates is None
    more = limit(verdict, "dark_end").more_plates
    assert more
    undecided = [one for one in verdict.limits if one.outcome is Outcome.UNDECIDED]
    first = begin_with(undecided)
    assert first.more_plates == max(one.more_plates or 0 for one in undecided)
    assert f"p{first.remedy[1:-1]}; that won't settle all of it" in verdict.headline


def test_no_such_word_where_more_plates_settle_all(make: Make, standard: Standard) -> None:
    verdict = judge_plate([make() for _ in range(14)], standard)
    undecided = [one for one in verdict.limits if one.outcome is Outcome.UNDECIDED]
    assert all(one.more_plates for one in undecided)
    assert "more plate" in verdict.headline
    assert "won't settle" not in verdict.headline


def test_how_fries_lie_comes_before_more_of_them(make: Make, standard: Standard) -> None:
    plate = [make(length_mm=None, place=3.8 if i % 2 else 4.9) for i in range(30)]
    undecided = [one for one in judge_plate(plate, standard).limits if one.outcome is Outcome.UNDECIDED]
    assert begin_with(undecided).remedy == LAY_FLAT


def test_uneven_colour_fails(make: Make, standard: Standard) -> None:
    plates = [[make(place=2.6 if i % 2 else 5.0) for i in range(36)] for _ in range(3)]
    spread = limit(judge_batch(plates, standard), "spread")
    assert spread.outcome is Outcome.FAIL
    assert spread.measured == pytest.approx(1.2, abs=0.03)
    assert "Clearly uneven" in spread.reason


def test_spread_has_the_measurement_taken_off(make: Make, standard: Standard) -> None:
    """Fries all alike, measured with a noise of their own of about 0.6 steps: nothing is left."""
    rng = np.random.default_rng(5)
    own = (5.0, 3.0, 3.0)
    anchor = np.array(standard.scale.steps[3].lab)
    fries = [make(lab=tuple(anchor + rng.normal(0, own)), own_u=own) for _ in range(300)]
    spread = limit(judge_batch([fries], standard), "spread")
    assert spread.measured < 0.35
    assert spread.outcome is Outcome.PASS


def test_the_doubt_of_a_spread_is_that_of_simulated_batches(make: Make, standard: Standard) -> None:
    """Taking measurement noise off leaves less spread, not less doubt."""
    rng = np.random.default_rng(6)
    own, step = (3.0, 2.0, 2.0), np.array(standard.scale.steps[4].lab) - np.array(standard.scale.steps[3].lab)
    anchor = np.array(standard.scale.steps[3].lab)
    told = []
    for _ in range(200):
        true = anchor + rng.normal(0.5, 0.25, (40, 1)) * step
        plate = [make(lab=tuple(lab + rng.normal(0, own)), own_u=own) for lab in true]
        told.append(limit(judge_plate(plate, standard), "spread"))
    scatter = float(np.std([one.measured for one in told]))
    # One plate of 40 fries that are a little alike is worth fewer: the stated doubt may be the larger one, never less.
    assert scatter <= float(np.median([one.u for one in told])) <= 1.6 * scatter


def test_defects_are_counted_by_their_definitions(make: Make, standard: Standard) -> None:
    plate = [
        *(make() for _ in range(20)),
        *(make(length_mm=30.0) for _ in range(4)),
        *(make(width_mm=4.0) for _ in range(3)),
        *(make(width_mm=13.0) for _ in range(2)),
        *(make(dark_end_mm=15.0, dark_end_dl=10.0) for _ in range(5)),
        *(make(dark_end_mm=15.0, dark_end_dl=3.0) for _ in range(2)),
        *(make(dark_end_mm=1.0, dark_end_dl=10.0) for _ in range(2)),
        *(make(spots_mm=(1.0, 3.5)) for _ in range(3)),
        *(make(spots_mm=(1.0,)) for _ in range(2)),
        make(length_mm=6.0),
        make(length_mm=None, width_mm=None, place=None),
    ]
    verdict = judge_plate(plate, standard)
    expected = {"short": 4, "sliver": 3, "width": 2, "dark_end": 5, "spot": 3}
    for key, count in expected.items():
        decision = limit(verdict, key)
        assert decision.measured * decision.counted == pytest.approx(count, abs=0.01), key
        assert decision.counted == 43
        assert decision.left_out == 1
        assert f"Expected count {count:.1f} of 43" in decision.arithmetic
    assert verdict.fries_left_out == 2
    assert verdict.fries_counted == 43


def test_a_fry_at_the_threshold_is_half_of_each(make: Make, standard: Standard) -> None:
    plate = [make(length_mm=50.8) for _ in range(20)] + [make(length_mm=90.0) for _ in range(20)]
    assert limit(judge_plate(plate, standard), "length_50.8").measured == pytest.approx(0.75)


def test_straight_lengths_where_the_standard_means_those(make: Make, standard: Standard) -> None:
    """The sketch's straight length is 95 % of that along the bend: 52 mm is long enough only along it."""
    plate = [make(length_mm=52.0, length_u=0.1) for _ in range(30)]
    assert limit(judge_plate(plate, standard), "length_50.8").measured == pytest.approx(1)
    assert limit(judge_plate(plate, replace(standard, length_is="straight")), "length_50.8").measured == pytest.approx(
        0
    )


def test_a_heap_has_a_colour_but_no_lengths(make: Make, standard: Standard) -> None:
    heap = [make(length_mm=None, width_mm=None) for _ in range(60)] + [make() for _ in range(5)]
    verdict = judge_plate(heap, standard)
    assert limit(verdict, "colour").outcome is Outcome.PASS
    for key in ("length_50.8", "short", "sliver", "dark_end"):
        decision = limit(verdict, key)
        assert decision.outcome is Outcome.UNDECIDED
        assert decision.remedy == LAY_FLAT
        assert decision.reason == f"{decision.title}: can't tell, only 5 of 65 fries could be counted. {LAY_FLAT}"
    assert "lay the fries flat" in verdict.headline


def test_fries_without_flesh_to_see(make: Make, standard: Standard) -> None:
    verdict = judge_plate([make(place=None) for _ in range(30)], standard)
    assert limit(verdict, "colour").remedy == SHOW_FLESH
    assert np.isnan(limit(verdict, "colour").measured)
    assert "could be counted" in limit(verdict, "spread").reason


def test_no_fries_at_all(standard: Standard) -> None:
    batches: list[list[list[Fry]]] = [[], [[]], [[], []]]
    for plates in batches:
        verdict = judge_batch(plates, standard)
        assert verdict.outcome is Outcome.UNDECIDED
        assert verdict.headline.startswith("Can't tell: no fries were found")


def test_too_few_fries_decide_nothing(make: Make, standard: Standard) -> None:
    verdict = judge_plate([make() for _ in range(9)], standard)
    assert {decision.outcome for decision in verdict.limits} == {Outcome.UNDECIDED}
    assert {decision.remedy for decision in verdict.limits} == {MORE_FRIES}
    assert "photograph more fries" in verdict.headline


def test_a_colour_like_no_step_is_out_of_target_but_not_in_the_mean(make: Make, standard: Standard) -> None:
    plates = [[make() for _ in range(30)] + [make(lab=(45.0, -25.0, 30.0)) for _ in range(3)] for _ in range(3)]
    verdict = judge_batch(plates, standard)
    assert limit(verdict, "colour").measured == pytest.approx(3.8, abs=0.01)
    assert limit(verdict, "colour").left_out == 9
    assert limit(verdict, "out_of_target").measured == pytest.approx(9 / 99, abs=0.01)


def test_every_probability_outcome_and_guard_band_agree(make: Make, standard: Standard) -> None:
    """A figure passes where it is inside its limit by at least the guard band, fails where beyond it by as much."""
    for short in range(0, 30, 2):
        plate = [make(length_mm=30.0, place=5.2) for _ in range(short)] + [make(place=3.2) for _ in range(36 - short)]
        for decision in judge_batch([plate, plate], standard).limits:
            sides = [decision.upper - decision.measured] if decision.upper is not None else []
            sides += [decision.measured - decision.lower] if decision.lower is not None else []
            inside = min(sides)
            slack = 1e-4
            if decision.outcome is Outcome.PASS:
                assert inside >= decision.guard - slack, decision.key
            elif decision.outcome is Outcome.FAIL:
                assert -inside >= decision.guard - slack, decision.key
            else:
                assert abs(inside) <= decision.guard + slack, decision.key


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    lengths=st.lists(st.floats(20, 130), min_size=12, max_size=30),
    at=st.integers(0, 11),
    shorter=st.floats(0, 1),
)
def test_a_shorter_fry_never_improves_a_length_limit(
    make: Make, standard: Standard, lengths: list[float], at: int, shorter: float
) -> None:
    """Down to where a fry becomes a crumb and counts no more."""
    crumb = standard.defects.piece_from_mm
    worse = list(lengths)
    worse[at] = crumb + (lengths[at] - crumb) * shorter
    before, after = (judge_plate([make(length_mm=v) for v in batch], standard) for batch in (lengths, worse))
    for key in ("length_50.8", "length_76.2", "short"):
        assert limit(after, key).probability <= limit(before, key).probability + 1e-9
        assert ORDER[limit(after, key).outcome] <= ORDER[limit(before, key).outcome]


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.floats(3.8, 7.4), st.floats(0, 2), st.floats(0.05, 3))
def test_darker_from_the_middle_of_the_target_never_improves_the_colour(
    make: Make, standard: Standard, place: float, darker: float, doubt: float
) -> None:
    """Within one stretch of the scale: on another the same doubt about L*, a*, b* is another one about the place."""
    u = (doubt, doubt, doubt)
    verdicts = [
        judge_plate([make(place=p, shared_u=u) for _ in range(20)], standard) for p in (place, min(place + darker, 7.4))
    ]
    before, after = (limit(verdict, "colour") for verdict in verdicts)
    assert ORDER[after.outcome] <= ORDER[before.outcome]
    assert ORDER[verdicts[1].outcome] <= ORDER[verdicts[0].outcome]


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.integers(0, 30), st.sampled_from(["dark_end", "spot", "sliver"]))
def test_one_more_defect_never_improves_its_limit(make: Make, standard: Standard, count: int, key: str) -> None:
    defects: dict[str, dict[str, object]] = {
        "dark_end": {"dark_end_mm": 20.0, "dark_end_dl": 12.0},
        "spot": {"spots_mm": (4.0,)},
        "sliver": {"width_mm": 4.0},
    }
    bad = defects[key]
    before, after = (
        judge_plate([make(**bad) for _ in range(c)] + [make() for _ in range(31 - c)], standard)
        for c in (count, count + 1)
    )
    assert limit(after, key).probability < limit(before, key).probability
    assert ORDER[after.outcome] <= ORDER[before.outcome]


def test_words_promise_nothing_about_safety_or_doneness(make: Make, standard: Standard) -> None:
    said = ""
    for place in (1.0, 3.8, 4.7, 7.0):
        verdict = judge_plate([make(place=place) for _ in range(30)], standard)
        said += verdict.headline + "".join(d.reason + d.finding + d.title + d.arithmetic for d in verdict.limits)
    assert not re.search(r"\b(safe\w*|cooked|done|doneness|acrylamide|raw|health\w*)\b", said.lower())


def test_ten_thousand_fries_are_judged_quickly(make: Make, standard: Standard) -> None:
    """Generous: it takes about 0.1 s here, the bound only catches something that grows with the square."""
    rng = np.random.default_rng(9)
    plates = [
        [make(length_mm=float(rng.uniform(20, 120)), place=float(rng.uniform(3, 5))) for _ in range(40)]
        for _ in range(250)
    ]
    started = time.perf_counter()
    judge_batch(plates, standard)
    assert time.perf_counter() - started < 2


def test_blanched_fries_are_judged_by_their_own_limits(make: Make, standard: Standard) -> None:
    """Pale ones pass as blanched and fail as finished, golden ones the other way about; the verdict says as what."""
    rng = np.random.default_rng(4)
    pale, golden = (
        [[make(length_mm=90.0, place=float(rng.normal(place, 0.2))) for _ in range(36)] for _ in range(3)]
        for place in (1.0, 3.8)
    )
    blanched = at_stage(standard, "blanched")
    assert judge_batch(pale, blanched).outcome is Outcome.PASS
    assert limit(judge_batch(pale, standard), "colour").finding == "too pale"
    assert limit(judge_batch(golden, standard), "colour").outcome is Outcome.PASS
    verdict = judge_batch(golden, blanched)
    assert limit(verdict, "colour").finding == "too dark"
    assert verdict.headline.endswith("(judged as blanched fries).")
    assert judge_plate(pale[0], blanched).headline.endswith("(judged as blanched fries, from one plate only).")


@pytest.mark.parametrize("question", Question)
def test_a_blanched_plate_can_not_be_too_pale(make: Make, standard: Standard, question: Question) -> None:
    """However doubtful its colour is: no place on the scale lies below the end of its target."""
    doubt = {"shared_u": (2.5, 1.0, 3.0), "own_u": (2.0, 1.0, 2.5)}
    plates = [[make(length_mm=90.0, place=0.5, lab=(80.0, -3.0, 14.0), **doubt) for _ in range(36)] for _ in range(3)]
    verdict = judge_batch(plates, at_stage(standard, "blanched"), Terms(question=question))
    assert limit(verdict, "colour").outcome is Outcome.PASS
    assert (limit(verdict, "colour").lower, limit(verdict, "colour").upper) == (None, 2.2)
    assert limit(verdict, "out_of_target").measured < 0.01
