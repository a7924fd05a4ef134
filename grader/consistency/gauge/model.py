"""A study of the method as values: under which conditions plates were read, and what was read of them."""

from dataclasses import dataclass
from typing import Literal

Factor = Literal["person", "phone", "light"]
FACTORS: tuple[Factor, ...] = ("person", "phone", "light")
Layout = Literal["crossed", "nested"]
"""Crossed: every plate is read under every condition. Nested: each condition has plates of its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """Who photographs with what in which light."""

    person: str
    phone: str
    light: str

    def level(self, factor: Factor) -> str:
        """Who or what stands for a factor."""
        return {"person": self.person, "phone": self.phone, "light": self.light}[factor]

    @property
    def words(self) -> str:
        """For people."""
        return ", ".join(part for part in (self.person, self.phone, self.light) if part)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What one photo of one plate came to, in the quantity's unit; `turn` counts the photos of that plate from 0."""

    plate: str
    condition: Condition
    value: float
    turn: int | None = None


def varied(conditions: "set[Condition] | tuple[Condition, ...]") -> tuple[Factor, ...]:
    """The factors that were not the same all the time."""
    return tuple(factor for factor in FACTORS if len({one.level(factor) for one in conditions}) > 1)
