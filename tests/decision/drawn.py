"""Batches drawn by chance, of which the truth is known: columns of fries as the decision room takes them."""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, IntArray
from grader.decision.pieces import Pieces
from grader.decision.sizes import Sizes


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """How batches are drawn; places in steps, the rest in mm. Colours and lengths of a plate's fries are alike.

    `alike` is the correlation of two fries of a plate in any property that a length decides.
    """

    plates: int
    fries: int = 36
    place: float = 3.8
    between: float = 0.15
    within: float = 0.4
    shared: float = 0.1
    own_u: float = 0.1
    long_share: float = 0.9
    length_u: float = 0.01
    length_shared: float = 0.0
    alike: float = 0.01


LONG_MM, SHORT_MM = 90.0, 40.0


def draw(drawn: Drawn, rng: np.random.Generator) -> Pieces:
    """One batch: a share `long_share` of its fries is long, the others short; everything else about them is good."""
    plate = np.repeat(np.arange(drawn.plates), drawn.fries)
    n = len(plate)
    place = drawn.place + drawn.shared * rng.normal() + drawn.between * rng.normal(size=drawn.plates)[plate]
    place = place + drawn.within * rng.normal(size=n) + drawn.own_u * rng.normal(size=n)
    long = rng.random(n) < _plate_shares(drawn, rng)[plate]
    length = np.where(long, LONG_MM, SHORT_MM) + drawn.length_u * rng.normal(size=n)
    return columns(plate, place=place, length_mm=length, drawn=drawn)


def _plate_shares(drawn: Drawn, rng: np.random.Generator) -> FloatArray:
    """(plates,) each plate's own share: beta, so that two of its fries correlate by `alike`."""
    share, alike = drawn.long_share, drawn.alike
    if alike == 0 or share in {0.0, 1.0}:
        return np.full(drawn.plates, share)
    weight = (1 - alike) / alike
    return rng.beta(share * weight, (1 - share) * weight, drawn.plates)


def columns(plate: IntArray, *, place: FloatArray, length_mm: FloatArray, drawn: Drawn) -> Pieces:
    """Fries of the cut's width without any defect, with these places and lengths."""
    n = len(plate)
    full = np.ones(n)
    return Pieces(
        plates=drawn.plates,
        crumbs=0,
        plate=plate,
        length=Sizes(mm=length_mm, own_u=drawn.length_u * full, shared_u=drawn.length_shared * length_mm),
        width=Sizes(mm=9.5 * full, own_u=0.3 * full, shared_u=drawn.length_shared * 9.5 * full),
        whole=full > 0,
        dark_end_mm=0 * full,
        dark_end_mm_u=1e-9 * full,
        dark_end_dl=0 * full,
        spot_mm=0 * full,
        place=place,
        place_own_u=drawn.own_u * full,
        place_shift=drawn.shared * full,
        place_shift_by=drawn.shared * full[:, None],
        off_scale_de=0 * full,
    )
