"""Shine: the light's own colour that oil on a fry's top face adds, one figure a plate, whose fries share light and oil.

Two things tell it, neither of which needs to know what colour fries are:

- The top mirrors the lamp and flanks turned aside hardly do. Both have one body between them, so the white that must
  come off the top to make it proportional to the flanks goes with the shine.
- Flanks and edges are also browner than the top, which the first takes for more or less shine, depending on which way
  browning moves these fries' colour; the top's own pixels show that way, by whether the redder ones are the darker.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from grader.colour.cie import D65
from grader.colour.correction import Correction
from grader.colour.flesh import FleshSample

# Linear in the two, with haze put back (measured; `python -m calibration.fit_shine` makes them): rendered plates with
# truth, potatoes of many colours, so that no path of colours is learnt.
_BASE, _BETWEEN, _RED = 0.0240, 0.627, 0.062
_SHINE_U = 0.014
# The shine, a share of white, where too few flanks show (measured: mean and sd over plates).
_USUAL, _USUAL_U = 0.059, 0.019
_MIN_FLANKS = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Shine:
    """What a plate's fries add of the light's own colour, as a share of white beyond the haze already taken off."""

    share: float
    u: float


MATT = Shine(share=0.0, u=0.01)
"""A matt piece mirrors about as much as the matt sheet does, which haze already holds. The doubt is a house choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShineSigns:
    """What tells the shine of a plate, see above: a share of white, with haze put back, and the mean `y_with_red`."""

    between: float
    with_red: float


def plate_shine(samples: Sequence[FleshSample], correction: Correction) -> Shine:
    """The shine that all fries of a plate share."""
    signs = shine_signs(samples, correction)
    if signs is None:
        return Shine(share=_USUAL - correction.haze, u=_USUAL_U)
    told = _BASE + _BETWEEN * signs.between + _RED * signs.with_red
    return Shine(share=told - correction.haze, u=_SHINE_U)


def shine_signs(samples: Sequence[FleshSample], correction: Correction) -> ShineSigns | None:
    """What tells a plate's shine; None where too few of its fries show flanks."""
    flanked = [sample for sample in samples if np.isfinite(sample.side_xyz).all()]
    if len(flanked) < _MIN_FLANKS:
        return None
    # The haze that the fit took off is mostly the card's own shine. Flanks don't have it, so it is put back on both.
    top = np.mean([sample.top_xyz for sample in flanked], axis=0) / D65 + correction.haze
    side = np.mean([sample.side_xyz for sample in flanked], axis=0) / D65 + correction.haze
    weight = top ** (-2 / 3)
    design = np.column_stack([side, np.ones(3)]) * weight[:, None]
    return ShineSigns(
        between=float(np.linalg.lstsq(design, top * weight, rcond=None)[0][1]),
        with_red=float(np.mean([sample.y_with_red for sample in samples])),
    )
