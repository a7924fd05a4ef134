"""How much finished fries weigh that are made of raw strips: their solids stay, water leaves, oil comes in."""

from dataclasses import dataclass

from grader.errors import GraderError
from grader.fries.model import Measured

WATER = Measured(value=0.40, u=0.04)
"""Share of water in finished fries (common practice, no source: near 40 %; USDA's table has 38.6 % for fries of quick
service restaurants)."""
OIL = Measured(value=0.147, u=0.03)
"""Share of fat in finished fries (USDA FoodData Central 170698, fries of quick service restaurants, in vegetable oil;
its doubt: from memory)."""


class YieldError(GraderError, ValueError):
    """Such shares leave nothing, or more than there is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FryYield:
    """Of a mass of raw strips, each as a share of that mass, with its standard uncertainty."""

    finished: Measured
    water_lost: Measured
    oil_taken: Measured


def fry_yield(solids: Measured, *, water: Measured = WATER, oil: Measured = OIL) -> FryYield:
    """What raw strips become; `solids` is their share of dry matter, `water` and `oil` are the finished fries' shares.

    No solids are taken to be lost in soak and blanch: some are, so it comes out a little high (common practice).

    Raises
    ------
    YieldError
        The shares can't be.

    Notes
    -----
    First-order propagation of the three shares, taken as independent (ISO/IEC Guide 98-3:2008, 5.1.2).
    """
    rest = 1 - water.value - oil.value
    if not (0 < solids.value < 1 and rest > 0 and solids.value / rest < 1):
        raise YieldError("With these shares no fries would be left.", hint="Give shares from 0 to 1, 0.4 for 40 %.")
    finished = solids.value / rest
    # Of the finished mass by each share: what water and oil take from the rest enlarges it.
    by_solids, by_rest = solids.u / rest, finished / rest
    parts = by_solids, by_rest * water.u, by_rest * oil.u
    lost_parts = (
        water.value * by_solids + solids.u,
        (finished + water.value * by_rest) * water.u,
        water.value * parts[2],
    )
    oil_parts = oil.value * by_solids, oil.value * parts[1], (finished + oil.value * by_rest) * oil.u
    return FryYield(
        finished=Measured(value=finished, u=_together(parts)),
        water_lost=Measured(value=1 - solids.value - water.value * finished, u=_together(lost_parts)),
        oil_taken=Measured(value=oil.value * finished, u=_together(oil_parts)),
    )


def _together(parts: tuple[float, ...]) -> float:
    return float(sum(part**2 for part in parts) ** 0.5)
