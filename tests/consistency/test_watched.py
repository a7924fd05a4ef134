"""Batches against a baseline: textbook limits beside our own, few batches, events, single plates."""

from datetime import timedelta

import numpy as np
import pytest
from scipy import stats

from grader.consistency.baseline import BaselineTooShortError, freeze
from grader.consistency.batches import NotOneChartError, batches_of
from grader.consistency.individuals import individuals
from grader.consistency.model import Event, EventKind
from grader.consistency.rules import BEYOND_SIGMAS, RuleKey, Side
from grader.consistency.watching import watch
from tests.consistency.drawn_batches import drawn, moment, plate, plates_of
from tests.consistency.published_charts import PISTON_RINGS


def test_piston_rings_on_the_chart() -> None:
    """Limits by what subgroups scatter in themselves, and the three samples that stand out (Montgomery's example)."""
    plates = plates_of(PISTON_RINGS)
    baseline = freeze(plates, "place", from_at=moment(0), to_at=moment(24))
    watched = watch(batches_of(plates, "place"), baseline)
    plain = watched.means[0].plain
    assert plain is not None
    assert (plain.low, plain.high) == pytest.approx((73.98799, 74.01436), abs=6e-6)
    apart = watched.apart[0].plain
    assert apart is not None
    assert apart.high == pytest.approx(0.01930, abs=6e-6)
    beyond = [at + 1 for at, point in enumerate(watched.means) if point.plain and point.value > point.plain.high]
    assert beyond == [37, 38, 39]
    assert next(one.at + 1 for one in watched.seen if one.key is RuleKey.SLOW) in {37, 38}


def test_limits_of_equal_batches_are_prediction_limits_of_their_means() -> None:
    values = drawn(np.random.default_rng(4), np.zeros(12), batches_sd=0.5)
    baseline = freeze(plates_of(values), "place", from_at=moment(0), to_at=moment(11))
    means = values.mean(axis=1)
    student = stats.t.isf(stats.norm.sf(BEYOND_SIGMAS), 11)
    reach = student * means.std(ddof=1) * np.sqrt(1 + 1 / 12)
    limits = watch(batches_of(plates_of(values), "place"), baseline).means[0].limits
    assert limits is not None
    assert (limits.low, limits.high) == pytest.approx((means.mean() - reach, means.mean() + reach))
    assert "12 batches" in baseline.caution


def test_limits_hold_that_batches_differ_where_plates_alone_do_not() -> None:
    rng = np.random.default_rng(5)
    values = drawn(rng, np.zeros(400), batches_sd=0.5)
    plates = plates_of(values)
    watched = watch(batches_of(plates, "place"), freeze(plates, "place", from_at=moment(0), to_at=moment(99)))
    limits = [(point.value, point.plain) for point in watched.means if point.plain is not None]
    plain = np.mean([plain.low is not None and not plain.low <= value <= plain.high for value, plain in limits])
    ours = np.mean([one.key is RuleKey.BEYOND for one in watched.seen for _ in [0]]) * len(watched.seen) / 400
    assert plain > 0.1
    assert ours < 0.01


def test_batches_of_unequal_size_have_limits_of_their_own() -> None:
    values = drawn(np.random.default_rng(6), np.zeros(30))
    plates = [one for one in plates_of(values) if not (one.batch == "batch 29" and one.plate.endswith(("01", "02")))]
    watched = watch(batches_of(plates, "place"), freeze(plates, "place", from_at=moment(0), to_at=moment(28)))
    of_three, of_one = watched.means[28].limits, watched.means[29].limits
    assert of_three is not None
    assert of_one is not None
    assert watched.means[29].plates == 1
    assert watched.apart[29].limits is None
    assert (of_one.high - watched.baseline.level) / (of_three.high - watched.baseline.level) == pytest.approx(
        3**0.5, rel=0.1
    )


def test_a_batch_of_more_plates_than_the_baselines_has_no_absurd_limits() -> None:
    """What is taken off for its plates never makes it less known than the least known of both mean squares."""
    for seed in range(100):
        values = drawn(np.random.default_rng(seed), np.zeros(10))
        odd = [one for one in plates_of(values) if one.plate.endswith("00") or one.batch in ("batch 2", "batch 5")]
        baseline = freeze(odd, "place", from_at=moment(0), to_at=moment(9))
        assert baseline.scatter(6).freedom >= min(baseline.freedom_batches, baseline.freedom_plates)
        assert baseline.scatter(6).reach(BEYOND_SIGMAS, baseline.level_u) < 10


