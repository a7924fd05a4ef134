"""What sample plates cost: they are thrown away, so their mass is the price of knowing."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Waste:
    """Plates of a time, their mass, what they cost; `kg` None where no plate's mass is known, `money` without a price.

    `guessed` plates were not weighed: they count with the mean of the weighed ones, or what the house says one weighs.
    """

    plates: int
    guessed: int
    kg: float | None
    money: float | None


def waste_of(plates: int, *, weighed: int, weighed_g: float, usual_g: float | None, price_a_kg: float | None) -> Waste:
    """Of `plates`, `weighed` of which have a mass of `weighed_g` together; each other one has `usual_g`."""
    one_g = weighed_g / weighed if weighed else usual_g
    guessed = plates - weighed
    known = weighed_g + guessed * one_g if one_g is not None else 0.0
    kg = None if one_g is None and plates else known / 1000
    money = None if kg is None or price_a_kg is None else kg * price_a_kg
    return Waste(plates=plates, guessed=guessed, kg=kg, money=money)
