"""Plates drawn about anchors, with the doubt that they are given; nothing here was measured."""

from collections.abc import Sequence

import numpy as np

from grader.arrays import FloatArray
from grader.scale_fit import StepPlate

NAMES = ("too pale", "right", "too dark")
ANCHORS = np.array([(72.0, 0.0, 24.0), (61.0, 7.0, 35.0), (46.0, 13.0, 30.0)])
SHARED = np.array([(0.8, 0.2, 0.9), (0.3, -0.1, 0.0)])


def plate(
    name: str,
    step: str,
    lab: FloatArray,
    *,
    rng: np.random.Generator,
    fries: int = 20,
    fry_sd: float = 1.5,
    shared: FloatArray = SHARED,
) -> StepPlate:
    """A plate about a colour, of fries that scatter about it."""
    return StepPlate(
        name=name,
        step=step,
        lab=lab + rng.normal(0, fry_sd, (fries, 3)),
        own_u=np.full((fries, 3), 0.6),
        shared=shared,
    )


def plates(
    rng: np.random.Generator,
    *,
    names: Sequence[str] = NAMES,
    anchors: FloatArray = ANCHORS,
    each: int = 3,
    plate_sd: float = 0.8,
    fry_sd: float = 1.5,
    shared: FloatArray = SHARED,
) -> list[StepPlate]:
    """So many plates of each step, each off its anchor by a draw of its own, in no order."""
    made = [
        plate(f"{name}-{turn}", name, anchor + rng.normal(0, plate_sd, 3), rng=rng, fry_sd=fry_sd, shared=shared)
        for name, anchor in zip(names, anchors, strict=True)
        for turn in range(each)
    ]
    return [made[index] for index in rng.permutation(len(made))]