def test_batches_of_one_plate_and_moving_ranges() -> None:
    """NIST/SEMATECH e-Handbook, 6.3.2.2: data from memory, so only our arithmetic is checked."""
    readings = np.array([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])
    told = individuals(readings)
    assert told.range_mean == pytest.approx(np.abs(np.diff(readings)).mean())
    assert (told.low, told.high) == pytest.approx((45.8159, 55.8041), abs=2e-3)
    plates = plates_of(readings[:, None])
    watched = watch(batches_of(plates, "place"), freeze(plates, "place", from_at=moment(0), to_at=moment(9)))
    assert watched.apart[0].limits is None
    assert watched.means[0].plain is None
    assert not watched.seen


def test_too_few_batches_are_refused_with_what_to_do() -> None:
    with pytest.raises(BaselineTooShortError, match="Choose a period with 5"):
        freeze(plates_of(np.zeros((4, 3))), "place", from_at=moment(0), to_at=moment(9))


def test_plates_of_two_scales_do_not_stand_on_one_chart() -> None:
    from dataclasses import replace

    plates = plates_of(np.zeros((2, 3)))
    with pytest.raises(NotOneChartError, match="2 standards"):
        batches_of([*plates, replace(plates[0], standard_sha256="1" * 64)], "place")


def test_plates_without_a_value_are_left_out() -> None:
    assert not batches_of([plate(1, "a", None, at=moment(0))], "place")


def test_a_baseline_across_lots_holds_their_steps_out_of_the_scatter() -> None:
    rng = np.random.default_rng(7)
    levels = np.repeat(rng.normal(0, 2, 6), 10)
    plates = plates_of(drawn(rng, levels))
    lots = [Event(at=moment(at) - timedelta(hours=1), kind=EventKind.NEW_LOT) for at in range(10, 60, 10)]
    told = freeze(plates, "place", from_at=moment(0), to_at=moment(59), events=lots)
    blind = freeze(plates, "place", from_at=moment(0), to_at=moment(59))
    assert told.scatter(3).sd == pytest.approx(0.22, abs=0.05)
    assert blind.scatter(3).sd > 3 * told.scatter(3).sd
    assert told.level == pytest.approx(levels[-1], abs=0.3)


def test_after_an_event_the_level_is_learned_and_its_first_batch_has_no_limits() -> None:
    rng = np.random.default_rng(8)
    plates = plates_of(drawn(rng, np.repeat([0.0, 3.0], 30)))
    baseline = freeze(plates, "place", from_at=moment(0), to_at=moment(29))
    batches = batches_of(plates, "place")
    blind, told = watch(batches, baseline), watch(batches, baseline, starts=[30])
    assert {one.at for one in blind.seen} >= set(range(30, 60))
    assert not [one for one in told.seen if one.at >= 30]
    assert told.means[30].limits is None
    second, last = told.means[31].limits, told.means[59].limits
    assert second is not None
    assert last is not None
    assert second.high - second.low > 1.3 * (last.high - last.low)  # type: ignore[operator]


def test_an_odd_batch_is_not_learned_from() -> None:
    rng = np.random.default_rng(9)
    levels = np.zeros(45)
    levels[40:] = 2.0
    plates = plates_of(drawn(rng, levels))
    watched = watch(
        batches_of(plates, "place"), freeze(plates, "place", from_at=moment(0), to_at=moment(29)), starts=[32]
    )
    assert [one.at for one in watched.seen if one.key is RuleKey.BEYOND] == list(range(40, 45))
    assert all(one.side is Side.HIGH for one in watched.seen)


def test_rules_are_switched_off() -> None:
    plates = plates_of(drawn(np.random.default_rng(10), np.repeat([0.0, 3.0], 30)))
    baseline = freeze(plates, "place", from_at=moment(0), to_at=moment(29))
    watched = watch(batches_of(plates, "place"), baseline, rules=frozenset({RuleKey.EIGHT}))
    assert {one.key for one in watched.seen} == {RuleKey.EIGHT}
    assert next(one for one in watched.seen if one.at >= 37).first in range(29, 38)


def test_plates_of_a_batch_far_apart_are_seen() -> None:
    values = drawn(np.random.default_rng(11), np.zeros(40))
    values[35] = [-2.0, 0.0, 2.0]
    plates = plates_of(values)
    watched = watch(batches_of(plates, "place"), freeze(plates, "place", from_at=moment(0), to_at=moment(29)))
    assert [(one.key, one.at) for one in watched.seen] == [(RuleKey.PLATES_APART, 35)]
