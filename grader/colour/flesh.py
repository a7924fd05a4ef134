"""One fry's flesh in linear light: its top face apart from its flanks, glints left out, and how its pixels vary.

A pixel is body times shade plus shine: the body only scales with the light, shine adds the light's own colour.
"""

import math
from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, MaskArray, frozen
from grader.colour.cie import D65
from grader.colour.correction import Correction, apply_correction
from grader.quantiles import median, quantile

# Fewer pixels than this of a face say nothing about it.
_MIN_PIXELS = 40
# A pixel whose lightness stands out so many robust sd above what its own chroma tells is a mirror-like glint or salt.
_GLINT = 4.0
_SURELY_MATT, _GLINT_ROUNDS = 0.9, 3
# Standard deviation of Y that noise alone may give; fried faces have 0.03 to 0.07.
_NO_TEXTURE = 0.01
# In a heap most of what is seen lies in other fries' shade: the brightest quarter of each stands for its top
# (measured: calibration/REFERENCES.md, "colour").
_HEAP_QUANTILE = 0.75


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
    y_with_red
        How much of the spread of the top's Y goes with X - Y (over white) at one Y - Z, -1 to 1: positive where redder
        pixels are the lighter ones, as where shade makes the difference; negative where browning does; near 0 on a
        face without texture.
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
    y_with_red: float
    light_u: float
    left_out_share: float
    heaped: bool


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
    return sample_corrected_flesh(rgb, xyz, on_top, light_u=light_u, heaped=heaped)


def sample_corrected_flesh(
    rgb: FloatArray, xyz: FloatArray, on_top: MaskArray, *, light_u: float, heaped: bool
) -> FleshSample:
    """As `sample_flesh`, of k > 0 pixels that are corrected already: XYZ (k, 3), light divided out."""
    side = ~on_top if on_top.sum() >= _MIN_PIXELS else np.zeros(len(rgb), bool)
    top, planes = np.flatnonzero(~side), xyz.T.copy()  # three long rows are summed several times as fast
    shiny, y_with_red = _glints(planes.take(top, axis=1))
    top = top[~shiny]
    if heaped:
        top = top[planes[1, top] >= quantile(planes[1, top], _HEAP_QUANTILE)]
    used = planes.take(top, axis=1)
    return FleshSample(
        rgb=frozen(rgb.T.take(top, axis=1).mean(axis=1)),
        top_xyz=frozen(used.mean(axis=1)),
        top_xyz_covariance=frozen(_mean_covariance(used)),
        side_xyz=frozen(
            planes.compress(side, axis=1).mean(axis=1) if side.sum() >= _MIN_PIXELS else np.full(3, np.nan)
        ),
        y_with_red=y_with_red,
        light_u=float(light_u),
        left_out_share=float(shiny.sum() / len(rgb)),
        heaped=heaped,
    )


def _mean_covariance(xyz: FloatArray) -> FloatArray:
    """(3, 3) covariance of the mean of (3, k). Demosaicing, sharpening and JPEG tie about four neighbours into one."""
    off, count = xyz - xyz.mean(axis=1, keepdims=True), xyz.shape[1]
    return np.asarray(off @ off.T / max(1.0, count - 1.0) / max(1.0, count / 4), float)


def _glints(xyz: FloatArray) -> tuple[MaskArray, float]:
    """(k,) which pixels (3, k) are lighter than their chroma allows; of the others, `y_with_red`.

    White alone was added to a glint, which changes neither X - Y nor Y - Z.
    """
    x, lightness, z = xyz / D65[:, None]
    terms = np.stack([x - lightness, lightness - z, np.ones_like(lightness), lightness])
    # Glints lie far from the rest and would pull a fit through themselves: it starts without the brightest.
    matt = lightness <= quantile(lightness, _SURELY_MATT)
    for _ in range(_GLINT_ROUNDS):
        products = terms * matt @ terms.T
        residual = lightness - _solve(products[:3, :3], products[:3, 3]) @ terms[:3]
        residual = residual - median(residual)
        spread = 1.4826 * median(np.abs(residual))
        matt = residual <= _GLINT * max(spread, 1e-4)
    return ~matt, _with_red(terms.compress(matt, axis=1))


def _with_red(terms: FloatArray) -> float:
    """The slope of lightness by X - Y, times the spread of X - Y that Y - Z doesn't tell, over the lightness's own.

    `terms` (4, k) are X - Y, Y - Z, 1 and lightness.
    """
    products, (red, _, _, lightness) = terms @ terms.T, terms
    red_alone = red - _solve(products[1:3, 1:3], products[1:3, 0]) @ terms[1:3]
    slope = _solve(products[:3, :3], products[:3, 3])[0]
    variance = float(lightness.var())
    return float(slope * red_alone.std() * math.sqrt(variance) / (variance + _NO_TEXTURE**2))


def _solve(products: FloatArray, with_value: FloatArray) -> FloatArray:
    """Least squares by the normal equations: the terms' (p, p) products with each other and (p,) with the value."""
    return np.asarray(np.linalg.lstsq(products, with_value, rcond=None)[0], float)
