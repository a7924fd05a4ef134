"""The colour of fries: mean flesh in linear light, freed of shade and shine.

A pixel is body times shade plus shine: the body only scales with the light, shine adds the light's own colour.

- Shade: a fry's top face looks up as the card does and is lit as it is; flanks get about half. The mean is of the top
  face; it stands for the flanks too, which are fried alike.
- Shine: oil on the top face mirrors the lamp, flanks turned aside hardly do. Top and flanks of a plate's fries have one
  body colour between them, so the white that must come off the top to make it proportional to the flanks tells how much
  shine there is. All fries of a plate share light and oil: one figure a plate.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, MaskArray, frozen
from grader.colour.cie import D65, xyz_to_lab, xyz_to_lab_jacobian
from grader.colour.correction import Correction, apply_correction, predict_lab_u

# Figures marked (measured) were found on rendered plates with known truth, rounded: calibration/REFERENCES.md,
# "colour".

# Fewer pixels than this of a face say nothing about it.
_MIN_PIXELS = 40
# A pixel whose lightness stands out so many robust sd above what its own chroma tells is a mirror-like glint or salt.
_GLINT = 4.0
_SURELY_MATT, _GLINT_ROUNDS = 0.9, 3
# In a heap most of what is seen lies in other fries' shade: the brightest quarter of each stands for its top
# (measured).
_HEAP_QUANTILE = 0.75
# Top's shine from the white between top and flanks: flanks shine a little themselves and are reddened by neighbours,
# more or less with the tray and how close fries lie, hence a base and a slope below 1 (measured).
_SHINE_BASE, _SHINE_SLOPE, _SHINE_U = 0.029, 0.50, 0.013
# The shine, a share of white, where too few flanks show (measured: mean and sd over plates).
_SHINE_USUAL, _SHINE_USUAL_U = 0.060, 0.017
_MIN_FLANKS = 5
# A top face without its rim against the whole fry, the sheet's light being 1 (measured): the top stands about 10 mm
# nearer to the lamp, the rim that is left out is the brownest part, and a matt sheet sends some 4 % of its light from
# its surface, which the fit takes for haze.
_TOP_LEVEL, _TOP_LEVEL_U = 1.05, 0.02
# A single fry's error beside what its plate shares, CIELAB: flanks not fried quite alike, shine that varies over the
# plate, a lean (measured). Twice: fries side by side, and in a heap.
_OWN_LAB_U, _HEAP_LAB_U = (1.2, 0.4, 1.5), (4.2, 0.8, 2.5)
# Food against inks that look alike, under a light that is not D65 (metamerism, measured on 12 plates with spectra of
# the shapes that inks and fries have, CIELAB): a part that no patch betrays, and a part that goes with how far
# patches left out are off.
_FOOD_LAB_U, _FOOD_BY_PATCHES = (0.4, 1.4, 0.8), 1.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FleshSample:
    """One fry's flesh as corrected, light divided out, shine still in it.

    Attributes
    ----------
    rgb
        (3,) mean picture-linear rgb of the pixels used: where in the fitted gamut it lies.
    top_xyz, side_xyz
        (3,) mean XYZ of the top face and of the flanks; the second nan where too few pixels show them.
    top_xyz_covariance
        (3, 3) of the first: the pixels' own noise and texture.
    light_u
        Relative standard uncertainty of the light's factor there.
    left_out_share
        Share of the pixels left out as mirror-like.
    heaped
        It lies in a heap.
    """

    rgb: FloatArray
    top_xyz: FloatArray
    top_xyz_covariance: FloatArray
    side_xyz: FloatArray
    light_u: float
    left_out_share: float
    heaped: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Shine:
    """What a plate's fries add of the light's own colour, as a share of white beyond the haze already taken off."""

    share: float
    u: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FleshColour:
    """CIELAB (3,) of a fry's flesh, D65, with the standard uncertainty that the plate shares and the fry's own."""

    lab: FloatArray
    shared_u: FloatArray
    own_u: FloatArray


def sample_flesh(
    rgb: FloatArray,
    on_top: MaskArray,
    *,
    correction: Correction,
    light: FloatArray | float = 1.0,
    light_u: float = 0.0,
    heaped: bool = False,
) -> FleshSample:
    """Summarise one fry's pixels.

    Parameters
    ----------
    rgb
        (k, 3) picture-linear rgb of its flesh: skin strips and the blurred rim (about 3 px) left out. A few thousand,
        evenly drawn, do.
    on_top
        (k,) which show the top face (`top_face`). Where too few do (it leans, or hides) all count as top.
    light, light_u
        (k,) or one factor, and its relative standard uncertainty (`light_at`).
    heaped
        The fries lie in a heap, where a top face may lie in shade as well.

    Raises
    ------
    ValueError
        If there is no pixel.
    """
    rgb = np.asarray(rgb, float)
    if rgb.ndim != 2 or rgb.shape[1] != 3 or len(rgb) == 0:
        raise ValueError(f"a fry's pixels must be (k, 3) with k > 0, got {rgb.shape}")
    xyz = apply_correction(correction, rgb) / np.reshape(light, (-1, 1))
    side = ~on_top if on_top.sum() >= _MIN_PIXELS else np.zeros(len(rgb), bool)
    top = np.flatnonzero(~side)
    shiny = _glints(xyz[top])
    top = top[~shiny]
    if heaped:
        top = top[xyz[top, 1] >= np.quantile(xyz[top, 1], _HEAP_QUANTILE)]
    return FleshSample(
        rgb=frozen(rgb[top].mean(0)),
        top_xyz=frozen(xyz[top].mean(0)),
        top_xyz_covariance=frozen(_mean_covariance(xyz[top])),
        side_xyz=frozen(xyz[side].mean(0) if side.sum() >= _MIN_PIXELS else np.full(3, np.nan)),
        light_u=float(light_u),
        left_out_share=float(shiny.sum() / len(rgb)),
        heaped=heaped,
    )


def _mean_covariance(xyz: FloatArray) -> FloatArray:
    """(3, 3) covariance of the mean. Demosaicing, sharpening and JPEG tie about four neighbours into one."""
    off = xyz - xyz.mean(0)
    return np.asarray(off.T @ off / max(1.0, len(xyz) - 1.0) / max(1.0, len(xyz) / 4), float)


def _glints(xyz: FloatArray) -> MaskArray:
    """Pixels lighter than their chroma allows: white alone was added, which changes neither X - Y nor Y - Z."""
    relative = xyz / D65
    lightness = relative[:, 1]
    opponent = np.column_stack([relative[:, 0] - lightness, lightness - relative[:, 2], np.ones(len(xyz))])
    # Glints lie far from the rest and would pull a fit through themselves: it starts without the brightest.
    matt = lightness <= np.quantile(lightness, _SURELY_MATT)
    for _ in range(_GLINT_ROUNDS):
        coefficients = np.linalg.lstsq(opponent[matt], lightness[matt], rcond=None)[0]
        residual = lightness - opponent @ coefficients
        residual = residual - np.median(residual)
        spread = 1.4826 * float(np.median(np.abs(residual)))
        matt = residual <= _GLINT * max(spread, 1e-4)
    return ~matt


def plate_shine(samples: Sequence[FleshSample], correction: Correction) -> Shine:
    """The shine that all fries of a plate share: top = scale * flank + white between them, in least squares."""
    flanked = [sample for sample in samples if np.isfinite(sample.side_xyz).all()]
    if len(flanked) < _MIN_FLANKS:
        return Shine(share=_SHINE_USUAL - correction.haze, u=_SHINE_USUAL_U)
    # The haze that the fit took off is mostly the card's own shine. Flanks don't have it, so it is put back on both.
    top = np.mean([sample.top_xyz for sample in flanked], axis=0) / D65 + correction.haze
    side = np.mean([sample.side_xyz for sample in flanked], axis=0) / D65 + correction.haze
    weight = top ** (-2 / 3)
    design = np.column_stack([side, np.ones(3)]) * weight[:, None]
    between = float(np.linalg.lstsq(design, top * weight, rcond=None)[0][1])
    return Shine(share=_SHINE_BASE + _SHINE_SLOPE * between - correction.haze, u=_SHINE_U)


def flesh_lab(xyz: FloatArray, shine: Shine) -> FloatArray:
    """CIELAB (..., 3) of a top face's corrected XYZ (..., 3), light divided out, its shine taken off."""
    return xyz_to_lab(_body(xyz, shine))


