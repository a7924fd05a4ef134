"""How often 95 % intervals hold the truth.

A plate's fries share its error, so the range of a share is found by drawing plates anew, not fries.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

LEAST_COVER, MOST_COVER = 0.92, 0.98
_DRAWS = 2000

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cover:
    """The share of truths held, and the 95 % range of it over drawn plates."""

    what: str
    share: float
    low: float
    high: float

    @property
    def may_be_right(self) -> bool:
        """The range reaches into what a right uncertainty gives."""
        return self.low <= MOST_COVER and self.high >= LEAST_COVER


def share_held(held: Sequence[Flags | Floats]) -> tuple[float, float, float]:
    """The share, its low and its high end, of what each plate's intervals hold: yes or no, or how much of each."""
    within, counted = np.array([one.sum() for one in held]), np.array([len(one) for one in held])
    drawn = np.random.default_rng(1).integers(0, len(held), (_DRAWS, len(held)))
    shares = within[drawn].sum(axis=1) / np.maximum(counted[drawn].sum(axis=1), 1)
    low, high = np.percentile(shares, [2.5, 97.5])
    return float(within.sum() / counted.sum()), float(low), float(high)


def thirds(u: Sequence[Floats]) -> Iterator[tuple[str, list[Flags]]]:
    """Each third by stated uncertainty: its words, and which of each plate's fries are in it; empty ones left out."""
    edges = np.quantile(np.concatenate(list(u)), [1 / 3, 2 / 3])
    for third, words in enumerate(("lowest", "middle", "highest")):
        chosen = [np.digitize(one, edges) == third for one in u]
        if any(one.any() for one in chosen):
            yield f"{words} third of u", chosen
