"""How far two who call the same plates pale, right or dark agree, beyond what chance alone would give.

Weighted kappa: 1 where all calls are the same, 0 where they agree as often as chance would, and a call that is two
steps off (pale for dark) counts twice as much against it as one that is a single step off.

Sources: J. Cohen, "Weighted kappa", Psychological Bulletin 70 (1968) 213-220; its standard error is that of J. L.
Fleiss, J. Cohen and B. S. Everitt, "Large sample standard errors of kappa and weighted kappa", Psychological Bulletin
72 (1969) 323-327. Both from memory; the tests check value and error against two libraries and a published printout.
That error is nothing where all calls were the same, however few: there the interval's low end is what kappa comes to at
the exact lower limit of the share called the same (`sampling.exact`), had all others been two steps off.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import norm

from grader.arrays import FloatArray
from grader.sampling.exact import share_interval

_CALLS_FOR_A_FIGURE = 10
"""With fewer plates agreement isn't told: its interval would reach from none to all (house default)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreement:
    """Agreement of two on the same `plates`.

    Attributes
    ----------
    same
        Plates that both called the same.
    kappa, u
        Weighted kappa and its standard error; None where there are too few plates, or where chance alone would give
        full agreement because both always say the same word.
    low, high
        Its interval at 95 %; None as kappa is.
    """

    plates: int
    same: int
    kappa: float | None
    u: float | None
    low: float | None
    high: float | None


def agreement(first: Sequence[str], second: Sequence[str], words: Sequence[str]) -> Agreement:
    """How far two agree who called the same plates in the same order; `words` from one end to the other."""
    place = {word: k for k, word in enumerate(words)}
    table = np.zeros((len(words), len(words)))
    for one, other in zip(first, second, strict=True):
        table[place[one], place[other]] += 1
    plates, same = int(table.sum()), int(np.trace(table))
    found = weighted_kappa(table) if plates >= _CALLS_FOR_A_FIGURE else None
    if found is None:
        return Agreement(plates=plates, same=same, kappa=None, u=None, low=None, high=None)
    kappa, u = found
    far = float(norm.ppf(0.975)) * u
    low = max(kappa - far, -1.0)
    if same == plates:
        low = max(1 - (1 - share_interval(same, plates)[0]) / (1 - _by_chance(table)), -1.0)
    return Agreement(plates=plates, same=same, kappa=kappa, u=u, low=low, high=min(kappa + far, 1.0))


def weighted_kappa(table: FloatArray) -> tuple[float, float] | None:
    """Linearly weighted kappa of counts (k, k) and its standard error; None where it isn't defined."""
    shares, weights, by_chance = table / table.sum(), _weights(len(table)), _by_chance(table)
    rows, columns = shares.sum(axis=1), shares.sum(axis=0)
    seen = float((weights * shares).sum())
    if math.isclose(by_chance, 1.0):
        return None
    kappa = (seen - by_chance) / (1 - by_chance)
    usual = (weights @ columns)[:, None] + (weights.T @ rows)[None, :]
    spread = (shares * (weights - usual * (1 - kappa)) ** 2).sum() - (kappa - by_chance * (1 - kappa)) ** 2
    return kappa, math.sqrt(max(float(spread), 0.0) / float(table.sum())) / (1 - by_chance)


def _weights(words: int) -> FloatArray:
    """1 where both say the same word, 0 where they say those at both ends."""
    steps = np.arange(words)
    return np.asarray(1 - np.abs(steps[:, None] - steps[None, :]) / (words - 1), float)


def _by_chance(table: FloatArray) -> float:
    """How far two agree, weighted, who call as often as these but without regard to the plate."""
    shares = table / table.sum()
    return float((_weights(len(table)) * np.outer(shares.sum(axis=1), shares.sum(axis=0))).sum())
