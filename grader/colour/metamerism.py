"""Metamerism: how far fries are off when inks correct them, as far as the patches tell.

Two surfaces that match in one light part in another: a correction found on inks is wrong for fries, the more, the
further a lamp is from D65 and a sensor from the eye. The same lamp and sensor set the card's own patches apart too,
for they are made of several inks; what the fit could not make good on them tells which way fries are off.

Learnt over many drawn lights, sensors, prints and potatoes (tests/spectral), each corrected by the project's own fit:
the directions in which patches and fries go off together. A photo's patches tell how far along each it lies (Gaussian
conditioning), and with that the fries' error and the doubt that is left.
"""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

from grader.arrays import FloatArray, MaskArray, frozen
from grader.places import calibration_folder

LEARNT_FILE = "metamerism.toml"

# What a patch shows beside metamerism and the noise of its reading, CIELAB: texture of the print, a tone curve that the
# fit's two terms don't follow, light that is not quite smooth.
_READING_LAB_U = 0.35
# A patch of a colour that was not learnt follows its neighbour, less so the further off it is: CIELAB per CIELAB unit.
_BY_DISTANCE = 0.05
# Light, inks or sensor unlike any that was drawn bend a shift by this share of it: of lights, inks and sensors left out
# of the learning, 1.96 standard uncertainties then cover 0.90 to 0.94 of the fries, and 0.87 to 0.89 without it.
_UNLIKE = 0.3
_ROUNDS = 30
# A patch that is not what it should be (a stain) strays further than the others: Student's t with few degrees of
# freedom.
_STRAY_DEGREES = 6.0
# Tones that were learnt: beyond them the nearest stands for a colour. Middle and reach of L* and b*.
_LIGHTNESS, _YELLOWNESS = (58.0, 15.0), (30.0, 8.0)
_FURTHEST = 1.6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LearntMetamerism:
    """What lights, sensors and prints do together, CIELAB; m modes of unit variance.

    Attributes
    ----------
    colours
        (k, 3) CIELAB of the patches that it was learnt on.
    patch_modes, patch_rest
        (k, 3, m) what a mode does to a patch as fitted, and (k, 3) the sd that no mode carries.
    fry_modes, fry_rest
        (t, 3, m) what a mode does to fries, by the terms of their tone, and (3 t, 3 t) the covariance of the rest.
    degrees
        Degrees of freedom of the scale that photos differ by: few, some lights are harmless and some very bad.
    """

    colours: FloatArray
    patch_modes: FloatArray
    patch_rest: FloatArray
    fry_modes: FloatArray
    fry_rest: FloatArray
    degrees: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FoodBias:
    """What one photo's patches tell of its fries.

    Attributes
    ----------
    coefficients, covariance
        (t, 3) of the terms of a fry's tone, and (3 t, 3 t).
    scale
        How bad light, sensor and print are for each other: 1 as usual, near 0 where every patch fits.
    """

    coefficients: FloatArray
    covariance: FloatArray
    scale: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FoodError:
    """CIELAB that fries read too high because they are no ink: (..., 3), to be taken off; covariance (..., 3, 3) of it.

    All fries of a photo share this error.
    """

    lab_shift: FloatArray
    lab_covariance: FloatArray

    @property
    def lab_u(self) -> FloatArray:
        """(..., 3) standard uncertainty that stays after the shift is taken off."""
        return np.sqrt(np.diagonal(self.lab_covariance, axis1=-2, axis2=-1))


def tone_terms(lab: FloatArray) -> FloatArray:
    """(..., 4) what a fry's error goes with: 1, lightness, yellowness, lightness squared; CIELAB (..., 3) in."""
    lab = np.asarray(lab, float)
    light, yellow = (
        np.clip((lab[..., k] - middle) / reach, -_FURTHEST, _FURTHEST)
        for k, (middle, reach) in ((0, _LIGHTNESS), (2, _YELLOWNESS))
    )
    return np.stack([np.ones_like(light), light, yellow, light**2], -1)


@cache
def learnt_metamerism() -> LearntMetamerism:
    """What ships with the program; `python -m tests.spectral` makes it."""
    return read_learnt(calibration_folder() / LEARNT_FILE)


def read_learnt(file: Path) -> LearntMetamerism:
    """What such a file holds."""
    held = tomllib.loads(file.read_text(encoding="utf-8"))
    colours, terms = np.array(held["colours"]), len(tone_terms(np.zeros(3)))
    return LearntMetamerism(
        colours=frozen(colours),
        patch_modes=frozen(np.reshape(held["patch_modes"], (len(colours), 3, -1))),
        patch_rest=frozen(np.reshape(held["patch_rest"], (len(colours), 3))),
        fry_modes=frozen(np.reshape(held["fry_modes"], (terms, 3, -1))),
        fry_rest=frozen(np.reshape(held["fry_rest"], (3 * terms, 3 * terms))),
        degrees=float(held["degrees"]),
    )


