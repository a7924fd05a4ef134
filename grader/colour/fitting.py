"""Fitting a correction to the patches of a sheet.

Least squares of CIELAB residuals by Gauss-Newton steps from a linear fit to XYZ. Patches near the colours of fries
count for more; tone, haze and root terms have priors and go only as far from them as the patches ask; one bad patch
loses its weight.
"""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, MaskArray, frozen
from grader.colour.cie import lab_to_xyz, xyz_to_lab
from grader.colour.correction import Correction, lab_jacobian, predict
from grader.colour.difference import ciede2000
from grader.colour.response import unbend


@dataclass(frozen=True, slots=True, kw_only=True)
class FitSettings:
    """What is known before any patch is seen.

    Attributes
    ----------
    terms
        3: a matrix; 6: root-polynomial of degree 2.
    tone, tone_sd
        Normal priors of the two tone terms (see `unbend`).
    haze, haze_sd
        Normal prior of stray light, a share of white.
    root_sd
        Normal prior, mean 0, of a root term's coefficient.
    model_sd
        CIELAB units that such a model leaves on a patch near the colours of fries.
    """

    terms: int = 6
    tone: tuple[float, float] = (0.0, 0.10)
    tone_sd: tuple[float, float] = (0.05, 0.10)
    haze: float = 0.02
    haze_sd: float = 0.015
    root_sd: float = 0.10
    model_sd: float = 0.8


DEFAULT_SETTINGS = FitSettings()

MIN_PATCHES = 6
_ROUNDS = 20
_SETTLED = 1e-4
_STEP_SIZES = (1.0, 0.5, 0.25, 0.125)
# The haze has the colour of white, which a first fit without haze tells; the second takes it off.
_STARTS = 3
_STEP = 1e-6
# Residuals beyond so many robust standard deviations begin to lose weight (Cauchy's function).
_BAD_PATCH = 3.0
USUAL_FRY_LAB = (58.0, 7.0, 32.0)
"""The middle of the colours that fries have, pale to brown."""
# How far weight reaches from it (CIELAB units).
_FRY_REACH = 35.0


def fry_weights(lab: FloatArray) -> FloatArray:
    """(n,) how much a patch of CIELAB (n, 3) tells about the colours of fries, 0 to 1: near ones more than far ones.

    A matrix can't serve every colour at once; the saturated blues and greens of a card should not bend it for fries.
    """
    squared = ((np.asarray(lab, float) - USUAL_FRY_LAB) ** 2).sum(-1) / _FRY_REACH**2
    return np.asarray(1 / (1 + squared), float)


def fit_correction(
    rgb: FloatArray,
    reference_lab: FloatArray,
    rgb_u: FloatArray,
    *,
    light: FloatArray | None = None,
    weights: FloatArray | None = None,
    settings: FitSettings = DEFAULT_SETTINGS,
) -> Correction:
    """Fit a correction to the patches of a sheet.

    Parameters
    ----------
    rgb, reference_lab, rgb_u
        (n, 3) picture-linear rgb (0 to 1), known CIELAB (D65), standard uncertainty of the rgb.
    light
        (n,) the light at each patch relative to the sheet's mean; 1 where not given.
    weights
        (n,) how much each patch counts, 0 where it must be left out; `fry_weights` where not given.

    Returns
    -------
    Correction
        Nothing is refused here for a poor fit: `refuse_poor_fit` does that.

    Raises
    ------
    ValueError
        If the arrays don't match or fewer than `MIN_PATCHES` patches are usable.
    """
    data, use = _checked(rgb, reference_lab, rgb_u, light, weights)
    return _fit(data, use, settings)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Data:
    rgb: FloatArray
    lab: FloatArray
    rgb_u: FloatArray
    light: FloatArray
    weight: FloatArray


