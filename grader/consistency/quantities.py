"""What of a plate is watched: the quantity, its unit, and how people say that there is more or less of it."""

from dataclasses import dataclass
from typing import Literal

QuantityKey = Literal["place", "L", "a", "b", "length"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """A quantity in words; `unit` is empty where it has none that people say."""

    key: QuantityKey
    title: str
    unit: str
    more: str
    less: str

    def amount(self, value: float, *, signed: bool = False) -> str:
        """A value with its unit."""
        told = f"{value:+.2f}" if signed else f"{value:.2f}"
        return f"{told} {self.unit}".rstrip()


QUANTITIES: dict[QuantityKey, Quantity] = {
    "place": Quantity(key="place", title="Place on the colour scale", unit="steps", more="darker", less="paler"),
    "L": Quantity(key="L", title="Lightness L*", unit="units", more="lighter", less="darker"),
    "a": Quantity(key="a", title="a*", unit="units", more="redder", less="greener"),
    "b": Quantity(key="b", title="b*", unit="units", more="yellower", less="bluer"),
    "length": Quantity(key="length", title="Length", unit="mm", more="longer", less="shorter"),
}
