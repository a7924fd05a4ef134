"""A colour scale proposed from plates: anchors, target range, off-scale distance, and what is doubtful about them."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from grader.arrays import FloatArray
from grader.errors import GraderError
from grader.scale_fit.doubts import scale_doubts
from grader.scale_fit.held_out import held_out, path_through, step_means
from grader.scale_fit.model import ScaleProposal, StepPlate
from grader.scale_fit.ordinal import fit_boundaries
from grader.scale_fit.separating import separations
from grader.standard.model import ColourScale
from grader.standard.place import place_on_scale

STEPS_AT_LEAST = 3
PLATES_AT_LEAST = 2
"""Of each step: one to make the scale and one to hold out. Three or more tell more of how plates scatter."""
_GENUINE_SHARE = 0.99
_OFF_COVERAGE = 3.0
_OFF_AT_LEAST, _OFF_AT_MOST = 1.0, 50.0
"""What a standard may hold, CIE 2000."""
_DECIMALS = 2


class PlatesInsufficientError(GraderError, ValueError):
    """The plates can't give a scale; the message names every step that lacks something."""


def propose_scale(plates: Sequence[StepPlate], *, steps: Sequence[str], right: Sequence[str]) -> ScaleProposal:
    """Make a scale of plates.

    A step's anchor is the mean colour of its plates. The target range runs from where the right steps begin to where
    they end, told by an ordered logistic regression of the plates' places. Figures are rounded to 0.01.

    Parameters
    ----------
    plates
        Plates, each of one of `steps`, in any order.
    steps
        The steps' names, palest first: 3 at least, each with 2 plates at least.
    right
        Names of the steps that are as the house wants them: neighbours, the palest and the darkest not among them.

    Raises
    ------
    PlatesInsufficientError
        Too few steps, too few plates of one, right steps that are none; all of it at once.
    """
    _check(plates, steps, right)
    names, whole = tuple(steps), tuple(plates)
    step = np.array([names.index(plate.step) for plate in whole], np.int64)
    lab = np.stack([plate.mean_lab for plate in whole])
    anchors = np.round(step_means(lab, step, len(names)), _DECIMALS)
    _check_distinct(names, anchors)
    path = path_through(names, anchors)
    boundaries = np.round(fit_boundaries(place_on_scale(path, lab, 0.0).place, step, steps=len(names)), _DECIMALS)
    boundaries.setflags(write=False)
    first, last = names.index(right[0]), names.index(right[-1])
    scale = replace(
        path,
        target_from=float(boundaries[first - 1]),
        target_to=float(boundaries[last]),
        off_scale_de=_off_scale_de(whole, path),
    )
    parted = separations(whole, names, step, anchors)
    confusion = held_out(whole, names, step)
    return ScaleProposal(
        scale=scale,
        boundaries=boundaries,
        separations=parted,
        confusion=confusion,
        warnings=scale_doubts(scale, parted, confusion),
    )


def _off_scale_de(plates: Sequence[StepPlate], path: ColourScale) -> float:
    """As far as 99 of 100 of the plates' own fries lie from the path, and three times one fry's doubt more."""
    far = place_on_scale(path, np.concatenate([plate.lab for plate in plates]), 0.0).off_scale_de
    variance = [float((plate.shared**2).sum() + (plate.own_u**2).sum(axis=1).mean()) for plate in plates]
    off = float(np.quantile(far, _GENUINE_SHARE)) + _OFF_COVERAGE * float(np.sqrt(np.mean(variance)))
    return round(min(max(off, _OFF_AT_LEAST), _OFF_AT_MOST), 1)


def _check(plates: Sequence[StepPlate], steps: Sequence[str], right: Sequence[str]) -> None:
    said = []
    if len(steps) < STEPS_AT_LEAST:
        said.append(f"there are {len(steps)} steps, and a scale needs at least {STEPS_AT_LEAST}")
    twice = [name for name, count in Counter(name.casefold() for name in steps).items() if count > 1]
    said += [f'"{name}" is the name of two steps' for name in twice]
    counts = Counter(plate.step for plate in plates)
    few = [f'"{name}" has {counts[name]}' for name in dict.fromkeys(steps) if counts[name] < PLATES_AT_LEAST]
    if few:
        said.append(
            f"each step needs at least {PLATES_AT_LEAST} plates with fries that have a colour: {', '.join(few)}"
        )
    said += [f'plates are called "{name}", which is no step' for name in counts if name not in steps]
    said += _check_right(list(steps), list(right))
    if said:
        message = "; ".join(said)
        raise PlatesInsufficientError(
            f"{message[0].upper()}{message[1:]}.",
            hint="Photograph at least 2 plates (better 3 or more) of each step: too pale, right, and too dark.",
        )


def _check_right(steps: list[str], right: list[str]) -> list[str]:
    unknown = [f'"{name}" is called right and is no step' for name in right if name not in steps]
    if unknown:
        return unknown
    if not right:
        return ["no step is called right"]
    at = [steps.index(name) for name in right]
    if at != list(range(at[0], at[0] + len(at))):
        return ["the steps that are right must be neighbours, named from pale to dark"]
    if at[0] == 0 or at[-1] == len(steps) - 1:
        return ["the palest and the darkest step can't be right: without plates beyond it a target has no end"]
    return []


def _check_distinct(names: tuple[str, ...], anchors: FloatArray) -> None:
    same = [f'"{names[i]}" and "{names[i + 1]}"' for i in range(len(names) - 1) if np.all(anchors[i] == anchors[i + 1])]
    if same:
        raise PlatesInsufficientError(
            f"The plates of {', of '.join(same)} have the same colour.",
            hint="Are they the same plates? Join the steps.",
        )