def _checked(
    rgb: FloatArray,
    lab: FloatArray,
    rgb_u: FloatArray,
    light: FloatArray | None,
    weights: FloatArray | None,
) -> tuple[_Data, MaskArray]:
    rgb, lab, rgb_u = (np.asarray(values, float) for values in (rgb, lab, rgb_u))
    n = len(rgb)
    if rgb.shape != (n, 3) or lab.shape != (n, 3) or rgb_u.shape != (n, 3):
        raise ValueError(
            f"rgb, reference_lab and rgb_u must all be (n, 3), got {rgb.shape}, {lab.shape}, {rgb_u.shape}"
        )
    weights = fry_weights(lab) if weights is None else np.asarray(weights, float)
    use = weights > 0
    if use.sum() < MIN_PATCHES:
        raise ValueError(f"a correction needs at least {MIN_PATCHES} usable patches, got {int(use.sum())}")
    light = np.ones(n) if light is None else np.asarray(light, float)
    data = _Data(rgb=rgb[use], lab=lab[use], rgb_u=rgb_u[use], light=light[use], weight=weights[use])
    return data, use


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Off:
    """(n, 3) how far each patch is off, in standard deviations; (n, 3) how many of these a CIELAB unit is."""

    residual: FloatArray
    scale: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _System:
    """The linearised problem at some parameters, all rows in standard deviations."""

    residual: FloatArray
    rows: FloatArray
    scale: FloatArray
    normal: FloatArray
    gradient: FloatArray
    trust: FloatArray
    cost: float


def _fit(data: _Data, use: MaskArray, settings: FitSettings) -> Correction:
    parameters, white_rgb = _start(data, settings)
    mean, precision = _prior(len(parameters), settings)

    def cost(at: FloatArray, off: _Off, trust: FloatArray) -> float:
        return float((off.residual**2).sum(-1) @ trust) + float(precision @ (at - mean) ** 2)

    trust = np.ones(len(data.rgb))
    off = _off(parameters, white_rgb, data, settings)
    for _ in range(_ROUNDS):
        system = _linearise(parameters, white_rgb, data, off, trust)
        slope = system.gradient + precision * (parameters - mean)
        step = np.linalg.solve(system.normal + np.diag(precision), slope)
        before = system.cost + float(precision @ (parameters - mean) ** 2)
        # A full step is right near the end; far from it, on a card that is not what it should be, it may overshoot.
        for size in _STEP_SIZES:
            there = parameters - size * step
            off_there = _off(there, white_rgb, data, settings)
            if cost(there, off_there, trust) <= before:
                parameters, off = there, off_there
                break
        else:
            size = 0.0
        settled = np.abs(system.trust - trust).max() < _SETTLED and np.abs(size * step).max() < _SETTLED
        trust = system.trust
        if settled:
            break
    system = _linearise(parameters, white_rgb, data, off, trust)
    return _conclude(parameters, white_rgb, system, precision, use, data)


def _start(data: _Data, settings: FitSettings) -> tuple[FloatArray, FloatArray]:
    """Parameters to begin with (a matrix fitted to XYZ, tone and haze at their priors) and the rgb of white."""
    scene = unbend(data.rgb, np.array(settings.tone))
    xyz = lab_to_xyz(data.lab)
    # CIELAB follows a cube root: an error in XYZ shows the more, the darker the patch.
    weight = (np.sqrt(data.weight) * np.maximum(xyz[:, 1], 0.02) ** (-2 / 3))[:, None]
    white_rgb = np.zeros(3)
    for _ in range(_STARTS):
        clear = (scene - settings.haze * white_rgb) / data.light[:, None]
        matrix = np.linalg.lstsq(clear * weight, xyz * weight, rcond=None)[0].T
        white_rgb = np.linalg.solve(matrix, lab_to_xyz([100.0, 0.0, 0.0]))
    rows = np.zeros((3, settings.terms))
    rows[:, :3] = matrix
    return np.concatenate([settings.tone, [settings.haze], rows.ravel()]), white_rgb


