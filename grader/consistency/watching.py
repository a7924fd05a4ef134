"""Batches held against a baseline, one after the other: means, slow drift, plates of a batch; and what stands out.

Which chart is for what:

- means: has something changed at once? Limits hold that batches differ, that plates do, and what isn't known of both.
  Beside them, for comparison only, what plates alone would give (the X-bar chart of textbooks): too tight wherever
  batches differ at all.
- slow: the weighted mean of the last batches: has something small changed, or does it creep?
- apart: the standard deviation between plates of a batch (the S chart): is the batch uneven in itself?

A segment is what lies between two events that may shift the level (a new lot, new oil). The one in which the baseline
ends is held against the baseline's level; in any other the level is learned from that segment's own earlier batches,
whose doubt is in the limits, so the first batch has none. Batches beyond the limits aren't learned from: they go on
standing out until somebody says what happened. How far batches scatter is always the baseline's.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

import numpy as np
from scipy import stats

from grader.consistency.baseline import Baseline
from grader.consistency.batches import Batch, Measure
from grader.consistency.constants import c4, shewhart
from grader.consistency.ewma import Away, Slow, ewma
from grader.consistency.rules import BEYOND_SIGMAS, PLATES_APART_CHANCE, USUAL, RuleKey, Seen, Side, rows_seen

_PLAIN = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What lies between `low` and `high` is usual; None where there is no such limit."""

    low: float | None
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MeanPoint:
    """A batch on the chart of means.

    Attributes
    ----------
    batch, at, plates
        Its name, when its first plate was taken, how many plates it has.
    value
        Mean of its plates.
    level, limits, plain
        What it is held against; three-sigma limits by what its plates alone would give. None where nothing is known
        yet: the first batch of a segment.
    away
        From the level, in standard deviations of such a batch; NaN where there is no level.
    in_baseline
        The baseline rests on it.
    """

    batch: str
    at: datetime
    plates: int
    value: float
    level: float | None
    limits: Limits | None
    plain: Limits | None
    away: float
    in_baseline: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SlowPoint:
    """The weighted mean of the last batches, in the unit of the means; None where there is no level."""

    value: float | None
    limits: Limits | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ApartPoint:
    """A batch on the chart of plates within batches: their standard deviation, what is usual and at most usual.

    `plain` are the three-sigma limits of textbooks (B5, B6).
    None where the batch has, or all of the baseline's had, one plate.
    """

    value: float | None
    usual: float | None
    limits: Limits | None
    plain: Limits | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Watched:
    """The three charts, point by point as the batches came, and what stands out, in the order of time.

    `seen` speaks of batches by their index. `starts` are the first batches of the segments after the first.
    """

    measure: Measure
    baseline: Baseline
    means: tuple[MeanPoint, ...]
    slow: tuple[SlowPoint, ...]
    apart: tuple[ApartPoint, ...]
    seen: tuple[Seen, ...]
    starts: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Level:
    value: float
    u: float
    shared: bool
    """All batches of the segment are held against this same value."""


def watch(
    batches: Sequence[Batch],
    baseline: Baseline,
    *,
    starts: Sequence[int] = (),
    rules: frozenset[RuleKey] = USUAL,
) -> Watched:
    """Hold batches, in time order, against a frozen baseline.

    Parameters
    ----------
    starts
        Index of each batch that is the first after an event which may shift the level.
    rules
        Those that are on.
    """
    inner = tuple(sorted({start for start in starts if 0 < start < len(batches)}))
    edges = [0, *inner, len(batches)]
    means: list[MeanPoint] = []
    slow: list[SlowPoint] = []
    for start, stop in pairwise(edges):
        part = batches[start:stop]
        later = batches[stop].at if stop < len(batches) else None
        held = part[0].at <= baseline.to_at and (later is None or later > baseline.to_at) if part else False
        levels = _frozen(part, baseline) if held else _learned(part, baseline)
        means += [_mean_point(batch, level, baseline) for batch, level in zip(part, levels, strict=True)]
        slow += _slow_points(part, levels, baseline)
    apart = [_apart_point(batch, baseline) for batch in batches]
    seen = [*_beyond(means, slow, apart), *rows_seen(np.array([point.away for point in means]), inner, rules)]
    return Watched(
        measure=baseline.measure,
        baseline=baseline,
        means=tuple(means),
        slow=tuple(slow),
        apart=tuple(apart),
        seen=tuple(sorted((one for one in seen if one.key in rules), key=lambda one: one.at)),
        starts=inner,
    )


