"""One photo of a plate as the numbers that a study of the method compares: means over its fries."""

from collections.abc import Mapping, Sequence

import numpy as np

from grader.arrays import FloatArray
from grader.consistency.quantities import QuantityKey
from grader.decision.colour import on_scale
from grader.decision.pieces import gather, is_crumb
from grader.fries.model import Fry
from grader.standard.model import Standard

LEAST_FRIES = 5
"""A mean over fewer fries says more of the fries than of the plate (our choice)."""


def plate_values(fries: Sequence[Fry], standard: Standard) -> Mapping[QuantityKey, float]:
    """Means over the fries of a plate that a verdict would count; a quantity that too few have is left out.

    Place and colour are those of fries that are on the scale, length is that of whole fries as the standard means it.
    """
    pieces = gather([fries], standard)
    counted = on_scale(pieces, standard)
    lab = np.array([fry.colour.lab for fry in fries if fry.colour is not None and not is_crumb(fry, standard)])
    colours = lab.reshape(-1, 3)[counted[~np.isnan(pieces.place)]]
    means: dict[QuantityKey, float | None] = {
        "place": _mean(pieces.place[counted]),
        "L": _mean(colours[:, 0]),
        "a": _mean(colours[:, 1]),
        "b": _mean(colours[:, 2]),
        "length": _mean(pieces.length.mm[pieces.whole & pieces.length.known]),
    }
    return {key: mean for key, mean in means.items() if mean is not None}


def _mean(values: FloatArray) -> float | None:
    return float(values.mean()) if len(values) >= LEAST_FRIES else None
