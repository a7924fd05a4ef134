"""When the level changed: how probable each place in a series is, and the stretch that holds it.

One change of the mean of normal values whose means before and after and whose standard deviation are all unknown. With
flat priors on both means, on the logarithm of the standard deviation and on the place of the change, the posterior of
the place is exact: Smith, A. F. M. (1975): A Bayesian approach to inference about a change-point in a sequence of
random variables. Biometrika 62 (cited from memory). Whether there was a change at all is another question: the largest
of the likelihood ratios over all places, held against its own distribution where nothing changes (simulated; it depends
on how many values there are and on nothing else).
"""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray

LEAST_VALUES = 4
"""Two means and a standard deviation from fewer say nothing."""
_DRAWS, _AT_ONCE = 4000, 500
_ENOUGH_REACHED = 10
"""Of more draws than those: what so many of them reach isn't rare, and more needn't be drawn."""
_ALIKE = 1e-12
"""Share of the whole scatter below which what is left within both sides is rounding."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChangePoint:
    """Where one change of level most likely lies. Value k is the k-th in order, counted from 1.

    Attributes
    ----------
    after
        The most probable last value before the change.
    first, last
        The change lies after value `first` at the earliest and before value `last` at the latest, with at least the
        probability `held` (asked for: `level`).
    posterior
        (n - 1,) how probable it is that the change lies between value k and the next.
    chance
        How often a series without any change looks at least as much as if it had one.
    before, later, step_u
        The mean before and after the most probable place, and the standard uncertainty of their difference, as if the
        place were known.
    """

    after: int
    first: int
    last: int
    level: float
    held: float
    posterior: FloatArray
    chance: float
    before: float
    later: float
    step_u: float

    @property
    def step(self) -> float:
        """By how much the level changed."""
        return self.later - self.before


def change_point(
    values: FloatArray,
    rng: np.random.Generator,
    *,
    relative_variance: FloatArray | None = None,
    level: float = 0.9,
    draws: int = _DRAWS,
) -> ChangePoint:
    """Where the mean of `values` (n,) changed, if it changed once.

    `relative_variance` (n,): how the variances of the values compare, where they differ (a batch of one plate against
    one of three); their size is found from the values. `draws`: of series without a change; who looks at many series
    asks for a smaller `chance`, which takes more of them.

    Raises
    ------
    ValueError
        Fewer than four values, some that aren't finite, or all of them equal.
    """
    weights = _weights(values, relative_variance)
    within, precision = _within(values[None], weights)
    whole = float((weights * (values - _mean(values, weights)) ** 2).sum())
    within = np.maximum(within, _ALIKE * whole)
    freedom = len(values) - 2
    log = -0.5 * np.log(precision) - 0.5 * freedom * np.log(within[0])
    posterior = np.exp(log - log.max())
    posterior /= posterior.sum()
    order = np.argsort(-posterior, kind="stable")
    inside = order[: int(np.searchsorted(np.cumsum(posterior[order]), level)) + 1]
    low, high, best = int(inside.min()), int(inside.max()), int(order[0])
    before, later = weights[: best + 1], weights[best + 1 :]
    variance = within[0, best] / freedom
    return ChangePoint(
        after=best + 1,
        first=low + 1,
        last=high + 2,
        level=level,
        held=float(posterior[low : high + 1].sum()),
        posterior=posterior,
        chance=_chance(float(_gain(values[None], weights)[0]), weights, rng, draws),
        before=_mean(values[: best + 1], before),
        later=_mean(values[best + 1 :], later),
        step_u=float(np.sqrt(variance * (1 / before.sum() + 1 / later.sum()))),
    )


def _weights(values: FloatArray, relative_variance: FloatArray | None) -> FloatArray:
    if values.ndim != 1 or len(values) < LEAST_VALUES:
        raise ValueError(f"a change can be looked for among at least {LEAST_VALUES} values")
    if not np.isfinite(values).all():
        raise ValueError("values must be finite numbers")
    if np.ptp(values) == 0:
        raise ValueError("all values are equal")
    variance = np.ones_like(values) if relative_variance is None else relative_variance
    if variance.shape != values.shape or not (variance > 0).all():
        raise ValueError("each value needs a variance above 0")
    return np.asarray(variance.mean() / variance, float)


def _mean(values: FloatArray, weights: FloatArray) -> float:
    return float((weights * values).sum() / weights.sum())


def _within(series: FloatArray, weights: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Sums of squares (m, n - 1) within both sides of each place of each series (m, n); product of their weights."""
    centred = series - (series * weights).sum(axis=1, keepdims=True) / weights.sum()
    left = np.cumsum(weights)[:-1]
    right = weights.sum() - left
    sums = np.cumsum(centred * weights, axis=1)[:, :-1]
    whole = (weights * centred**2).sum(axis=1, keepdims=True)
    return whole - sums**2 * (1 / left + 1 / right), left * right


def _gain(series: FloatArray, weights: FloatArray) -> FloatArray:
    """(m,) the share of each series' scatter that one change takes away at best; the likelihood ratio rises with it."""
    centred = series - (series * weights).sum(axis=1, keepdims=True) / weights.sum()
    whole = (weights * centred**2).sum(axis=1)
    return np.asarray(1 - _within(series, weights)[0].min(axis=1) / whole)


def _chance(gain: float, weights: FloatArray, rng: np.random.Generator, draws: int) -> float:
    """The share of drawn series without a change that gain at least as much; never nothing (this one counts too)."""
    reached = done = 0
    while done < _DRAWS or (done < draws and reached < _ENOUGH_REACHED):
        drawn = rng.standard_normal((_AT_ONCE, len(weights))) / np.sqrt(weights)
        reached += int((_gain(drawn, weights) >= gain).sum())
        done += _AT_ONCE
    return (1 + reached) / (1 + done)
