"""What a scale is made from, and what comes out. Colours in CIELAB, D65, 2 degrees; steps are counted from 0."""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, IntArray
from grader.errors import Finding
from grader.sampling.exact import lowest_share
from grader.standard.model import ColourScale

_ONE_SIDED = 0.95


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StepPlate:
    """One plate that the house calls by the name of a step.

    Attributes
    ----------
    name
        What the plate is called, its photo say.
    step
        The name of its step.
    lab
        (n, 3) colour of each fry that has one; n at least 1.
    own_u
        (n, 3) standard uncertainty that is each fry's own.
    shared
        (k, 3) what all fries of the photo share of their doubt, cause by cause: how one standard uncertainty of it
        moves the plate's mean L*, a* and b* together.
    """

    name: str
    step: str
    lab: FloatArray
    own_u: FloatArray
    shared: FloatArray

    @property
    def mean_lab(self) -> FloatArray:
        """(3,) the plate's colour: every fry counts the same, as in the verdict on a batch."""
        return np.asarray(self.lab.mean(axis=0), float)


@dataclass(frozen=True, slots=True, kw_only=True)
class Separation:
    """How well two neighbouring steps can be told apart.

    Attributes
    ----------
    paler, darker
        Names of the steps.
    apart_de
        CIE 2000 distance of their anchors.
    method_u
        Standard uncertainty of one plate's place between them by the method alone (what its photo shares, and its
        fries' own), as a share of the way from one anchor to the other.
    plates_sd
        Standard deviation of the plates of each step about their anchor along that way, pooled, in the same share; it
        holds what the method scatters from photo to photo as well.
    wrong_by_method
        Share of plates, 0 to 1, that would be put on the wrong one of the two if each lay on its anchor and only the
        method were in doubt: normal, decided half-way.
    wrong_with_plates
        The same with the house's own scatter added.
    """

    paler: str
    darker: str
    apart_de: float
    method_u: float
    plates_sd: float
    wrong_by_method: float
    wrong_with_plates: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Confusion:
    """Where each plate is put by a scale made without it.

    Attributes
    ----------
    put
        (steps, steps) plates of the row's step that were put on the column's.
    wrong
        Of each plate that was put elsewhere: its name, its step and where it was put.
    """

    put: IntArray
    wrong: tuple[tuple[str, str, str], ...]

    @property
    def right(self) -> int:
        """Plates put on their own step."""
        return int(np.trace(self.put))

    @property
    def plates(self) -> int:
        """All plates."""
        return int(self.put.sum())

    @property
    def right_share_at_least(self) -> float:
        """Lower 95 % limit (one-sided, Clopper and Pearson) for the share of such plates put right, 0 to 1."""
        return lowest_share(self.right, self.plates, confidence=_ONE_SIDED)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ScaleProposal:
    """A scale made from plates.

    Attributes
    ----------
    scale
        The steps with their anchors, the target range, and from when on a colour is on no step.
    boundaries
        (steps - 1,) the place at which each step ends and the next begins.
    separations
        One for each pair of neighbours, from pale to dark.
    confusion
        By plates held out one at a time.
    warnings
        What is doubtful about the scale; one that `refuses` says that a standard can't hold it.
    """

    scale: ColourScale
    boundaries: FloatArray
    separations: tuple[Separation, ...]
    confusion: Confusion
    warnings: tuple[Finding, ...]
