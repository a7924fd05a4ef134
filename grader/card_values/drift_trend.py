"""Drift over time: a straight line with its doubt through the comparisons of one card, and when to print anew."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

import numpy as np

from grader.arrays import FloatArray

LIMIT_DE = 1.5
"""CIE 2000 units, mean of the patches, those near the colours of fries counting most: as large as the whole error that
a fry's colour may have (our choice, no source)."""
_SURE = 1.645
"""One-sided 95 % of the normal distribution."""
_FARTHEST_DAYS = 730
_LEAST_SD = 0.05
"""CIE 2000 units: no two comparisons agree better than by luck."""


class Condition(StrEnum):
    """What is to be done with a card."""

    AS_NEW = "as good as the kept one"
    FADING = "fading"
    PRINT_ANEW = "print anew now"


@dataclass(frozen=True, slots=True, kw_only=True)
class DriftPoint:
    """One comparison: the day, and the mean difference with its standard uncertainty."""

    day: date
    mean_de: float
    mean_de_u: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """A card's drift by its comparisons so far.

    Attributes
    ----------
    condition
        What is to be done.
    now_de, now_de_u
        The drift on the last day: by the line where there is one, else as measured then.
    a_year_de, a_year_de_u
        The line's slope, per year; None of fewer than three days.
    anew_by
        When the drift may reach the limit; None where the card doesn't fade for all that can be told.
    """

    condition: Condition
    now_de: float
    now_de_u: float
    a_year_de: float | None
    a_year_de_u: float | None
    anew_by: date | None

    @property
    def words(self) -> str:
        """The verdict."""
        by = (
            f": print anew by {self.anew_by.isoformat()}" if self.condition is Condition.FADING and self.anew_by else ""
        )
        return f"{self.condition.value}{by}"


def drift_trend(points: Sequence[DriftPoint]) -> Trend:
    """The trend of a card from its comparisons, in any order.

    A line is drawn through three days or more, by least squares with weights. Its doubt is that of the comparisons, or
    what they scatter by, whichever is more. The card fades where the slope is above nothing with 95 % confidence; it
    must be replaced on the first day on which the drift may have reached the limit (the line and 1.645 times its
    doubt), and now where that is the last day or where the last comparison alone is beyond the limit.

    Raises
    ------
    ValueError
        There is no comparison.
    """
    if not points:
        raise ValueError("a trend needs at least one comparison")
    in_order = sorted(points, key=lambda one: one.day)
    last = in_order[-1]
    beyond = last.mean_de > LIMIT_DE
    if len({one.day for one in in_order}) < 3:
        condition = Condition.PRINT_ANEW if beyond else Condition.AS_NEW
        return Trend(
            condition=condition,
            now_de=last.mean_de,
            now_de_u=last.mean_de_u,
            a_year_de=None,
            a_year_de_u=None,
            anew_by=last.day if beyond else None,
        )
    line, covariance = _line(in_order)
    slope, slope_u = float(line[1]), float(np.sqrt(covariance[1, 1]))
    anew_by = _reached(line, covariance, last.day) if slope > _SURE * slope_u else None
    now = _at(line, covariance, 0.0)
    worn = beyond or (anew_by is not None and anew_by <= last.day)
    fading = Condition.FADING if anew_by is not None else Condition.AS_NEW
    return Trend(
        condition=Condition.PRINT_ANEW if worn else fading,
        now_de=now[0],
        now_de_u=now[1],
        a_year_de=slope * 365.25,
        a_year_de_u=slope_u * 365.25,
        anew_by=last.day if worn else anew_by,
    )


def _line(points: Sequence[DriftPoint]) -> tuple[FloatArray, FloatArray]:
    """Level on the last day and slope a day, with their covariance."""
    days = np.array([(one.day - points[-1].day).days for one in points], float)
    u = np.maximum([one.mean_de_u for one in points], _LEAST_SD)
    design = np.stack([np.ones_like(days), days], axis=1) / u[:, None]
    measured = np.array([one.mean_de for one in points]) / u
    covariance = np.linalg.inv(design.T @ design)
    line = covariance @ design.T @ measured
    excess = float(np.sum((measured - design @ line) ** 2)) / (len(points) - 2)
    return np.asarray(line), np.asarray(covariance * max(1.0, excess))


def _at(line: FloatArray, covariance: FloatArray, days: float) -> tuple[float, float]:
    basis = np.array([1.0, days])
    return float(basis @ line), float(np.sqrt(basis @ covariance @ basis))


def _reached(line: FloatArray, covariance: FloatArray, last: date) -> date | None:
    """The first day from the last on which the drift may have reached the limit; None in the years that can be told."""
    for days in range(_FARTHEST_DAYS + 1):
        level, u = _at(line, covariance, float(days))
        if level + _SURE * u >= LIMIT_DE:
            return last + timedelta(days=days)
    return None