def _body(xyz: FloatArray, shine: Shine) -> FloatArray:
    # Nothing fried is blacker than 0.2 % of white; the floor keeps a wrong shine from turning a dark spot negative.
    return np.maximum(np.asarray(xyz, float) - shine.share * D65, 0.002 * D65) / _TOP_LEVEL


def mean_flesh_lab(sample: FleshSample, shine: Shine, correction: Correction) -> FleshColour:
    """The mean colour of a fry's flesh.

    `shared_u` holds the fit's covariance, what patches left out were off by (the fit's model, metamerism), shine, the
    light's factor and the top face's level; `own_u` the pixels' noise, and what the fries of one plate differ by beside
    that. Neither holds the uncertainty of the card's own printed colours.
    """
    body = _body(sample.top_xyz, shine)
    to_lab = xyz_to_lab_jacobian(body)
    by_shine = to_lab @ D65 / _TOP_LEVEL * shine.u
    by_level = to_lab @ body * float(np.hypot(sample.light_u, _TOP_LEVEL_U))
    fit_u = predict_lab_u(correction, sample.rgb)
    shared = np.sqrt(fit_u**2 + _model_u(correction) ** 2 + by_shine**2 + by_level**2)
    noise = np.diagonal(to_lab @ sample.top_xyz_covariance @ to_lab.T) / _TOP_LEVEL**2
    own = np.sqrt(noise + np.square(_HEAP_LAB_U if sample.heaped else _OWN_LAB_U))
    return FleshColour(lab=frozen(xyz_to_lab(body)), shared_u=frozen(shared), own_u=frozen(own))


def _model_u(correction: Correction) -> FloatArray:
    """(3,) CIELAB: what a food that is no ink may be off by under this light."""
    typical = 1.4826 * np.nanmedian(np.abs(correction.left_out_lab_error), axis=0)
    return np.asarray(np.hypot(_FOOD_LAB_U, _FOOD_BY_PATCHES * typical), float)
