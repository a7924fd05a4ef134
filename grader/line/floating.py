"""Tubers put into salt baths, one denser than the other: what floats and sinks tells their mean gravity and spread."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from grader.arrays import FloatArray
from grader.errors import GraderError

TUBERS_AT_LEAST = 10
_SPREADS = np.geomspace(0.002, 0.02, 61)
"""How tubers of a lot may spread (standard deviation): those of one hill differ by up to 0.040, fields by 0.010 to
0.015 (G. E. Kleinkopf and others, Am. Potato J. 64 (1987) 579-588, abstract). Each ratio is as likely beforehand."""
_MEANS = np.linspace(1.05, 1.11, 481)
"""Means of a lot, each as likely beforehand: the range of the published table of gravities (`solids`)."""
INTERVAL = 0.95


class FloatTestError(GraderError, ValueError):
    """The counts can't be those of a float test."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LotGravity:
    """Specific gravity of a lot's tubers: their mean and their spread, each with its 95 % interval.

    `outside` says that all tubers floated, or all sank: then the interval's far end is what was deemed possible at all.
    """

    mean: float
    mean_u: float
    mean_low: float
    mean_high: float
    spread: float
    spread_low: float
    spread_high: float
    tubers: int
    outside: bool


def fit_float_test(baths: Sequence[float], counts: Sequence[int], *, bath_u: float) -> LotGravity:
    """Mean and spread of a lot from how many of its tubers lay between the gravities of the baths.

    Parameters
    ----------
    baths
        (k,) specific gravities, the lightest first.
    counts
        (k + 1,) tubers that floated in the first bath; that sank in it and floated in the next; ...; that sank in the
        last. At least ten in all: one tuber says nothing of a lot.
    bath_u
        Standard uncertainty of the baths' gravities, by which all are off together.

    Raises
    ------
    FloatTestError
        The baths or the counts don't fit together, or too few tubers.

    Notes
    -----
    Interval-censored normal gravities; posterior over a grid of means and spreads (`_MEANS`, `_SPREADS`).
    """
    edges, seen = np.asarray(baths, float), np.asarray(counts, int)
    _check(edges, seen)
    z = (edges - _MEANS[:, None, None]) / _SPREADS[:, None]
    below = np.concatenate([np.zeros((*z.shape[:2], 1)), ndtr(z), np.ones((*z.shape[:2], 1))], axis=-1)
    likely = (seen * np.log(np.maximum(np.diff(below), 1e-300))).sum(-1)
    weight = np.exp(likely - likely.max())
    weight /= weight.sum()
    of_mean, of_spread = weight.sum(1), weight.sum(0)
    mean = float(of_mean @ _MEANS)
    low, high = _interval(_MEANS, of_mean)
    spread_low, spread_high = _interval(_SPREADS, of_spread)
    reach = float(np.sqrt(of_mean @ (_MEANS - mean) ** 2))
    wider = np.hypot(reach, bath_u) / reach
    return LotGravity(
        mean=mean,
        mean_u=reach * wider,
        mean_low=mean - (mean - low) * wider,
        mean_high=mean + (high - mean) * wider,
        spread=float(np.exp(of_spread @ np.log(_SPREADS))),
        spread_low=spread_low,
        spread_high=spread_high,
        tubers=int(seen.sum()),
        outside=bool(seen[0] == seen.sum() or seen[-1] == seen.sum()),
    )


def _interval(values: FloatArray, weight: FloatArray) -> tuple[float, float]:
    upto = np.cumsum(weight) - weight / 2
    low, high = np.interp([(1 - INTERVAL) / 2, (1 + INTERVAL) / 2], upto, values)
    return float(low), float(high)


def _check(edges: FloatArray, seen: np.ndarray[tuple[int], np.dtype[np.int64]]) -> None:
    faults = []
    if len(edges) == 0 or (np.diff(edges) <= 0).any():
        faults.append("The baths must be given from the lightest to the densest.")
    if len(edges) and (edges[0] <= _MEANS[0] or edges[-1] >= _MEANS[-1]):
        faults.append(f"Baths lie between {_MEANS[0]:.2f} and {_MEANS[-1]:.2f}.")
    if len(seen) != len(edges) + 1:
        faults.append(f"So many baths part the tubers into {len(edges) + 1} groups, not {len(seen)}.")
    if (seen < 0).any():
        faults.append("No group can hold fewer than no tuber.")
    elif seen.sum() < TUBERS_AT_LEAST:
        faults.append(f"Too few tubers: {seen.sum()}.")
    if faults:
        hint = (
            f"Count at least {TUBERS_AT_LEAST} tubers: floated in the first bath, in the next, ..., sank in the last."
        )
        raise FloatTestError(" ".join(faults), hint=hint)
