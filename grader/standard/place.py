"""Where a colour lies on the house scale: the nearest point of the path through the steps' anchors."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from grader.arrays import FloatArray, frozen
from grader.colour.difference import ciede2000
from grader.standard.model import END_STEPS, ColourScale, ScalePlace


def place_on_scale(scale: ColourScale, lab: ArrayLike, lab_u: ArrayLike) -> ScalePlace:
    """The continuous place of colours (..., 3) with standard uncertainty (..., 3) on a scale.

    Nearest is by Euclid in CIELAB: places then run evenly between two anchors, and the uncertainty is carried over by
    the path's own direction (to first order, L*, a*, b* taken as independent). Beyond either end the path goes straight
    on: a burnt fry is past the last step, not off the scale.
    """
    lab, lab_u = np.asarray(lab, float), np.asarray(lab_u, float)
    anchors = np.array([step.lab for step in scale.steps])
    along = np.diff(anchors, axis=0)
    slopes = along / (along**2).sum(-1, keepdims=True)
    share = ((lab[..., None, :] - anchors[:-1]) * slopes).sum(-1)
    lowest, highest = np.zeros(len(along)), np.ones(len(along))
    lowest[0], highest[-1] = -np.inf, np.inf
    share = np.clip(share, lowest, highest)
    points = anchors[:-1] + share[..., None] * along
    nearest = ((lab[..., None, :] - points) ** 2).sum(-1).argmin(-1)
    place = 1 + nearest + _picked(share[..., None], nearest)[..., 0]
    slope = slopes[nearest]
    return ScalePlace(
        place=frozen(np.clip(place, 1 - END_STEPS, len(anchors) + END_STEPS)),
        place_u=frozen(np.sqrt(((slope * lab_u) ** 2).sum(-1))),
        off_scale_de=frozen(ciede2000(lab, _picked(points, nearest))),
        slope=frozen(slope),
    )


def _picked(values: FloatArray, index: NDArray[np.intp]) -> FloatArray:
    """Of values (..., segments, k), those (..., k) of one segment each."""
    return np.take_along_axis(values, index[..., None, None], axis=-2)[..., 0, :]
