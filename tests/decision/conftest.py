"""Fries made by hand, for judging: only what a limit looks at is given."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.fries.model import Colour, Fry, FryFlag, Mass, Measured
from grader.standard import Standard, load_shipped

_NO_POINTS = np.zeros((0, 2))


@dataclass(frozen=True, kw_only=True)
class FrySketch:
    """A good fry unless told otherwise; None where a figure is missing."""

    length_mm: float | None = 80.0
    length_u: float = 0.8
    width_mm: float | None = 9.5
    place: float | None = 3.8
    lab: tuple[float, float, float] | None = None
    shared_u: tuple[float, float, float] = (1.0, 0.7, 1.0)
    own_u: tuple[float, float, float] = (0.5, 0.3, 0.5)
    dark_end_mm: float | None = None
    dark_end_dl: float | None = None
    spots_mm: tuple[float, ...] = ()
    bow_share: float | None = 0.02
    end_gaps_mm: tuple[float | None, float | None] = (0.2, 0.2)
    mass_g: float | None = 6.0


def _gap(gap_mm: float | None) -> Measured | None:
    return None if gap_mm is None else Measured(value=gap_mm, u=0.35)


@pytest.fixture
def standard() -> Standard:
    return load_shipped()["strips-9.5mm-skin-on"]


@pytest.fixture
def make(standard: Standard) -> Callable[..., Fry]:
    anchors = np.array([step.lab for step in standard.scale.steps])

    def lab_at(place: float) -> FloatArray:
        return np.array([np.interp(place, np.arange(1, len(anchors) + 1), anchors[:, i]) for i in range(3)])

    def fry(**given: object) -> Fry:
        sketch = FrySketch(**given)  # type: ignore[arg-type]
        colour = None
        if sketch.place is not None:
            lab = np.array(sketch.lab, float) if sketch.lab else lab_at(sketch.place)
            colour = Colour(lab=lab, shared=np.diag(sketch.shared_u), own_u=np.array(sketch.own_u))
        length = None if sketch.length_mm is None else Measured(value=sketch.length_mm, u=sketch.length_u)
        straight = None if sketch.length_mm is None else Measured(value=0.95 * sketch.length_mm, u=sketch.length_u)
        dark = None if sketch.dark_end_mm is None else Measured(value=sketch.dark_end_mm, u=1.0)
        return Fry(
            number=1,
            outline_px=_NO_POINTS,
            centreline_px=_NO_POINTS,
            length_mm=length,
            straight_mm=straight,
            width_mm=None if sketch.width_mm is None else Measured(value=sketch.width_mm, u=0.3),
            area_mm2=700.0,
            colour=colour,
            body_lab=None,
            end_labs=None,
            spread_de=None,
            dark_end_mm=dark,
            dark_end_dl=sketch.dark_end_dl,
            spots_mm=sketch.spots_mm,
            skin_share=0.0,
            whole=length is not None,
            flags=FryFlag.NONE,
            bow_share=None if sketch.bow_share is None else Measured(value=sketch.bow_share, u=0.005),
            end_gaps_mm=(_gap(sketch.end_gaps_mm[0]), _gap(sketch.end_gaps_mm[1])),
            mass_g=None if sketch.mass_g is None else Mass(value=sketch.mass_g, shared_u=1.0, own_u=0.7),
        )

    return fry
