"""The same plates measured in two kitchens: whether both read the same, within what each states.

Limits of agreement and their confidence limits are those of a trueness study (`grader.trueness.agreement` names the
sources: Bland and Altman 1986, Zou 2013). E_n = difference / sqrt(U1^2 + U2^2), U = 2 u: ISO 13528 and ISO/IEC 17043,
as NIST's Dataplot reference manual gives the formula (read there; the standards themselves were not).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats

from grader.arrays import FloatArray
from grader.consistency.comparing import OFTEN_ENOUGH, Found, chance_of_telling
from grader.consistency.reml import TooLittleToTellError
from grader.trueness.agreement import Interval, bias_interval, e_n, limits_of_agreement
from grader.trueness.components import fit_components

LEAST_PLATES = 3
CONFIDENCE = 0.95
_BEYOND_ONE = float(2 * stats.norm.sf(2))
"""How often |E_n| exceeds 1 where both state their doubt right (k = 2)."""
_SUSPICIOUS = 0.05
_PLATES_AT_MOST = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class PairedPlate:
    """One plate as two kitchens read it, in the quantity's unit, each with its stated standard uncertainty.

    The same fries were read twice: how fries differ is no doubt here, only what measuring them adds.
    """

    plate: str
    first: float
    first_u: float
    second: float
    second_u: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreed:
    """How two kitchens agree; differences are the second less the first.

    Attributes
    ----------
    bias
        Mean difference.
    lower, upper
        Limits of agreement: of the differences of single plates 19 of 20 lie between them.
    slope
        By how much the difference grows as the plates' own reading grows by 1.
    found
        Of the bias, against what is worth acting on; `more_plates` where it can't be told yet, None where no number
        of plates in reach would tell.
    e_n
        By plate, in the order given.
    beyond, beyond_by_chance
        Plates with |E_n| above 1, and how likely at least so many were if both stated their doubt right.
    """

    plates: tuple[PairedPlate, ...]
    bias: Interval
    sd: float
    lower: Interval
    upper: Interval
    slope: Interval | None
    worth_acting_on: float
    found: Found
    more_plates: int | None
    e_n: tuple[float, ...]
    beyond: int
    beyond_by_chance: float

    @property
    def doubts_hold(self) -> bool:
        """Whether the stated doubts cover the differences, as far as so few plates tell."""
        return self.beyond_by_chance > _SUSPICIOUS


def compare_kitchens(plates: Sequence[PairedPlate], *, worth_acting_on: float) -> Agreed:
    """Compare the readings of plates that both kitchens measured.

    Raises
    ------
    TooLittleToTellError
        Fewer than three plates.
    """
    if len(plates) < LEAST_PLATES:
        raise TooLittleToTellError(
            f"{len(plates)} plate(s) were measured by both, and one or two don't tell how differences scatter.",
            hint="Let both measure the same plates, ten or more, from pale to dark.",
        )
    differences = np.array([plate.second - plate.first for plate in plates])
    components = fit_components(differences, [])
    bias, _ = bias_interval(components, reference_u=0.0)
    lower, upper = limits_of_agreement(components, bias)
    scores = e_n(differences, np.hypot([one.first_u for one in plates], [one.second_u for one in plates]))
    beyond = int((np.abs(scores) > 1).sum())
    found = _found(bias, worth_acting_on)
    return Agreed(
        plates=tuple(plates),
        bias=bias,
        sd=float(np.sqrt(components.rest)),
        lower=lower,
        upper=upper,
        slope=_slope(plates, differences),
        worth_acting_on=worth_acting_on,
        found=found,
        more_plates=_more(bias, components.rest**0.5, len(plates), worth_acting_on)
        if found is Found.CANT_TELL
        else None,
        e_n=tuple(scores.tolist()),
        beyond=beyond,
        beyond_by_chance=float(stats.binom.sf(beyond - 1, len(plates), _BEYOND_ONE)),
    )


def _found(bias: Interval, worth_acting_on: float) -> Found:
    if -worth_acting_on < bias.low and bias.high < worth_acting_on:
        return Found.ALIKE
    return Found.CANT_TELL if bias.low <= 0 <= bias.high else Found.DIFFER


def _more(bias: Interval, sd: float, plates: int, worth_acting_on: float) -> int | None:
    """The fewest plates more that would tell four times in five, if the bias is what it looks like now."""
    for more in range(1, _PLATES_AT_MOST + 1):
        u = sd / float(np.sqrt(plates + more))
        half = float(stats.t.ppf(0.5 + CONFIDENCE / 2, plates + more - 1)) * u
        if chance_of_telling(bias.value, u, half, worth_acting_on) >= OFTEN_ENOUGH:
            return more
    return None


def _slope(plates: Sequence[PairedPlate], differences: FloatArray) -> Interval | None:
    """Differences on the mean of both readings; None where plates are all alike or too few."""
    level = np.array([(plate.first + plate.second) / 2 for plate in plates])
    away = level - level.mean()
    squares, freedom = float(away @ away), len(plates) - 2
    if freedom < 2 or squares < 1e-12:
        return None
    slope = float(away @ differences) / squares
    left = differences - differences.mean() - slope * away
    half = float(stats.t.ppf(0.5 + CONFIDENCE / 2, freedom)) * float(np.sqrt(left @ left / freedom / squares))
    return Interval(value=slope, low=slope - half, high=slope + half)
