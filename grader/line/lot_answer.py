"""Whether a lot can make the house's fry, by its test fry, and which time it wants today."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from scipy.special import stdtrit

from grader.fries.model import Measured
from grader.language import said
from grader.line.lot_fry import INTERVAL, Lot, LotTest, TestStrip
from grader.line.trial import Fitted, TrialError
from grader.standard.model import Standard


class Can(StrEnum):
    """Whether the lot can, as far as the test shows."""

    NOTHING_AGAINST = said("nothing speaks against it")
    DOUBTFUL = said("doubtful")
    NO = said("no")


@dataclass(frozen=True, slots=True, kw_only=True)
class LotAnswer:
    """The answer with its reasons, in sentences; `today_s` where a trial tells it."""

    can: Can
    reasons: tuple[str, ...]
    today_s: Measured | None = None
    today_low_s: float = math.nan
    today_high_s: float = math.nan


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseTime:
    """What the house fries a good lot for: seconds at a temperature; `fit` is what its trial found."""

    fit: Fitted
    seconds: float
    celsius: float


def answer_of(
    strips: Sequence[TestStrip], told: LotTest, standard: Standard, house: HouseTime | None = None
) -> LotAnswer:
    """What the test says of the lot against the house's limits; colour can be mended by time, ends and spread can't.

    Raises
    ------
    TrialError
        The trial says nothing of that temperature, or the target lies beyond what it found.
    """
    against = [*_ends(told, standard), *_spread(told, standard)]
    can = max((one for one, _ in against), key=list(Can).index, default=Can.NOTHING_AGAINST)
    reasons = [words for _, words in against]
    mean = float(np.mean([one.place for one in strips if one.lot is Lot.NEW]))
    scale = standard.scale
    if scale.target_from <= mean <= scale.target_to:
        reasons.append(f"Fried for the test's time its mean place is {mean:.2f} steps, within the target.")
    else:
        way = "longer" if mean < scale.target_from else "shorter"
        reasons.append(f"Fried for the test's time its mean place is {mean:.2f} steps: it wants a {way} time.")
    reasons += _of_sample(strips, told)
    if house is None:
        return LotAnswer(can=can, reasons=tuple(reasons))
    today = today_time(house, told, middle=(scale.target_from + scale.target_to) / 2)
    reach = float(stdtrit(min(told.freedom, house.fit.freedom), (1 + INTERVAL) / 2)) * today.u / today.value
    low, high = today.value * math.exp(-reach), today.value * math.exp(reach)
    tried = house.fit.tried
    if not tried.shortest_s <= today.value <= tried.longest_s:
        reasons.append("Today's time lies outside the times that the trial tried: fry a plate there first.")
    return LotAnswer(can=can, reasons=tuple(reasons), today_s=today, today_low_s=low, today_high_s=high)


def today_time(house: HouseTime, told: LotTest, *, middle: float) -> Measured:
    """Seconds for the new lot to the colour that the house's time gives a good one.

    The lot is taken to brown by the same law, faster or slower by one factor: where a good lot is at `middle`, the new
    one is at `middle` + difference; the factor is how much longer the trial's lot takes to there.

    Raises
    ------
    TrialError
        A temperature that wasn't tried, or a place that browning doesn't reach.
    """
    tried = house.fit.tried
    if not tried.coldest_c <= house.celsius <= tried.hottest_c:
        there = f"{tried.coldest_c:g} to {tried.hottest_c:g} C"
        raise TrialError(f"{house.celsius:g} C was not tried, only {there}.", hint="Give a temperature between those.")

    def log_factor(difference: float) -> float:
        there, here = (house.fit.log_time(place, house.celsius)[0] for place in (middle + difference, middle))
        return there - here

    slopes = house.fit.log_time_slope(middle + told.difference, house.celsius) - house.fit.log_time_slope(
        middle, house.celsius
    )
    of_trial = math.sqrt(max(float(slopes @ house.fit.covariance @ slopes), 0.0))
    of_test = abs(log_factor(told.difference + told.u) - log_factor(told.difference - told.u)) / 2
    seconds = house.seconds * math.exp(-log_factor(told.difference))
    return Measured(value=seconds, u=seconds * math.hypot(of_trial, of_test))


def _ends(told: LotTest, standard: Standard) -> list[tuple[Can, str]]:
    ends, limit = told.new_ends, standard.limits.dark_end_share_at_most
    if ends is None:
        return [(Can.DOUBTFUL, "Of no strip a stem end could be told: nothing is known of sugar ends.")]
    share = ends.found / ends.tubers
    within = f"{ends.low:.0%} to {ends.high:.0%} of the lot (95 %); the house allows {limit:.0%}"
    if ends.low > limit:
        return [(Can.NO, f"Sugar ends: {within}. No time mends them.")]
    if share > limit:
        return [(Can.DOUBTFUL, f"Sugar ends: {within}. More tubers would tell.")]
    return []


def _spread(told: LotTest, standard: Standard) -> list[tuple[Can, str]]:
    spread = math.hypot(told.carton_sd or 0.0, told.tuber_sd or 0.0, told.strip_sd)
    limit = standard.limits.spread_steps_at_most
    if spread <= limit:
        return []
    return [
        (Can.DOUBTFUL, f"Its strips differ by {spread:.2f} steps (standard deviation); the house allows {limit:g}.")
    ]


def _of_sample(strips: Sequence[TestStrip], told: LotTest) -> list[str]:
    """What so few cartons, or strips, can't tell; it speaks neither for nor against the lot."""
    limits = []
    fewest = min(len({one.carton for one in strips if one.lot is lot}) for lot in Lot)
    if told.carton_sd is None and fewest == 1:
        limits.append("All tubers of a lot are of one carton: how far its other cartons differ isn't known.")
    if told.tuber_sd is None:
        limits.append("Of each tuber one strip was fried: what tubers and what strips differ by is told as one.")
    return limits
