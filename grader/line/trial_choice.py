"""Which curve stands for a trial, theory or a surface without one: by how well each foretells plates."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from grader.line.browning_fit import fit_browning
from grader.line.surface import fit_surface
from grader.line.trial import PLATES_AT_LEAST, Fitted, Noise, TrialError, TrialPlate

_CLEARLY = 0.9
"""The surface stands only where its plates are foretold so much better: where both do alike, theory does."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Choice:
    """The curve chosen, and by how many steps (root mean square) each foretells a plate that it hasn't seen."""

    fit: Fitted
    by_theory: bool
    browning_off: float
    surface_off: float


def choose_curve(plates: Sequence[TrialPlate], noise: Noise, *, steps: int) -> Choice:
    """Fit both, and choose by leaving out one plate after the other.

    Raises
    ------
    TrialError
        The plates can't tell anything: see `trial.columns`.
    """

    def browning(some: Sequence[TrialPlate]) -> Fitted:
        return fit_browning(some, noise, steps=steps)

    def surface(some: Sequence[TrialPlate]) -> Fitted:
        return fit_surface(some, noise)

    browning_off, surface_off = (_foretold(plates, fit) for fit in (browning, surface))
    by_theory = not surface_off < _CLEARLY * browning_off
    return Choice(
        fit=(browning if by_theory else surface)(plates),
        by_theory=by_theory,
        browning_off=browning_off,
        surface_off=surface_off,
    )


def _foretold(plates: Sequence[TrialPlate], fit: Callable[[Sequence[TrialPlate]], Fitted]) -> float:
    """Root mean square error over plates left out in turn, steps; infinite where too few are left to fit."""
    if len(plates) <= PLATES_AT_LEAST:
        return float("inf")
    off = []
    for turn, plate in enumerate(plates):
        try:
            rest = fit([*plates[:turn], *plates[turn + 1 :]])
        except TrialError:  # the only plate of its time or temperature: what is left can't tell
            continue
        off.append(float(rest.places(np.array([plate.time_s]), np.array([plate.celsius]))[0]) - plate.place)
    return float(np.sqrt(np.mean(np.square(off)))) if off else float("inf")
