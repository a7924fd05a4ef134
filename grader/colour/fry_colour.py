"""The colour of fries: mean flesh, freed of shade and shine, and of what inks get wrong about food.

- Shade: a fry's top face looks up as the card does and is lit as it is; flanks get about half. The mean is of the top
  face; it stands for the flanks too, which are fried alike.
- Shine: taken off as white (`shine`).
- Metamerism: the correction was found on inks; what the patches tell of its error on food is taken off (`metamerism`).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, frozen
from grader.colour.cie import D65, xyz_to_lab, xyz_to_lab_jacobian
from grader.colour.correction import predict_lab_covariance
from grader.colour.flesh import FleshSample
from grader.colour.metamerism import food_error, food_shift
from grader.colour.sheet import SheetColour
from grader.colour.shine import Shine

# Figures marked (measured) were found on rendered plates with known truth, rounded: calibration/REFERENCES.md,
# "colour".

# A top face without its rim against the whole fry, the sheet's light being 1 (measured): the top stands about 10 mm
# nearer to the lamp, the rim that is left out is the brownest part, and a matt sheet sends some 4 % of its light from
# its surface, which the fit takes for haze.
_TOP_LEVEL, _TOP_LEVEL_U = 1.045, 0.025
# A single fry's error beside what its plate shares, CIELAB: flanks not fried quite alike, shine that varies over the
# plate, a lean (measured). Twice: fries side by side, and in a heap.
_OWN_LAB_U, _HEAP_LAB_U = (1.2, 0.42, 1.7), (4.2, 0.8, 2.5)


# So that a covariance of rank two, or none, has a Cholesky factor too.
_LEAST_VARIANCE = 1e-12

SHARED_CAUSES = ("fit",) * 3 + ("metamerism",) * 3 + ("card",) * 3 + ("shine", "light")
"""Where each of the deviations comes from that the fries of a photo share; see `mean_flesh_labs`."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FleshColour:
    """The colour of a fry's flesh, D65.

    Attributes
    ----------
    lab
        (3,) CIELAB.
    shared
        (k, 3) what one standard uncertainty of each of `SHARED_CAUSES` does to it: L*, a* and b* move together.
    own_u
        (3,) standard uncertainty that is the fry's own.
    """

    lab: FloatArray
    shared: FloatArray
    own_u: FloatArray


def flesh_lab(xyz: FloatArray, shine: Shine, colour: SheetColour) -> FloatArray:
    """CIELAB (..., 3) of a top face's corrected XYZ (..., 3), light divided out, its shine taken off."""
    lab = xyz_to_lab(_body(xyz, shine))
    return np.asarray(lab - food_shift(colour.food_bias, lab), float)


def _body(xyz: FloatArray, shine: Shine) -> FloatArray:
    # Nothing fried is blacker than 0.2 % of white; the floor keeps a wrong shine from turning a dark spot negative.
    return np.maximum(np.asarray(xyz, float) - shine.share * D65, 0.002 * D65) / _TOP_LEVEL


def mean_flesh_labs(samples: Sequence[FleshSample], shine: Shine, colour: SheetColour) -> list[FleshColour]:
    """The mean colour of the flesh of each of a photo's fries.

    `shared` holds the fit's covariance, what is left of metamerism, a measured card's own values, shine, and the
    light's factor with the top face's level; `own_u` the pixels' noise, and what the fries of one plate differ by
    beside that. Neither holds what a printer did to a card that nobody measured.
    """
    if not samples:
        return []
    body = _body(np.stack([sample.top_xyz for sample in samples]), shine)
    as_ink = xyz_to_lab(body)
    food = food_error(colour.food_bias, as_ink)
    to_lab = xyz_to_lab_jacobian(body)
    fitted = predict_lab_covariance(colour.correction, np.stack([sample.rgb for sample in samples]))
    light_u = np.hypot([sample.light_u for sample in samples], _TOP_LEVEL_U)
    by_light = (to_lab @ body[..., None])[..., 0] * light_u[:, None]
    shared = np.concatenate(
        [
            _deviations(fitted),
            _deviations(food.lab_covariance),
            np.broadcast_to(np.diag(colour.card_lab_u), (len(samples), 3, 3)),
            np.stack([to_lab @ D65 / _TOP_LEVEL * shine.u, by_light], axis=1),
        ],
        axis=1,
    )
    noise = to_lab @ np.stack([sample.top_xyz_covariance for sample in samples]) @ np.swapaxes(to_lab, 1, 2)
    least_u = np.array([_HEAP_LAB_U if sample.heaped else _OWN_LAB_U for sample in samples])
    own = np.sqrt(np.diagonal(noise, axis1=1, axis2=2) / _TOP_LEVEL**2 + least_u**2)
    freed = as_ink - food.lab_shift
    return [
        FleshColour(lab=frozen(freed[fry]), shared=frozen(shared[fry]), own_u=frozen(own[fry]))
        for fry in range(len(samples))
    ]


def shared_budget(shared: FloatArray) -> dict[str, FloatArray]:
    """By cause, the (3,) CIELAB standard uncertainty of the mean colour of fries whose `shared` is (n, k, 3)."""
    mean = np.mean(shared, axis=0)
    causes = np.array(SHARED_CAUSES)
    return {cause: np.sqrt((mean[causes == cause] ** 2).sum(0)) for cause in dict.fromkeys(SHARED_CAUSES)}


def _deviations(covariance: FloatArray) -> FloatArray:
    """(n, 3, 3) independent rows that make up each covariance; Cholesky's, whose signs are the same from fry to fry."""
    return np.swapaxes(np.linalg.cholesky(covariance + _LEAST_VARIANCE * np.eye(3)), 1, 2)
