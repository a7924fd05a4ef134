"""Scales made of rendered plates, three of each of three steps, and where plates that no scale has seen are put."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray
from grader.colour.difference import ciede2000
from grader.scale_fit import StepPlate, propose_scale
from grader.standard import place_on_scale
from tests.scoring.plates import PlateScore

STEPS = ("pale", "right", "dark")
_LIGHTNESS = {"pale": (66.5, 100.0), "right": (57.0, 63.0), "dark": (0.0, 53.0)}
"""By the mean L* of the plate's fries as rendered; what lies between is of no step: nobody would name it so twice."""
_FRIES_AT_LEAST = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedPlate:
    """A rendered plate with the step that its true colour puts it on; both colours are means over the same fries."""

    plate: StepPlate
    true_lab: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """One scale: how far each anchor is from what was rendered (CIE 2000); of the plates left how many come right."""

    off_de: tuple[float, ...]
    right: int
    unseen: int


def named_plates(scores: Iterable[PlateScore]) -> list[NamedPlate]:
    """The plates that lie on a step, of those with colours enough."""
    named = []
    for score in scores:
        if score.must_refuse or len(score.colours) < _FRIES_AT_LEAST:
            continue
        true = np.array([colour.true for colour in score.colours]).mean(axis=0)
        step = next((name for name, (low, high) in _LIGHTNESS.items() if low <= true[0] <= high), None)
        if step is None:
            continue
        read = np.array([colour.read for colour in score.colours])
        # What a photo shares of its doubt moves no anchor and no boundary: none is stated here.
        plate = StepPlate(name=score.name, step=step, lab=read, own_u=np.full(read.shape, 0.5), shared=np.zeros((1, 3)))
        named.append(NamedPlate(plate=plate, true_lab=np.asarray(true, float)))
    return named


def drawn_scale(named: Sequence[NamedPlate], rng: np.random.Generator, *, each: int = 3) -> Made:
    """Make a scale of so many plates a step, drawn by chance, and put all others on it."""
    chosen: list[int] = []
    for step in STEPS:
        of_step = [index for index, one in enumerate(named) if one.plate.step == step]
        chosen += [int(index) for index in rng.choice(of_step, each, replace=False)]
    proposal = propose_scale([named[index].plate for index in chosen], steps=STEPS, right=["right"])
    off = []
    for anchor in proposal.scale.steps:
        true = np.mean([named[i].true_lab for i in chosen if named[i].plate.step == anchor.name], axis=0)
        off.append(float(ciede2000(anchor.lab, true)))
    unseen = [one for index, one in enumerate(named) if index not in chosen]
    places = place_on_scale(proposal.scale, np.array([one.plate.mean_lab for one in unseen]), 0.0).place
    put = [STEPS[int(np.searchsorted(proposal.boundaries, place))] for place in places]
    right = sum(step == one.plate.step for step, one in zip(put, unseen, strict=True))
    return Made(off_de=tuple(off), right=right, unseen=len(unseen))