def _prior(size: int, settings: FitSettings) -> tuple[FloatArray, FloatArray]:
    """Mean and precision of the parameters' independent normal priors; precision 0 where nothing is known."""
    mean, precision = np.zeros(size), np.zeros(size)
    mean[:3] = *settings.tone, settings.haze
    precision[:3] = 1 / np.square([*settings.tone_sd, settings.haze_sd])
    precision[3:].reshape(3, settings.terms)[:, 3:] = 1 / settings.root_sd**2
    return mean, precision


def _linearise(parameters: FloatArray, white_rgb: FloatArray, data: _Data, off: _Off, trust: FloatArray) -> _System:
    residual, scale = off.residual, off.scale
    jacobian = lab_jacobian(parameters, white_rgb, data.rgb, data.light) * scale[..., None]
    root = np.sqrt(trust)
    flat = (jacobian * root[:, None, None]).reshape(-1, len(parameters))
    pull = (residual * root[:, None]).ravel()
    return _System(
        residual=residual,
        rows=jacobian,
        scale=scale,
        normal=flat.T @ flat,
        gradient=flat.T @ pull,
        trust=_trust(residual),
        cost=float(pull @ pull),
    )


def _off(parameters: FloatArray, white_rgb: FloatArray, data: _Data, settings: FitSettings) -> _Off:
    noise = _rgb_noise_lab(parameters, white_rgb, data)
    scale = np.sqrt(data.weight[:, None] / (settings.model_sd**2 + noise**2))
    lab = xyz_to_lab(predict(parameters, white_rgb, data.rgb) / data.light[:, None])
    return _Off(residual=(lab - data.lab) * scale, scale=scale)


def _trust(residual: FloatArray) -> FloatArray:
    """(n,) weight of each patch by Cauchy's function of its residual over the robust spread of all."""
    distance = np.sqrt((residual**2).mean(-1))
    spread = max(float(np.median(distance)), 0.3) * 1.3
    return np.asarray(1 / (1 + (distance / (_BAD_PATCH * spread)) ** 2), float)


def _rgb_noise_lab(parameters: FloatArray, white_rgb: FloatArray, data: _Data) -> FloatArray:
    """(n, 3) standard uncertainty of each patch's CIELAB that comes from the noise of its rgb."""
    steps = _STEP * np.concatenate([np.eye(3), -np.eye(3)])
    around = predict(parameters, white_rgb, data.rgb + steps[:, None])
    ahead, behind = xyz_to_lab(around / data.light[:, None]).reshape(2, 3, *data.rgb.shape)
    by_channel = (ahead - behind) / (2 * _STEP) * data.rgb_u.T[..., None]
    return np.asarray(np.sqrt((by_channel**2).sum(axis=0)), float)


def _conclude(
    parameters: FloatArray, white_rgb: FloatArray, system: _System, precision: FloatArray, use: MaskArray, data: _Data
) -> Correction:
    covariance = np.linalg.inv(system.normal + np.diag(precision))
    # Leaving a patch out, to first order: its residual grows by (I - leverage)^-1, leverage being what it pulls itself.
    leverage = np.einsum("nip,pq,njq->nij", system.rows, covariance, system.rows) * system.trust[:, None, None]
    left_out = np.linalg.solve(np.eye(3) - leverage, system.residual[..., None])[..., 0] / system.scale
    degrees = max(1.0, 3 * system.trust.sum() - np.trace(system.normal @ covariance))
    excess = max(1.0, system.cost / degrees)
    error, difference, weight = np.full((len(use), 3), np.nan), np.full(len(use), np.nan), np.zeros(len(use))
    error[use] = left_out
    difference[use] = ciede2000(data.lab + left_out, data.lab)
    weight[use] = system.trust
    return Correction(
        parameters=frozen(parameters),
        covariance=frozen(covariance * excess),
        white_rgb=frozen(white_rgb),
        left_out_lab_error=frozen(error),
        left_out_de=frozen(difference),
        weight=frozen(weight),
    )
