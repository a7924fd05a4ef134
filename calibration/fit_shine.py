"""Fits what tells the shine of a plate's fries, from plates with known truth.

Run: python -m calibration.fit_shine FOLDER...   (what lies in a folder: `plates_with_truth`; plates printed with inks
are left out, so that metamerism is not taken for shine)
Prints the constants of grader/colour/shine.py for the level of a top face that grader/colour/fry_colour.py has, with
their standard errors, and what they leave unexplained on plates left out of the fit.
"""

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.optimize import minimize_scalar

from calibration.plates_with_truth import PlateWithTruth, flesh_samples, read_plates
from grader.arrays import FloatArray
from grader.colour import SheetColour, Shine, fit_sheet_colour, flesh_lab
from grader.colour.shine import shine_signs

_LEAST_FRIES = 4
_LEAST_SHINE, _MOST_SHINE = -0.06, 0.12
_FOLDS = 8


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ShineFit:
    """Least squares of the shine (n,) on signs (n, k).

    Attributes
    ----------
    base, base_u
        The constant and its standard error.
    slopes, slopes_u
        (k,) and (k,).
    residual_sd, left_out_sd
        What the fit leaves, with its degrees of freedom, and rms where a plate is predicted by others.
    """

    base: float
    base_u: float
    slopes: FloatArray
    slopes_u: FloatArray
    residual_sd: float
    left_out_sd: float


def main(folders: Sequence[Path]) -> None:
    """Read the plates, fit, print."""
    told = [row for row in map(_shine_and_signs, read_plates(folders)) if row is not None]
    shine, signs = np.array([row[0] for row in told]), np.array([row[1:] for row in told])
    print(f"# {len(told)} plates; shine a share of white, the haze that was taken off put back")
    _show("between, with_red", fit_signs(signs, shine))
    _show("between alone", fit_signs(signs[:, :1], shine))
    print(f"_USUAL, _USUAL_U = {shine.mean():.3f}, {shine.std(ddof=1):.3f}")


def fit_signs(signs: FloatArray, shine: FloatArray) -> ShineFit:
    """Fit the shine (n,) of plates by their signs (n, k).

    Neighbours in order, which may be alike, are left out together.

    Raises
    ------
    ValueError
        If there are fewer plates than twice the constants.
    """
    design = np.column_stack([np.ones(len(signs)), signs])
    if len(design) < 2 * design.shape[1]:
        raise ValueError(f"{design.shape[1]} constants need at least twice as many plates, got {len(design)}")
    constants = _least_squares(design, shine)
    variance = float(np.sum((shine - design @ constants) ** 2) / (len(design) - design.shape[1]))
    u = np.sqrt(variance * np.diagonal(np.linalg.inv(design.T @ design)))
    left_out = np.zeros(len(shine))
    for fold in np.array_split(np.arange(len(shine)), _FOLDS):
        others = np.setdiff1d(np.arange(len(shine)), fold)
        left_out[fold] = shine[fold] - design[fold] @ _least_squares(design[others], shine[others])
    return ShineFit(
        base=float(constants[0]),
        base_u=float(u[0]),
        slopes=constants[1:],
        slopes_u=u[1:],
        residual_sd=float(np.sqrt(variance)),
        left_out_sd=float(np.sqrt(np.mean(left_out**2))),
    )


def true_shine(top_xyz: FloatArray, true_lab: FloatArray, colour: SheetColour) -> float:
    """The shine, beyond the haze taken off, that brings top faces (n, 3) nearest to the fries' true CIELAB (n, 3)."""

    def off(share: float) -> float:
        return float(np.sum((flesh_lab(top_xyz, Shine(share=share, u=0.0), colour) - true_lab) ** 2))

    return float(minimize_scalar(off, bounds=(_LEAST_SHINE, _MOST_SHINE), method="bounded").x)


def _shine_and_signs(plate: PlateWithTruth) -> tuple[float, float, float] | None:
    """A plate's true shine, haze put back, and its two signs; None where it doesn't tell them."""
    if plate.inks or plate.plain.sum() < _LEAST_FRIES:
        return None
    colour = fit_sheet_colour(plate.samples)
    samples = flesh_samples(plate, colour)
    signs = shine_signs(samples, colour.correction)
    if signs is None:
        return None
    top = np.array([sample.top_xyz for sample in samples])
    shine = true_shine(top[plate.plain], plate.true_lab[plate.plain], colour) + colour.correction.haze
    return shine, signs.between, signs.with_red


def _least_squares(design: FloatArray, shine: FloatArray) -> FloatArray:
    return np.asarray(np.linalg.lstsq(design, shine, rcond=None)[0], float)


def _show(what: str, fit: ShineFit) -> None:
    slopes = ", ".join(f"{slope:.3f} (u {u:.3f})" for slope, u in zip(fit.slopes, fit.slopes_u, strict=True))
    print(f"{what}: base {fit.base:.4f} (u {fit.base_u:.4f}), slopes {slopes}")
    print(f"    residual sd {fit.residual_sd:.4f}; rms on plates left out {fit.left_out_sd:.4f}")


if __name__ == "__main__":
    main([Path(name) for name in sys.argv[1:]])
