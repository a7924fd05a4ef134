"""A trial of one thing at a few levels: hours of soak, weeks of storage, ml of vinegar; each level fried several times.

One-way analysis of variance: all differences between levels hold at once (J. W. Tukey's and C. Y. Kramer's intervals).
Nothing is told of levels between those tried, or beyond them.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from pathlib import Path

import numpy as np
from scipy.special import stdtrit
from scipy.stats import studentized_range

from grader.errors import GraderError
from grader.trueness.tables import Row, read_rows, table_text

COLUMNS = ("level", "place")
INTERVAL = 0.95
_LEVELS, _EACH = (2, 8), (2, 20)
_HINT = "Give 2 to 8 levels, and fry each 2 to 20 times: only repeats tell how plates differ anyway."


class LevelsError(GraderError, ValueError):
    """Such a trial tells nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelPlate:
    """One plate: the level of what is tried, and its mean place on the house scale."""

    level: float
    place: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelMean:
    """A level's mean place, with its own 95 % interval."""

    level: float
    plates: int
    mean: float
    low: float
    high: float

    def surely_within(self, target_from: float, target_to: float) -> bool:
        """Its whole interval lies in the target."""
        return target_from <= self.low and self.high <= target_to


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelsApart:
    """By how many steps plates of level `other` are darker than those of `one`; all such intervals hold together."""

    one: float
    other: float
    difference: float
    low: float
    high: float

    @property
    def differ(self) -> bool:
        """Zero lies outside."""
        return not self.low <= 0 <= self.high


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelsTrial:
    """What came out: levels in rising order, each two of them, how plates of one level differ."""

    means: tuple[LevelMean, ...]
    apart: tuple[LevelsApart, ...]
    sd: float
    freedom: int


def plan_levels(levels: Sequence[float], *, each: int, seed: int) -> tuple[float, ...]:
    """The levels of the plates in drawn order, so that oil that ages doesn't pass for what is tried.

    Raises
    ------
    LevelsError
        Too few or too many levels or plates, or a level twice.
    """
    many = len(set(levels))
    if many != len(levels) or not _LEVELS[0] <= many <= _LEVELS[1] or not _EACH[0] <= each <= _EACH[1]:
        raise LevelsError(f"{len(levels)} levels, each {each} times: no trial can be planned so.", hint=_HINT)
    drawn = np.random.default_rng(seed).permutation(np.repeat(np.array(levels, float), each))
    return tuple(float(level) for level in drawn)


def compare_levels(plates: Sequence[LevelPlate]) -> LevelsTrial:
    """Each level's mean, and each two levels against each other.

    Raises
    ------
    LevelsError
        Fewer than two levels, or none that was fried twice.
    """
    levels = sorted({one.level for one in plates})
    places = [np.array([one.place for one in plates if one.level == level]) for level in levels]
    freedom = len(plates) - len(levels)
    if len(levels) < _LEVELS[0] or freedom < 1:
        raise LevelsError(f"{len(plates)} plates of {len(levels)} levels tell nothing.", hint=_HINT)
    sd = float(np.sqrt(sum(((own - own.mean()) ** 2).sum() for own in places) / freedom))
    means = tuple(_mean(level, own, sd, freedom) for level, own in zip(levels, places, strict=True))
    factor = _tukey(len(levels), freedom) / np.sqrt(2)
    return LevelsTrial(
        means=means, apart=tuple(_apart(*two, sd, factor) for two in combinations(means, 2)), sd=sd, freedom=freedom
    )


@cache
def _tukey(levels: int, freedom: int) -> float:
    """The studentized range's quantile, which takes a tenth of a second."""
    return float(studentized_range.ppf(INTERVAL, levels, freedom))


def _mean(level: float, places: "np.ndarray[tuple[int], np.dtype[np.float64]]", sd: float, freedom: int) -> LevelMean:
    mean = float(places.mean())
    reach = float(stdtrit(freedom, (1 + INTERVAL) / 2)) * sd / np.sqrt(len(places))
    return LevelMean(level=level, plates=len(places), mean=mean, low=mean - reach, high=mean + reach)


def _apart(one: LevelMean, other: LevelMean, sd: float, factor: float) -> LevelsApart:
    difference = other.mean - one.mean
    reach = factor * sd * float(np.sqrt(1 / one.plates + 1 / other.plates))
    return LevelsApart(
        one=one.level, other=other.level, difference=difference, low=difference - reach, high=difference + reach
    )


def plan_text(levels: Sequence[float]) -> str:
    """A table with the plates to fry, their places still empty."""
    return table_text(COLUMNS, [(f"{level:g}", "") for level in levels])


def read_levels(path: Path) -> tuple[LevelPlate, ...]:
    """The plates of a filled-in table.

    Raises
    ------
    DocumentFaulty
        With everything that is wrong with it.
    OSError
        It can't be read.
    """
    hint = "Fill in the mean place of each plate on the house scale; drop rows of plates not fried."
    return read_rows(path, COLUMNS, _plate, hint=hint)


def _plate(row: Row) -> LevelPlate | None:
    level, place = row.number("level", -100, 10_000), row.number("place", -5, 99)
    return None if level is None or place is None else LevelPlate(level=level, place=place)