def reveal_food_bias(
    patch_lab: FloatArray,
    patch_error: FloatArray,
    *,
    patch_lab_u: FloatArray | float = 0.0,
    usable: MaskArray | None = None,
    learnt: LearntMetamerism | None = None,
) -> FoodBias:
    """What the patches of a photo tell of its fries.

    Parameters
    ----------
    patch_lab, patch_error
        (n, 3) CIELAB of the patches as known, and as corrected less that: by the fit that used them, not left out.
    patch_lab_u
        (n, 3) or one: standard uncertainty of the patches as known. The less sure, the less they tell.
    usable
        (n,) False where a patch must be left out. Where none is usable nothing is told: no shift, the usual doubt.
    learnt
        `learnt_metamerism` where not given.

    Raises
    ------
    ValueError
        If patches and errors don't match.
    """
    patch_lab, patch_error = np.asarray(patch_lab, float), np.asarray(patch_error, float)
    if patch_lab.ndim != 2 or patch_lab.shape[1] != 3 or patch_error.shape != patch_lab.shape:
        raise ValueError(f"patches and their errors must be (n, 3) both, got {patch_lab.shape}, {patch_error.shape}")
    learnt = learnt_metamerism() if learnt is None else learnt
    use = np.isfinite(patch_error).all(1) & (np.ones(len(patch_lab), bool) if usable is None else usable)
    known_u = np.broadcast_to(patch_lab_u, patch_lab.shape)[use]
    modes, variance = _patch_model(learnt, patch_lab[use], known_u)
    return _conclude(learnt, modes, variance, patch_error[use].ravel())


def _patch_model(learnt: LearntMetamerism, lab: FloatArray, known_u: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Modes (3 n, m) of the patches that a card has, and the variance (3 n,) of all else."""
    distance = np.linalg.norm(lab[:, None] - learnt.colours, axis=-1)
    nearest = distance.argmin(1)
    off = distance[np.arange(len(lab)), nearest][:, None]
    variance = learnt.patch_rest[nearest] ** 2 + _READING_LAB_U**2 + known_u**2 + (_BY_DISTANCE * off) ** 2
    # Patches of one colour and ink are one witness, however often they are printed.
    alike = np.bincount(nearest, minlength=len(learnt.colours))[nearest]
    modes = learnt.patch_modes[nearest].reshape(3 * len(lab), learnt.patch_modes.shape[-1])
    return modes, np.asarray((variance * alike[:, None]).ravel(), float)


def _conclude(learnt: LearntMetamerism, modes: FloatArray, variance: FloatArray, error: FloatArray) -> FoodBias:
    """Modes' amounts, their common scale, how much patches stray and each one's trust in turns; what fries follow.

    Expectation and maximisation: the amounts are Student's with `degrees`, what patches stray by with `_STRAY_DEGREES`.
    """
    count = modes.shape[1]
    scale2, trust, loose = 1.0, np.ones(len(error)), 1.0
    for _ in range(_ROUNDS):
        told = modes.T * (trust / (variance * loose))
        covariance = np.linalg.inv(np.eye(count) / scale2 + told @ modes)
        amounts = covariance @ (told @ error)
        scale2 = float((learnt.degrees + amounts @ amounts + np.trace(covariance)) / (learnt.degrees + count))
        stray = ((error - modes @ amounts) ** 2 + np.einsum("ij,jk,ik->i", modes, covariance, modes)) / variance
        # A print that was never measured strays on every patch: then all of them tell less.
        loose = max(1.0, float(trust @ stray) / max(1, len(error)))
        trust = np.repeat((_STRAY_DEGREES + 3) / (_STRAY_DEGREES + stray.reshape(-1, 3).sum(1) / loose), 3)
    fry = learnt.fry_modes.reshape(-1, count)
    return FoodBias(
        coefficients=frozen((fry @ amounts).reshape(-1, 3)),
        covariance=frozen(fry @ covariance @ fry.T + scale2 * learnt.fry_rest),
        scale=float(np.sqrt(scale2)),
    )


def food_shift(bias: FoodBias, lab: FloatArray) -> FloatArray:
    """(..., 3) by how much fries of CIELAB (..., 3) as corrected are off: to be taken off."""
    return tone_terms(lab) @ bias.coefficients


def food_error(bias: FoodBias, lab: FloatArray) -> FoodError:
    """`food_shift` and how sure that is."""
    terms = tone_terms(lab)
    shift = food_shift(bias, lab)
    design = np.einsum("...t,ij->...itj", terms, np.eye(3)).reshape(*terms.shape[:-1], 3, -1)
    covariance = design @ bias.covariance @ np.swapaxes(design, -1, -2)
    unlike = (_UNLIKE * shift)[..., None] ** 2 * np.eye(3)
    return FoodError(lab_shift=frozen(shift), lab_covariance=frozen(covariance + unlike))
