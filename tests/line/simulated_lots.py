"""Lot test fries by chance: two lots in the same baskets, with a known difference and known sugar ends."""

from dataclasses import dataclass

import numpy as np

from grader.line.lot_fry import Lot, TestStrip


@dataclass(frozen=True, slots=True, kw_only=True)
class Lots:
    """How both lots are; steps. `ends` is the share of the new lot's tubers with sugar ends."""

    difference: float = 0.0
    ends: float = 0.0
    carton_sd: float = 0.1
    tuber_sd: float = 0.3
    strip_sd: float = 0.15
    basket_sd: float = 0.4
    tubers: int = 20
    cartons: int = 4
    baskets: int = 5
    strips: int = 2


def fry_lots(lots: Lots, rng: np.random.Generator) -> list[TestStrip]:
    """All strips: tubers of a carton are spread over the baskets, the strips of a tuber lie together."""
    basket = rng.normal(0, lots.basket_sd, lots.baskets)
    strips = []
    for lot, more in ((Lot.KEPT, 0.0), (Lot.NEW, lots.difference)):
        carton = rng.normal(0, lots.carton_sd, lots.cartons)
        for tuber in range(lots.tubers):
            of, in_oil = tuber % lots.cartons, tuber % lots.baskets
            level = 3.8 + more + carton[of] + rng.normal(0, lots.tuber_sd) + basket[in_oil]
            end = bool(rng.random() < (lots.ends if lot is Lot.NEW else 0.05))
            for _ in range(lots.strips):
                place = float(level + rng.normal(0, lots.strip_sd))
                strips.append(TestStrip(lot=lot, carton=of, tuber=tuber, basket=in_oil, place=place, sugar_end=end))
    return strips
