"""Baselines and what is held against them: batches differ, levels are learned anew, shares scatter as plates do."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from grader.consistency.baseline import Baseline, BaselineTooShortError, freeze
from grader.consistency.batches import NotOneChartError, batches_of
from grader.consistency.model import Count
from grader.consistency.rules import RuleKey
from grader.consistency.shares import freeze_share, plain_limits, predicted, watch_share
from grader.consistency.watching import Watched, watch
from tests.consistency.weeks import moment, new_lot, plates_of

ZERO = np.zeros(40)


def frozen(batches: float = 0.0, seed: int = 1, plates: int = 3) -> Baseline:
    rng = np.random.default_rng(seed)
    drawn = plates_of(ZERO, rng, batches=batches, plates=plates)
    return freeze(drawn, "place", from_at=moment(0), to_at=moment(39))


def test_scatter_is_that_of_batches_and_of_plates() -> None:
    """Batches by 0.5, plates by 0.35 and by what 40 fries add: over many baselines the variances are those drawn."""
    found = [(one.scatter(3).variance, one.scatter(1).variance) for one in (frozen(0.5, seed) for seed in range(150))]
    of_plates = 0.35**2 + 1 / 40
    assert np.mean(found, axis=0) == pytest.approx([0.25 + of_plates / 3, 0.25 + of_plates], rel=0.06)


def test_textbook_limits_are_too_tight_where_batches_differ() -> None:
    rng = np.random.default_rng(2)
    plates = plates_of(np.zeros(240), rng, batches=0.5)
    base = freeze(plates, "place", from_at=moment(0), to_at=moment(39))
    told = watch(batches_of(plates, "place"), base).means[40:]
    ours = [one.limits is not None and not one.limits.low <= one.value <= one.limits.high for one in told]  # type: ignore[operator]
    plain = [one.plain is not None and not one.plain.low <= one.value <= one.plain.high for one in told]  # type: ignore[operator]
    print(f"beyond limits without a change: ours {np.mean(ours):.3f}, textbook {np.mean(plain):.3f}")
    assert np.mean(ours) <= 0.01
    assert np.mean(plain) >= 0.1


def held(*events: int, seed: int = 3) -> Watched:
    plates = plates_of(np.concatenate([np.zeros(40), np.full(10, 2.0)]), np.random.default_rng(seed))
    base = freeze(plates, "place", from_at=moment(0), to_at=moment(29))
    return watch(batches_of(plates, "place"), base, starts=events)


def test_after_an_event_the_level_is_learned_anew() -> None:
    told = held(40)
    assert not [one for one in told.seen if one.at >= 40]
    assert told.means[40].limits is None
    assert told.means[45].level == pytest.approx(2.0, abs=0.4)
    widths = [one.limits.high - one.level for one in told.means[41:] if one.limits and one.level is not None]
    assert widths[0] > widths[-1]
    assert {one.at for one in held().seen if one.key is RuleKey.BEYOND} >= set(range(40, 50))


def test_batches_beyond_the_limits_are_not_learned_from() -> None:
    plates = plates_of(np.concatenate([np.zeros(40), np.full(6, 1.0), np.full(6, 4.0)]), np.random.default_rng(4))
    base = freeze(plates, "place", from_at=moment(0), to_at=moment(39))
    told = watch(batches_of(plates, "place"), base, starts=[40])
    assert {46, 47, 48, 49, 50, 51} <= {one.at for one in told.seen}


def test_a_baseline_over_several_lots_is_no_wider_for_their_steps() -> None:
    rng = np.random.default_rng(5)
    plates = plates_of(np.repeat([0.0, 3.0, 1.0, 2.0], 10), rng)
    lots = [new_lot(10), new_lot(20), new_lot(30)]
    said = freeze(plates, "place", from_at=moment(0), to_at=moment(39), events=lots)
    unsaid = freeze(plates, "place", from_at=moment(0), to_at=moment(39))
    assert said.scatter(3).sd == pytest.approx(np.sqrt((0.35**2 + 1 / 40) / 3), rel=0.3)
    assert unsaid.scatter(3).sd > 3 * said.scatter(3).sd
    assert said.level == pytest.approx(2.0, abs=0.3)


def test_a_short_baseline_is_wider_and_says_so() -> None:
    plates = plates_of(ZERO, np.random.default_rng(6))
    short = freeze(plates, "place", from_at=moment(0), to_at=moment(6))
    assert "fewer than 25" in short.caution
    assert frozen().caution == ""
    with pytest.raises(BaselineTooShortError):
        freeze(plates, "place", from_at=moment(0), to_at=moment(3))


def test_plates_of_two_standards_stand_on_no_one_chart() -> None:
    plates = plates_of(ZERO[:6], np.random.default_rng(7))
    plates[0] = replace(plates[0], standard_sha256="1" * 64)
    with pytest.raises(NotOneChartError, match="2 standards"):
        batches_of(plates, "place")


def test_shares_scatter_as_plates_do() -> None:
    """Plates whose true shares scatter (correlation 0.05): the fit finds it, its limits hold, plain ones don't."""
    rng = np.random.default_rng(8)
    share, rho, n = 0.15, 0.05, 40
    shares = rng.beta(share * (1 / rho - 1), (1 - share) * (1 / rho - 1), 1200)
    plates = plates_of(np.zeros(400), rng)
    plates = [
        replace(plate, shares={"dark_end": Count(k=float(rng.binomial(n, p)), n=n)})
        for plate, p in zip(plates, shares, strict=True)
    ]
    base = freeze_share(plates, "dark_end", from_at=moment(0), to_at=moment(99.9))
    assert base.share == pytest.approx(share, abs=0.02)
    assert base.correlation == pytest.approx(rho, abs=0.025)
    assert predicted(base, n).sum() == pytest.approx(1)
    later = watch_share(plates, base)[300:]
    ours = np.mean([point.side is not None for point in later])
    plain = np.mean([not point.plain_low <= point.share <= point.plain_high for point in later])
    print(f"plates beyond limits: beta-binomial {ours:.4f}, plain {plain:.4f}")
    assert ours <= 0.004
    assert plain >= 0.02
    reach = 3 * np.sqrt(base.share * (1 - base.share) / n)
    assert plain_limits(base.share, n) == pytest.approx((max(base.share - reach, 0), base.share + reach))
    truth = stats.betabinom(n, share * (1 / rho - 1), (1 - share) * (1 / rho - 1))
    assert truth.ppf(0.99) / n <= later[0].high <= truth.ppf(0.99999) / n
