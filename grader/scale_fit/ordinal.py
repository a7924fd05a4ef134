"""Where on the scale one step ends and the next begins: an ordered logistic regression of plates' places."""

import numpy as np
from sklearn.linear_model import LogisticRegression

from grader.arrays import FloatArray, IntArray, frozen

_PENALTY_C = 10.0
"""scikit-learn's C, the inverse weight of the penalty: a weak pull of each boundary to half-way between its anchors,
and a slope that stays finite where plates separate without a fault. Our choice, no source."""


def fit_boundaries(place: FloatArray, step: IntArray, *, steps: int) -> FloatArray:
    """The places at which steps part.

    All boundaries are fitted at once, with one slope: each plate answers "is it darker than boundary k?" for every k
    (the all-threshold logistic loss: Rennie and Srebro, Loss functions for preference levels, IJCAI workshop on
    advances in preference handling, 2005). Each step weighs the same, however many plates it has: how often a house
    photographed a step says nothing of how often it comes from the fryer. That the boundaries come out in order
    follows from the questions being nested.

    Parameters
    ----------
    place
        (n,) place of each plate, 1.0 at the first anchor.
    step
        (n,) the step that the house calls it, from 0.
    steps
        How many steps there are; each has a plate.

    Returns
    -------
    (steps - 1,) never falling; each between the two anchors that it parts.
    """
    thresholds = np.arange(steps - 1)
    middle = np.asarray(thresholds + 1.5, np.float64)
    asked = (place[:, None] - middle).reshape(-1, 1)
    which = np.tile(np.eye(steps - 1), (len(place), 1))
    darker = (step[:, None] > thresholds).ravel()
    weight = np.repeat(len(step) / (steps * np.bincount(step, minlength=steps)[step]), steps - 1)
    model = LogisticRegression(C=_PENALTY_C, fit_intercept=False, tol=1e-8, max_iter=2000)
    model.fit(np.hstack([asked, which]), darker, sample_weight=weight)
    slope, offsets = model.coef_[0, 0], model.coef_[0, 1:]
    if slope <= 0:  # darker plates are not called darker: the plates say nothing of where steps part
        return frozen(middle)
    parted = np.clip(middle - offsets / slope, thresholds + 1.0, thresholds + 2.0)
    return frozen(np.asarray(parted, np.float64))


def step_at(boundaries: FloatArray, place: FloatArray) -> IntArray:
    """(n,) the step, from 0, on which places (n,) lie: darker never gives a paler step."""
    return np.searchsorted(boundaries, place, side="right").astype(np.int64)
