"""A path through the steps' anchors, and each plate put on a path that was made without it."""

import numpy as np

from grader.arrays import FloatArray, IntArray
from grader.scale_fit.model import Confusion, StepPlate
from grader.scale_fit.ordinal import fit_boundaries, step_at
from grader.standard.model import ColourScale, Step
from grader.standard.place import place_on_scale

_APART_L = 1e-6
"""What is left of two steps may have the very same colour: the darker is made so little darker that there is a way."""


def step_means(plate_lab: FloatArray, step: IntArray, steps: int) -> FloatArray:
    """(steps, 3) mean of the plates of each step: plates count, not fries."""
    return np.stack([plate_lab[step == one].mean(axis=0) for one in range(steps)])


def path_through(names: tuple[str, ...], anchors: FloatArray) -> ColourScale:
    """A scale with these anchors (steps, 3) and all of it as target."""
    steps = tuple(Step(name=name, lab=_lab(anchor)) for name, anchor in zip(names, anchors, strict=True))
    return ColourScale(steps=steps, target_from=1.0, target_to=float(len(steps)), off_scale_de=1.0)


def _lab(anchor: FloatArray) -> tuple[float, float, float]:
    L, a, b = (float(value) for value in anchor)
    return L, a, b


def held_out(plates: tuple[StepPlate, ...], names: tuple[str, ...], step: IntArray) -> Confusion:
    """Leave each plate out in turn, make anchors and boundaries of the rest, and put it on one of the steps.

    Each step must have at least two plates, so that one is left of it.
    """
    steps, lab = len(names), np.stack([plate.mean_lab for plate in plates])
    put = np.zeros((steps, steps), np.int64)
    wrong = []
    for index, plate in enumerate(plates):
        rest = np.arange(len(plates)) != index
        anchors = step_means(lab[rest], step[rest], steps)
        anchors[:, 0] -= _APART_L * np.arange(steps)
        path = path_through(names, anchors)
        places = place_on_scale(path, lab, 0.0).place
        boundaries = fit_boundaries(places[rest], step[rest], steps=steps)
        there = int(step_at(boundaries, places[[index]])[0])
        put[step[index], there] += 1
        if there != step[index]:
            wrong.append((plate.name, plate.step, names[there]))
    put.setflags(write=False)
    return Confusion(put=put, wrong=tuple(wrong))