def _frozen(part: Sequence[Batch], baseline: Baseline) -> list[_Level | None]:
    return [_Level(value=baseline.level, u=baseline.level_u, shared=True)] * len(part)


def _learned(part: Sequence[Batch], baseline: Baseline) -> list[_Level | None]:
    """Before each batch, the weighted mean of the segment's earlier ones that weren't beyond the limits."""
    levels: list[_Level | None] = []
    weight = total = 0.0
    for batch in part:
        levels.append(_Level(value=total / weight, u=float(1 / np.sqrt(weight)), shared=False) if weight else None)
        scatter = baseline.scatter(batch.n)
        known = levels[-1]
        if known is None or abs(batch.mean - known.value) <= scatter.reach(BEYOND_SIGMAS, known.u):
            own = 1 / scatter.variance
            weight, total = weight + own, total + own * batch.mean
    return levels


def _mean_point(batch: Batch, level: _Level | None, baseline: Baseline) -> MeanPoint:
    limits = plain = None
    away = float("nan")
    if level is not None:
        scatter = baseline.scatter(batch.n)
        limits = _about(level.value, scatter.reach(BEYOND_SIGMAS, level.u))
        away = (batch.mean - level.value) / float(np.hypot(scatter.sd, level.u))
        if baseline.plates_sd is not None:
            plain = _about(level.value, _PLAIN * baseline.plates_sd / float(np.sqrt(batch.n)))
    return MeanPoint(
        batch=batch.name,
        at=batch.at,
        plates=batch.n,
        value=batch.mean,
        level=None if level is None else level.value,
        limits=limits,
        plain=plain,
        away=away,
        in_baseline=baseline.from_at <= batch.at <= baseline.to_at,
    )


def _about(level: float, reach: float) -> Limits:
    return Limits(low=level - reach, high=level + reach)


def _slow_points(part: Sequence[Batch], levels: Sequence[_Level | None], baseline: Baseline) -> Iterator[SlowPoint]:
    pairs = [(batch, level) for batch, level in zip(part, levels, strict=True) if level is not None]
    yield from [SlowPoint(value=None, limits=None)] * (len(part) - len(pairs))  # only the first has no level
    for (_, level), now in zip(pairs, ewma(_away(*pair, baseline) for pair in pairs), strict=True):
        yield _slow_point(level, now)


def _away(batch: Batch, level: _Level, baseline: Baseline) -> Away:
    """A learned level's error is each batch's own: what is left of a batch after its forerunners is uncorrelated."""
    variance = baseline.scatter(batch.n).variance
    if level.shared:
        return Away(value=batch.mean - level.value, own=variance, shared_u=level.u)
    return Away(value=batch.mean - level.value, own=variance + level.u**2)


def _slow_point(level: _Level, now: Slow) -> SlowPoint:
    return SlowPoint(value=level.value + now.value, limits=_about(level.value, now.reach))


def _apart_point(batch: Batch, baseline: Baseline) -> ApartPoint:
    """Limits by F: a variance of n - 1 degrees of freedom over the baseline's, which isn't known exactly either."""
    if batch.sd is None or baseline.plates_sd is None:
        return ApartPoint(value=batch.sd, usual=None, limits=None, plain=None)
    factor = float(stats.f.isf(PLATES_APART_CHANCE, batch.n - 1, baseline.freedom_plates))
    usual = float(np.sqrt(baseline.mean_square_plates)) * c4(batch.n)
    low, high = (limit * baseline.plates_sd for limit in shewhart(batch.n).b5_b6)
    return ApartPoint(
        value=batch.sd,
        usual=usual,
        limits=Limits(low=None, high=float(np.sqrt(factor * baseline.mean_square_plates))),
        plain=Limits(low=low, high=high),
    )


def _beyond(means: Sequence[MeanPoint], slow: Sequence[SlowPoint], apart: Sequence[ApartPoint]) -> Iterator[Seen]:
    for at, (mean, weighted, plates) in enumerate(zip(means, slow, apart, strict=True)):
        told = (
            (RuleKey.BEYOND, mean.value, mean.limits),
            (RuleKey.SLOW, weighted.value, weighted.limits),
            (RuleKey.PLATES_APART, plates.value, plates.limits),
        )
        for key, value, limits in told:
            if (side := _side(value, limits)) is not None:
                yield Seen(key=key, at=at, first=at, side=side)


def _side(value: float | None, limits: Limits | None) -> Side | None:
    if value is None or limits is None:
        return None
    if value > limits.high:
        return Side.HIGH
    return Side.LOW if limits.low is not None and value < limits.low else None
