"""A colour scale proposed from plates: anchors, target range, off-scale distance, and what is doubtful about them."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from grader.arrays import FloatArray
from grader.scale_fit.checking import PlatesInsufficientError, check_steps
from grader.scale_fit.doubts import scale_doubts
from grader.scale_fit.held_out import held_out, path_through, step_means
from grader.scale_fit.model import ScaleProposal, StepPlate
from grader.scale_fit.ordinal import fit_boundaries
from grader.scale_fit.separating import separations
from grader.standard.model import ColourScale
from grader.standard.place import place_on_scale

_GENUINE_SHARE = 0.99
_OFF_COVERAGE = 3.0
_OFF_AT_LEAST, _OFF_AT_MOST = 1.0, 50.0
"""What a standard may hold, CIE 2000."""
_DECIMALS = 2


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
    check_steps(Counter(plate.step for plate in plates), steps=steps, right=right)
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


def _check_distinct(names: tuple[str, ...], anchors: FloatArray) -> None:
    same = [f'"{names[i]}" and "{names[i + 1]}"' for i in range(len(names) - 1) if np.all(anchors[i] == anchors[i + 1])]
    if same:
        raise PlatesInsufficientError(
            f"The plates of {', of '.join(same)} have the same colour.",
            hint="Are they the same plates? Join the steps.",
        )
