"""A fry's place on the house scale, as a number and in the house's own words."""

from collections.abc import Sequence
from dataclasses import dataclass
from operator import attrgetter

import numpy as np

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
    return fry_places([fry], scale)[0]


def fry_places(fries: Sequence[Fry], scale: ColourScale) -> list[FryPlace | None]:
    """The places of several fries, worked out at once; None for each that has no colour."""
    colours = [fry.colour for fry in fries if fry.colour is not None]
    lab, lab_u = ([*map(attrgetter(name), colours)] for name in ("lab", "u"))
    found = place_on_scale(scale, np.reshape(lab, (-1, 3)), np.reshape(lab_u, (-1, 3)))
    places = zip(found.place, found.place_u, found.off_scale_de, strict=True)
    return [None if fry.colour is None else _told(scale, *map(float, next(places))) for fry in fries]


def _told(scale: ColourScale, steps: float, steps_u: float, off_scale_de: float) -> FryPlace:
    return FryPlace(
        steps=steps,
        steps_u=steps_u,
        step_name=step_name(scale, steps),
        off_scale=off_scale_de > scale.off_scale_de,
    )
