"""How a fry's colour runs over it: its body, its ends, dark ends, spots, spread."""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, MaskArray
from grader.colour.difference import ciede2000
from grader.fries.dark_end import DarkEnd, find_dark_end
from grader.fries.field import TopFace
from grader.fries.sampling import FryPixels
from grader.fries.spots import find_spots

_BODY = 0.25, 0.75
_END_SHARE = 0.125
_LEAST_PIXELS = 4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Appearance:
    """`body_lab` (3,) and `end_labs` (3,) each; None where too little shows."""

    body_lab: FloatArray | None
    end_labs: tuple[FloatArray, FloatArray] | None
    dark_end: DarkEnd | None
    spots_mm: tuple[float, ...]
    spread_de: float


def describe(
    lab: FloatArray, pixels: FryPixels, skin: MaskArray, face: TopFace, *, length_mm: float, heaped: bool
) -> Appearance:
    """From a fry's pixels, what its top face's flesh shows.

    Parameters
    ----------
    lab, pixels, skin
        (k, 3) CIELAB of its k pixels, and (k,) which of them show skin; at least one shows flesh on top.
    face
        Its top face.
    length_mm
        The fry's.
    heaped
        In a heap others' shadows look like dark ends and spots: none are told.
    """
    flesh = face.shown & ~skin
    seen, along = lab.T.compress(flesh, axis=1), pixels.along_mm[flesh]  # three long rows are summed the fastest
    first = _mean(seen, along < _END_SHARE * length_mm)
    last = _mean(seen, along > (1 - _END_SHARE) * length_mm)
    return Appearance(
        body_lab=_mean(seen, (along > _BODY[0] * length_mm) & (along < _BODY[1] * length_mm)),
        end_labs=(first, last) if first is not None and last is not None else None,
        dark_end=None if heaped else find_dark_end(seen[0], along, face.place[flesh], length_mm),
        spots_mm=() if heaped else find_spots(lab, flesh, face.field),
        spread_de=float(np.sqrt(np.mean(ciede2000(seen.T, seen.mean(axis=1)) ** 2))),
    )


def _mean(lab: FloatArray, where: MaskArray) -> FloatArray | None:
    """(3,) of CIELAB (3, k)."""
    return np.asarray(lab.compress(where, axis=1).mean(axis=1)) if where.sum() >= _LEAST_PIXELS else None
