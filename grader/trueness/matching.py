"""Which found piece is which of the worksheet: by where it lies on the sheet, never by how large or what colour it is.

Pieces are told apart by the gaps between places. Where a place shows more or fewer pieces than were laid there,
nobody can tell which is which: all of that place are set aside, and counted.
"""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, IntArray
from grader.card import to_plane
from grader.card.model import FoundSheet
from grader.errors import GraderError
from grader.fries.model import Plate
from grader.trueness.model import COLUMNS, ROWS, Laid

_CLEAR_GAP = 1.3
"""The narrowest gap between places over the widest within one: below, places can't be told apart. Our choice."""
_FITTING_PLACES = 0.5
"""Where fewer of the places hold as many pieces as were laid there, those that do may do so by accident. Our choice."""


class PlacesUnclearError(GraderError, ValueError):
    """The pieces of a photo don't lie in three rows and three columns that can be told apart."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Met:
    """A piece of the worksheet that was met: its name, its place, and which found piece (index) it is."""

    piece: str
    place: int
    found: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Matched:
    """One photo matched.

    Attributes
    ----------
    met
        Pieces that were met.
    not_met
        Pieces laid where none or not all were found, or where more was found than laid: nobody knows which is which.
    strangers
        Found pieces at places where nothing was laid, or more than was laid.
    """

    met: tuple[Met, ...]
    not_met: tuple[str, ...]
    strangers: int


def middles_mm(plate: Plate, sheet: FoundSheet, *, height_mm: float) -> FloatArray:
    """(n, 2) where the middle of each found piece lies, sheet mm, for a plate so high over the sheet."""
    if not plate.fries:
        return np.zeros((0, 2))
    middles_px = np.stack([(fry.outline_px.min(axis=0) + fry.outline_px.max(axis=0)) / 2 for fry in plate.fries])
    return to_plane(sheet.camera, middles_px, height_mm)


def match_places(middles: FloatArray, laid: tuple[Laid, ...]) -> Matched:
    """Match found pieces with those that were laid.

    Parameters
    ----------
    middles
        (n, 2) where each found piece lies, sheet mm.
    laid
        What the worksheet says of this photo; all three rows and all three columns hold something.

    Raises
    ------
    PlacesUnclearError
        The places can't be told apart.
    """
    planned = tuple(name for there in laid for name in there.pieces)
    if len(middles) < max(ROWS, COLUMNS):
        return Matched(met=(), not_met=planned, strangers=len(middles))
    places = 1 + COLUMNS * _bands(middles[:, 1], ROWS, "rows") + _bands(middles[:, 0], COLUMNS, "columns")
    fitting = sum(int(np.sum(places == there.place)) == len(there.pieces) for there in laid)
    if fitting < _FITTING_PLACES * len(laid):
        raise PlacesUnclearError(
            f"Only {fitting} of {len(laid)} places hold as many pieces as the worksheet says.",
            hint="Check that this photo is the one that the worksheet means, and that all pieces show; take it again.",
        )
    met: list[Met] = []
    not_met: list[str] = []
    used = 0
    for there in laid:
        here = np.flatnonzero(places == there.place)
        if len(here) == len(there.pieces):
            met += [
                Met(piece=name, place=there.place, found=int(found))
                for name, found in zip(there.pieces, here[_reading_order(middles[here])], strict=True)
            ]
            used += len(here)
        else:
            not_met += there.pieces
            used += min(len(here), len(there.pieces))
    return Matched(met=tuple(met), not_met=tuple(not_met), strangers=len(middles) - used)


def _bands(along: FloatArray, count: int, what: str) -> IntArray:
    """(n,) in which of `count` bands, from 0, each value lies: bands are parted by the widest gaps."""
    ordered = np.sort(along)
    gaps = np.diff(ordered)
    widest = np.argsort(gaps)[::-1]
    parting, within = widest[: count - 1], widest[count - 1 :]
    if len(within) and gaps[parting].min() < _CLEAR_GAP * max(gaps[within].max(), 1e-9):
        raise PlacesUnclearError(
            f"The three {what} of places can't be told apart.",
            hint="Lay the pieces of one place close together and leave twice as much room to the next place; "
            "take the photo again.",
        )
    edges = np.sort((ordered[parting] + ordered[parting + 1]) / 2)
    return np.searchsorted(edges, along)


def _reading_order(middles: FloatArray) -> IntArray:
    """Left to right, or top to bottom where the pieces of a place are ranged that way."""
    spread = np.ptp(middles, axis=0)
    return np.argsort(middles[:, 0 if spread[0] >= spread[1] else 1])
