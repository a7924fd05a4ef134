"""Drift inside a lot: a new lot may shift the level, but what moves from one batch to the next is no lot's doing.

A straight line through the batches of each stretch, all with one standard deviation about their lines (it is found from
all stretches together). The sign of a drift is believed where its p value, made larger for having looked at several
stretches (Holm, S. (1979): A simple sequentially rejective multiple test procedure. Scandinavian Journal of Statistics
6; cited from memory), is small. One more line, with the same slope in every stretch, tells what no single stretch is
long enough for: oil that darkens between one change and the next, a phone or a print that changes all along.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy import stats

from grader.arrays import FloatArray
from grader.consistency.segments import Segment

LEAST_BATCHES = 4
"""Of a stretch, for a line of its own: three points lie on a line too often."""
BELIEVED = 0.01
"""The p value below which a drift is told (our choice: with a look after each batch 0.05 would cry wolf)."""
_HALF = 0.95


@dataclass(frozen=True, slots=True, kw_only=True)
class Slope:
    """How the level moves from one batch to the next.

    Attributes
    ----------
    per_batch, per_batch_u
        The slope and its standard uncertainty, in the unit of the values.
    low, high
        Its interval at 95 %, for this line alone.
    freedom
        Degrees of freedom of the uncertainty.
    p
        How often a stretch without drift looks at least as steep; of one stretch among several, made larger for that.
    batches
        Through how many batches the line goes.
    """

    per_batch: float
    per_batch_u: float
    low: float
    high: float
    freedom: int
    p: float
    batches: int

    @property
    def shown(self) -> bool:
        """Whether the data show a drift."""
        return self.p < BELIEVED

    @property
    def over_all(self) -> float:
        """What the slope comes to from the first of its batches to the last."""
        return self.per_batch * (self.batches - 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class LotDrift:
    """The slope of each stretch (None where it has too few batches), and the one that all stretches share.

    `common` is None where fewer than two stretches have two batches or more: then there is nothing to share. `unseen`
    counts the batches of stretches too short for a line of their own: a drift in them shows in `common` at best.
    """

    slopes: tuple[Slope | None, ...]
    common: Slope | None
    unseen: int


def lot_drift(values: FloatArray, parts: Sequence[Segment], *, relative_variance: FloatArray) -> LotDrift:
    """Lines through the stretches `parts` of the batches' `values` (n,), whose variances compare as given (n,)."""
    weights = relative_variance.mean() / relative_variance
    lines = [_line(values[one.start : one.stop], weights[one.start : one.stop]) for one in parts]
    long = [line if line is not None and line.batches >= LEAST_BATCHES else None for line in lines]
    return LotDrift(
        slopes=_each(long),
        common=_shared([line for line in lines if line is not None]),
        unseen=sum(part.batches for part, line in zip(parts, long, strict=True) if line is None),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    """What a line through one stretch needs: sums of squares of positions, of both, and of values about their mean."""

    batches: int
    across: float
    both: float
    up: float

    @property
    def slope(self) -> float:
        return self.both / self.across

    @property
    def left(self) -> float:
        return max(self.up - self.both**2 / self.across, 0.0)


def _line(values: FloatArray, weights: FloatArray) -> _Line | None:
    if len(values) < 2:
        return None
    at = np.arange(len(values), dtype=float)
    at -= (weights * at).sum() / weights.sum()
    value = values - (weights * values).sum() / weights.sum()
    across, both, up = ((weights * one).sum() for one in (at**2, at * value, value**2))
    return _Line(batches=len(values), across=float(across), both=float(both), up=float(up))


def _each(lines: Sequence[_Line | None]) -> tuple[Slope | None, ...]:
    told = [line for line in lines if line is not None]
    freedom = sum(line.batches - 2 for line in told)
    sd = float(np.sqrt(sum(line.left for line in told) / freedom)) if told else np.nan
    alone = {id(line): _slope(line.slope, sd / np.sqrt(line.across), freedom, line.batches) for line in told}
    larger = _holm([slope.p for slope in alone.values()])
    for key, p in zip(alone, larger, strict=True):
        alone[key] = replace(alone[key], p=p)
    return tuple(None if line is None else alone[id(line)] for line in lines)


def _shared(lines: Sequence[_Line]) -> Slope | None:
    freedom = sum(line.batches - 1 for line in lines) - 1
    if len(lines) < 2 or freedom < 2:
        return None
    across, both, up = (sum(sums) for sums in zip(*((one.across, one.both, one.up) for one in lines), strict=True))
    sd = float(np.sqrt(max(up - both**2 / across, 0.0) / freedom))
    return _slope(both / across, sd / float(np.sqrt(across)), freedom, max(line.batches for line in lines))


def _slope(per_batch: float, u: float, freedom: int, batches: int) -> Slope:
    reach = float(stats.t.ppf(0.5 + _HALF / 2, freedom)) * u
    steep = abs(per_batch) / u if u > 0 else (np.inf if per_batch else 0.0)
    return Slope(
        per_batch=per_batch,
        per_batch_u=u,
        low=per_batch - reach,
        high=per_batch + reach,
        freedom=freedom,
        p=float(2 * stats.t.sf(steep, freedom)),
        batches=batches,
    )


def _holm(p: Sequence[float]) -> list[float]:
    """Each p value made larger for the number of lines that were looked at."""
    larger, most = [1.0] * len(p), 0.0
    for rank, index in enumerate(np.argsort(p)):
        most = max(most, min(1.0, (len(p) - rank) * p[index]))
        larger[index] = most
    return larger
