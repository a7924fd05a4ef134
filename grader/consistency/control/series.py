"""Control photographs in a row, with limits that the first of them set once and for all.

One row is of one card, one phone and one light. How far a photo lies from the first ones is a distance, which is never
below 0 and far from normal; its logarithm is near enough. Limits are those within which one more photo lies as rarely
as outside three standard deviations, with what so few first ones leave in doubt (Student's t; G. J. Hahn, "Factors for
calculating two-sided prediction intervals", J. Amer. Statist. Assoc. 64 (1969) 878-888, from memory; the tests count
how often a row that doesn't change is said to).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

import numpy as np
from scipy import stats

from grader.arrays import FloatArray, MaskArray, frozen
from grader.consistency.control.reading import ControlReading

LEAST_FIRST, USUAL_FIRST = 5, 10
_BEYOND = float(stats.norm.sf(3))
"""One side of three standard deviations."""


class Watched(StrEnum):
    """What of a control photograph is watched."""

    SEEN = "patches as the camera saw them"
    LEFT = "patches as corrected"
    RED = "paper, red against green"
    BLUE = "paper, blue against green"


LEAST_REACH = {Watched.SEEN: 2.0, Watched.LEFT: 0.5, Watched.RED: 2.0, Watched.BLUE: 2.0}
"""Changes that are smaller matter to no fry, however alike the first photos were: per cent, but CIELAB units for what
the correction left (house default, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Taken:
    """A reading and when its photo was taken."""

    at: datetime
    reading: ControlReading


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Row:
    """One watched quantity over time.

    Attributes
    ----------
    values
        (n,) in the order in which the photos came: of patches their distance from the mean of the first photos (of a
        first one, from that of the others), of the paper's tint the change. Per cent; CIELAB units for LEFT.
    low, high
        Limits; `low` is None of a distance.
    out
        (n,) beyond a limit, the first photos aside.
    """

    values: FloatArray
    low: float | None
    high: float
    out: MaskArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ControlWatch:
    """A whole row of control photographs.

    Attributes
    ----------
    taken
        All of them, in the order in which they came.
    first
        How many of them set the limits.
    rows
        By what is watched; empty while there are too few.
    patches
        The numbers of the patches that, as the camera saw them, lie beyond limits of their own in the newest photo. (As
        corrected the others would show it too: a fit spreads what one ink lost over all of them.)
    """

    taken: tuple[Taken, ...]
    first: int
    rows: dict[Watched, Row]
    patches: tuple[int, ...]

    @property
    def lacking(self) -> int:
        """How many photos are missing until there are limits."""
        return max(self.first - len(self.taken), 0)

    def is_out(self, what: Watched) -> bool:
        """Whether the newest photo lies beyond a limit."""
        return what in self.rows and bool(self.rows[what].out[-1])


def watch_control(taken: Sequence[Taken], *, first: int = USUAL_FIRST) -> ControlWatch:
    """Watch a row, whose `first` photos (five at least) set the limits.

    Raises
    ------
    ValueError
        `first` is too few, or photos show different patches.
    """
    if first < LEAST_FIRST:
        raise ValueError(f"{first} photos set no limits, at least {LEAST_FIRST} do")
    if len({one.reading.numbers for one in taken}) > 1:
        raise ValueError("control photos of different sheets make no row")
    if len(taken) < first:
        return ControlWatch(taken=tuple(taken), first=first, rows={}, patches=())
    readings = [one.reading for one in taken]
    seen, left = (_from_first([getattr(one, name) for one in readings], readings, first) for name in ("seen", "left"))
    weight = readings[0].weight
    tint = 100 * (np.array([one.tint for one in readings]) - np.mean([one.tint for one in readings[:first]], axis=0))
    rows = {
        Watched.SEEN: _distances(100 * _together(seen, weight) / np.sqrt(3), first, LEAST_REACH[Watched.SEEN]),
        Watched.LEFT: _distances(_together(left, weight), first, LEAST_REACH[Watched.LEFT]),
        Watched.RED: _changes(tint[:, 0], first, LEAST_REACH[Watched.RED]),
        Watched.BLUE: _changes(tint[:, 1], first, LEAST_REACH[Watched.BLUE]),
    }
    return ControlWatch(
        taken=tuple(taken),
        first=first,
        rows=rows,
        patches=_patches_out(100 * seen / np.sqrt(3), readings[0].numbers, first),
    )


def _from_first(values: Sequence[FloatArray], readings: Sequence[ControlReading], first: int) -> FloatArray:
    """(photos, n) how far each patch lies from the mean of the first photos, a first one from the others; else nan."""
    table = np.array(values)
    table[~np.array([one.usable for one in readings])] = np.nan
    counted = (~np.isnan(table[:first])).sum(axis=0)
    total = np.nansum(table[:first], axis=0)
    own = np.zeros_like(table)
    own[:first] = np.nan_to_num(table[:first])
    others = counted - (own != 0)
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = np.where(others > 0, (total - own) / others, np.nan)
    return np.asarray(np.sqrt(((table - mean) ** 2).sum(axis=2)))


def _together(apart: FloatArray, weight: FloatArray) -> FloatArray:
    """(photos,) root mean square over the patches that could be read."""
    known = ~np.isnan(apart)
    share = weight * known
    return np.asarray(np.sqrt((share * np.nan_to_num(apart) ** 2).sum(axis=1) / share.sum(axis=1)))


def _distances(values: FloatArray, first: int, least: float) -> Row:
    logs = np.log(np.maximum(values[:first], 1e-6))
    reach = float(stats.t.isf(_BEYOND, first - 1)) * float(logs.std(ddof=1)) * np.sqrt(1 + 1 / first)
    high = max(float(np.exp(logs.mean() + reach)), least)
    return _row(values, None, high, first)


def _changes(values: FloatArray, first: int, least: float) -> Row:
    spread = float(values[:first].std(ddof=1)) * np.sqrt(1 + 1 / first)
    reach = max(float(stats.t.isf(_BEYOND, first - 1)) * spread, least)
    return _row(values, -reach, reach, first)


def _row(values: FloatArray, low: float | None, high: float, first: int) -> Row:
    out = values > high if low is None else (values > high) | (values < low)
    out[:first] = False
    return Row(values=frozen(values), low=low, high=high, out=frozen(out))


def _patches_out(apart: FloatArray, numbers: tuple[int, ...], first: int) -> tuple[int, ...]:
    """Patches of the newest photo beyond limits of their own; all of them together as rarely as one alone would be.

    How differently a patch reads from photo to photo is learned of all patches together: relative to its own usual
    distance, one is like another, and ten photos tell too little of each alone.
    """
    if len(apart) == first:
        return ()
    logs = np.log(np.maximum(apart[:first], 1e-6))
    usual = np.nanmean(logs, axis=0)
    freedom = int((~np.isnan(logs)).sum()) - len(numbers)
    spread = float(np.sqrt(np.nansum((logs - usual) ** 2) / freedom))
    reach = float(stats.t.isf(_BEYOND / len(numbers), freedom)) * spread * np.sqrt(1 + 1 / first)
    limit = np.maximum(np.exp(usual + reach), 2 * LEAST_REACH[Watched.SEEN])
    return tuple(number for number, far, most in zip(numbers, apart[-1], limit, strict=True) if far > most)
