"""A fry's place on the house scale, as a number and in the house's own words."""

from dataclasses import dataclass

from grader.fries.model import Fry
from grader.standard import place_on_scale
from grader.standard.model import ColourScale


@dataclass(frozen=True, slots=True, kw_only=True)
class FryPlace:
    """Where a fry's colour lies: its place in steps and the name of the nearest; `off_scale` where it is like none."""

    steps: float
    steps_u: float
    step_name: str
    off_scale: bool


def step_name(scale: ColourScale, place: float) -> str:
    """The name of the step nearest to a place."""
    return scale.steps[min(max(round(place), 1), len(scale.steps)) - 1].name


def fry_place(fry: Fry, scale: ColourScale) -> FryPlace | None:
    """The place of one fry, None where it has no colour."""
    if fry.colour is None:
        return None
    found = place_on_scale(scale, fry.colour.lab, fry.colour.u)
    return FryPlace(
        steps=float(found.place),
        steps_u=float(found.place_u),
        step_name=step_name(scale, float(found.place)),
        off_scale=bool(found.off_scale_de > scale.off_scale_de),
    )
