"""Where length is lost between the tuber and the plate: as cut, by shrinking, by breaking.

From strips of the same tubers, measured raw at the cutter and again as finished fries. Single strips aren't followed:
what a tuber's pieces measure together does not change when one breaks, so it tells how much they shrank; how many
pieces are too short does change, and tells what breaking did. The tuber is the unit, for its strips are alike.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri, stdtrit

from grader.arrays import FloatArray, IntArray
from grader.errors import GraderError
from grader.fries.model import Measured

LEAST_TUBERS = 4
INTERVAL = 0.95
_DRAWS = 2000
_CUT_FREE = 0.85
"""A tuber whose longest raw strip is shorter than this part of it was cut across, or halved (house guess)."""


class LengthLossError(GraderError, ValueError):
    """These tubers can't tell."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TuberStrips:
    """The strips of one tuber.

    Attributes
    ----------
    raw_mm, finished_mm
        (n,), (m,) lengths of its raw strips, and of its finished pieces.
    scale_u
        Relative standard uncertainty that all lengths of either photo share, both together.
    whole
        Every strip in both photos has a length, and none is missing among the finished ones.
    tuber_mm
        Length of the tuber itself; None where nobody measured it.
    """

    tuber: str
    raw_mm: FloatArray
    finished_mm: FloatArray
    scale_u: float
    whole: bool = True
    tuber_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """A figure, and where it lies with 95 % probability."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LengthLoss:
    """What came out; shares are of all pieces, by count, that are shorter than `limit_mm`, finished.

    Attributes
    ----------
    shrinkage
        Finished length over raw length, with its standard uncertainty.
    freedom
        Degrees of freedom of that: whole tubers less one.
    as_cut, by_shrinking, by_breaking
        Short already as cut; short since they shrank; short since they broke. They add up to `short`.
    raw_short
        Share of raw strips that will be too short once they have shrunk.
    pieces_a_strip
        Finished pieces over raw strips.
    cut_across
        Tubers whose longest strip is much shorter than they are, of those measured; None where none was.
    """

    tubers: int
    whole_tubers: int
    limit_mm: float
    shrinkage: Measured
    freedom: int
    short: Interval
    as_cut: Interval
    by_shrinking: Interval
    by_breaking: Interval
    raw_short: Interval
    pieces_a_strip: float
    cut_across: tuple[int, int] | None


def find_length_loss(tubers: Sequence[TuberStrips], *, limit_mm: float, rng: np.random.Generator) -> LengthLoss:
    """Where tubers' lengths went, held against a limit on finished length.

    Raises
    ------
    LengthLossError
        Fewer than four tubers, or fewer than four of which every strip could be measured.

    Notes
    -----
    Shrinkage: the mean over whole tubers of the logarithm of total finished over total raw length, Student's t, and
    beside it the scales' own doubt, which is taken not to cancel. Shares: tubers drawn anew (bootstrap), 2000 times.
    """
    whole = [one for one in tubers if one.whole]
    if len(whole) < LEAST_TUBERS:
        raise LengthLossError(
            f"{len(whole)} tubers have a length of every strip, raw and finished.",
            hint=f"Take at least {LEAST_TUBERS}, better 10; lay their strips apart, so that each end shows.",
        )
    shrinkage = shrinkage_of(whole)
    shares = _shares(tubers, limit_mm, shrinkage.value)
    drawn = np.array([_shares([tubers[i] for i in row], limit_mm, shrinkage.value) for row in _rows(len(tubers), rng)])
    told = [_interval(value, drawn[:, at]) for at, value in enumerate(shares)]
    as_cut, by_shrinking, by_breaking, short, raw_short = told
    measured = [one for one in tubers if one.tuber_mm is not None]
    return LengthLoss(
        tubers=len(tubers),
        whole_tubers=len(whole),
        limit_mm=limit_mm,
        shrinkage=shrinkage,
        freedom=len(whole) - 1,
        short=short,
        as_cut=as_cut,
        by_shrinking=by_shrinking,
        by_breaking=by_breaking,
        raw_short=raw_short,
        pieces_a_strip=sum(len(one.finished_mm) for one in whole) / sum(len(one.raw_mm) for one in whole),
        cut_across=(sum(_across(one) for one in measured), len(measured)) if measured else None,
    )


def raw_limit(limit_mm: float, shrinkage: Measured) -> Measured:
    """The length that a raw strip must have, mm, for the finished fry to have `limit_mm`."""
    raw = limit_mm / shrinkage.value
    return Measured(value=raw, u=raw * shrinkage.u / shrinkage.value)


def reach(shrinkage: Measured, freedom: int) -> float:
    """Half the 95 % interval: what tubers scatter was learnt from few (Student's t), the scales' doubt is known."""
    by_scatter, by_scale = stdtrit(freedom, (1 + INTERVAL) / 2), ndtri((1 + INTERVAL) / 2)
    return math.hypot(by_scatter * shrinkage.own_u, by_scale * shrinkage.shared_u)


def shrinkage_of(whole: Sequence[TuberStrips]) -> Measured:
    """Finished length over raw length of whole tubers; `shared_u` is what the photos' scales add to its doubt."""
    logs = np.log([one.finished_mm.sum() / one.raw_mm.sum() for one in whole])
    scatter = float(logs.std(ddof=1)) / math.sqrt(len(whole))
    scale = math.sqrt(float(np.mean([one.scale_u**2 for one in whole])))
    value = math.exp(float(logs.mean()))
    return Measured(value=value, u=value * math.hypot(scatter, scale), shared_u=value * scale)


def _shares(tubers: Sequence[TuberStrips], limit_mm: float, shrinkage: float) -> tuple[float, ...]:
    raw = np.concatenate([one.raw_mm for one in tubers])
    finished = np.concatenate([one.finished_mm for one in tubers])
    cut, shrunk, short = (float(np.mean(lengths < limit_mm)) for lengths in (raw, raw * shrinkage, finished))
    return cut, shrunk - cut, short - shrunk, short, shrunk


def _rows(n: int, rng: np.random.Generator) -> IntArray:
    return np.asarray(rng.integers(0, n, size=(_DRAWS, n)))


def _interval(value: float, drawn: FloatArray) -> Interval:
    low, high = np.quantile(drawn, [(1 - INTERVAL) / 2, (1 + INTERVAL) / 2])
    return Interval(value=value, low=float(low), high=float(high))


def _across(one: TuberStrips) -> bool:
    return one.tuber_mm is not None and float(one.raw_mm.max()) < _CUT_FREE * one.tuber_mm
