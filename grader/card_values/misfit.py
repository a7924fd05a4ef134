"""Whether a photographed card is the one that its values were measured of.

A card that was measured fits its own values better than its design, which no printer hits. Where the design fits the
photo clearly better, or as well while the values fit worse than their uncertainty allows, the card is another one than
its serial says, the readings were taken of another, or it has faded since.
"""

from dataclasses import dataclass, replace

import numpy as np

from grader.arrays import FloatArray
from grader.card.model import Layout
from grader.colour import SheetColour, SheetSamples, fit_sheet_colour

CLEARLY = 1.2
"""Of the error by the values over that by the design. On 600 simulated photographs (half with a stained patch, printers
off by about 3 or 4.5 CIE 2000 units, cameras by up to 2) the right card was taken for another twice; cards of another
run were told in 298 of 300 where the printer strayed patch by patch, in 197 of 300 where all inks strayed together."""
_MODEL_SD = 0.8
"""CIELAB units per channel that the correction of a camera leaves on a patch in good light."""
_AT_MOST = 2.5
_SPOILT_SHARE = 0.1
"""Share of the patches that may be stained without telling of another card: the worst are left out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ValuesFit:
    """Errors of patches as the others predict them, CIE 2000 units, root mean square of all but the worst tenth.

    Attributes
    ----------
    by_values, by_design
        Held against the card's measured values, and against its layout's own.
    allowed
        What the values' uncertainty and a common camera together explain.
    """

    by_values: float
    by_design: float
    allowed: float

    @property
    def mismatch(self) -> bool:
        """The card is not the one that was measured."""
        worse_than_allowed = self.by_values > max(self.allowed, self.by_design)
        return self.by_values > CLEARLY * self.by_design or worse_than_allowed


def compare_fits(by_values_de: FloatArray, by_design_de: FloatArray, patch_lab_u: FloatArray) -> ValuesFit:
    """How well a card's values and its design each explain one photo.

    Parameters
    ----------
    by_values_de, by_design_de
        (n,) `Correction.left_out_de` of the fits with either; nan where a patch was not used.
    patch_lab_u
        (n, 3) standard uncertainty of the values.
    """
    variance = float(np.mean(np.square(patch_lab_u).sum(axis=1))) + 3 * _MODEL_SD**2
    return ValuesFit(
        by_values=_typical(by_values_de), by_design=_typical(by_design_de), allowed=_AT_MOST * float(np.sqrt(variance))
    )


def fit_by_design(samples: SheetSamples, by_values: SheetColour, designed: Layout) -> ValuesFit:
    """Fit a sheet, already fitted by its values, by its design too, and compare the two.

    Parameters
    ----------
    samples, by_values
        What was read of the sheet, with its measured colours, and the fit to them.
    designed
        Its layout as designed.
    """
    designed_lab = np.array([patch.lab for patch in designed.patches])
    by_design = fit_sheet_colour(replace(samples, patch_lab=designed_lab, patch_lab_u=np.zeros_like(designed_lab)))
    return compare_fits(by_values.correction.left_out_de, by_design.correction.left_out_de, samples.patch_lab_u)


def _typical(left_out_de: FloatArray) -> float:
    errors = np.sort(left_out_de[np.isfinite(left_out_de)])
    kept = errors[: max(1, round(len(errors) * (1 - _SPOILT_SHARE)))]
    return float(np.sqrt(np.mean(kept**2)))
