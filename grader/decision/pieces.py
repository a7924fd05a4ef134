"""The fries of a batch as columns of numbers: what each of them contributes to the limits."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from grader.arrays import FloatArray, MaskArray
from grader.fries.model import Fry, Measured
from grader.standard.model import Standard
from grader.standard.place import place_on_scale

_LEAST_U = 1e-9
"""A figure without doubt would divide by zero."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pieces:
    """Columns (n,) over all fries of a batch, crumbs left out; nan where a fry lacks the figure.

    Attributes
    ----------
    plate
        Which plate each fry lay on, from 0.
    whole
        Both ends show, and so does its flesh: a dark end would have been seen.
    dark_end_mm, dark_end_mm_u, dark_end_dl
        0 reach where there is none.
    spot_mm
        Diameter of the largest spot, 0 where there is none.
    place, place_own_u, place_shift
        On the colour scale; `place_own_u` is its own doubt, `place_shift` how far one standard uncertainty of the error
        shared by the photo moves it, steps.
    place_shift_by
        (n, k) the same by each cause of that error.
    """

    plates: int
    crumbs: int
    plate: NDArray[np.int_]
    length_mm: FloatArray
    length_mm_u: FloatArray
    width_mm: FloatArray
    width_mm_u: FloatArray
    whole: MaskArray
    dark_end_mm: FloatArray
    dark_end_mm_u: FloatArray
    dark_end_dl: FloatArray
    spot_mm: FloatArray
    place: FloatArray
    place_own_u: FloatArray
    place_shift: FloatArray
    place_shift_by: FloatArray
    off_scale_de: FloatArray

    def per_plate(self, counted: MaskArray) -> NDArray[np.int_]:
        """(plates,) how many of the counted fries lay on each plate."""
        return np.bincount(self.plate[counted], minlength=self.plates)


def length_as_meant(fry: Fry, standard: Standard) -> Measured | None:
    """The length that the standard's limits mean, along the bend or straight; None where it can't be measured."""
    return fry.straight_mm if standard.length_is == "straight" else fry.length_mm


def is_crumb(fry: Fry, standard: Standard) -> bool:
    """Too short to be a fry at all: it counts nowhere."""
    length = length_as_meant(fry, standard)
    return length is not None and length.value < standard.defects.piece_from_mm


def gather(plates: Sequence[Sequence[Fry]], standard: Standard) -> Pieces:
    """The columns of a batch, length as the standard means it; places are those on its colour scale."""
    kept = [(number, fry) for number, fries in enumerate(plates) for fry in fries if not is_crumb(fry, standard)]
    fries_kept = [fry for _, fry in kept]
    length_mm, length_mm_u = _figures(length_as_meant(fry, standard) for fry in fries_kept)
    width_mm, width_mm_u = _figures(fry.width_mm for fry in fries_kept)
    dark_mm, dark_mm_u = _figures(fry.dark_end_mm for fry in fries_kept)
    lab, own_u, shared = _colours(fries_kept)
    place = place_on_scale(standard.scale, lab, own_u)
    shift = np.einsum("nkc,nc->nk", shared, place.slope)
    none = np.isnan(dark_mm)
    return Pieces(
        plates=len(plates),
        crumbs=sum(map(len, plates)) - len(kept),
        plate=np.array([number for number, _ in kept], int),
        length_mm=length_mm,
        length_mm_u=length_mm_u,
        width_mm=width_mm,
        width_mm_u=width_mm_u,
        whole=np.array([fry.whole for fry in fries_kept], bool) & ~np.isnan(lab[:, 0]),
        dark_end_mm=np.where(none, 0, dark_mm),
        dark_end_mm_u=np.where(none, _LEAST_U, dark_mm_u),
        dark_end_dl=np.array([fry.dark_end_dl or 0 for fry in fries_kept], float),
        spot_mm=np.array([max(fry.spots_mm, default=0) for fry in fries_kept], float),
        place=np.where(np.isnan(lab[:, 0]), np.nan, place.place),
        place_own_u=np.maximum(place.place_u, _LEAST_U),
        place_shift=np.sqrt((shift**2).sum(-1)),
        place_shift_by=shift,
        off_scale_de=place.off_scale_de,
    )


def _figures(measured: Iterable[Measured | None]) -> tuple[FloatArray, FloatArray]:
    """Values and uncertainties (n,), nan where there is none."""
    pairs = [(m.value, max(m.u, _LEAST_U)) if m is not None else (np.nan, np.nan) for m in measured]
    table = np.array(pairs, float).reshape(-1, 2)
    return table[:, 0], table[:, 1]


def _colours(fries: Sequence[Fry]) -> tuple[FloatArray, FloatArray, FloatArray]:
    """CIELAB (n, 3), own uncertainty (n, 3) and what is shared (n, k, 3); nan where a fry has no colour."""
    causes = max((len(fry.colour.shared) for fry in fries if fry.colour is not None), default=0)
    table = np.full((len(fries), 2 + causes, 3), np.nan)
    for row, fry in zip(table, fries, strict=True):
        if fry.colour is not None:
            row[:] = np.vstack([fry.colour.lab, fry.colour.own_u, fry.colour.shared])
    return table[:, 0], table[:, 1], table[:, 2:]
