"""A graded plate's fries as what a scale is made from."""

from collections.abc import Sequence

import numpy as np

from grader.arrays import frozen
from grader.decision.pieces import is_crumb
from grader.fries.model import Fry
from grader.scale_fit.model import StepPlate
from grader.standard.model import Standard

FRIES_AT_LEAST = 5
"""Fewer with a colour are no plate: one wrongly found would move it too far. Our choice, no source."""


def step_plate(fries: Sequence[Fry], *, name: str, step: str, standard: Standard) -> StepPlate | None:
    """The plate with the fries that count by the standard (no crumbs) and have a colour; None with fewer than five."""
    colours = [fry.colour for fry in fries if fry.colour is not None and not is_crumb(fry, standard)]
    if len(colours) < FRIES_AT_LEAST:
        return None
    return StepPlate(
        name=name,
        step=step,
        lab=frozen(np.stack([colour.lab for colour in colours])),
        own_u=frozen(np.stack([colour.own_u for colour in colours])),
        shared=frozen(np.asarray(np.mean([colour.shared for colour in colours], axis=0), np.float64)),
    )
