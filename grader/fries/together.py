"""The values of many fries laid end to end, so that one pass over them tells something of every fry."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, IntArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Together:
    """Whose each of k values is, of n fries that have one at least each.

    Attributes
    ----------
    of
        (k,) the fry: 0, 1, ...
    first
        (n,) where each fry's values begin.
    """

    of: IntArray
    first: IntArray

    @property
    def fries(self) -> int:
        """How many there are."""
        return len(self.first)

    def sums(self, values: FloatArray) -> FloatArray:
        """(n,) of values (k,)."""
        return np.asarray(np.add.reduceat(values, self.first), float)

    def lowest(self, values: FloatArray) -> FloatArray:
        """(n,) of values (k,)."""
        return np.asarray(np.minimum.reduceat(values, self.first))

    def highest(self, values: FloatArray) -> FloatArray:
        """(n,) of values (k,)."""
        return np.asarray(np.maximum.reduceat(values, self.first))

    def spans(self) -> list[slice]:
        """(n,) the places of each fry's values."""
        stops = [*self.first[1:].tolist(), len(self.of)]
        return [slice(first, stop) for first, stop in zip(self.first.tolist(), stops, strict=True)]


def laid_together(counts: Sequence[int]) -> Together:
    """Fries of so many values each."""
    return Together(of=np.repeat(np.arange(len(counts)), counts), first=np.cumsum([0, *counts])[:-1])
