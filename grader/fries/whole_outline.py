"""The outline of a fry that shows in several parts because another lies over it: one way around all of them.

Where a part faces the next one its edge is no end of the fry but the other fry's side: those edges are left out, and
the outline runs straight on from part to part.
"""

import numpy as np

from grader.arrays import FloatArray, IntArray, MaskArray
from grader.fries.morphology import parts_of
from grader.fries.numbered import Numbered
from grader.fries.outline import Outline, outline_of

_FACING = 0.5
"""An edge faces another part where its normal leans towards that part's middle (sine of 30 degrees)."""
_LEAST_PART = 0.02
"""A smaller share of a fry's pixels is dust along an edge, not a part of it."""


def trace_whole_outlines(lying: Numbered, *, reach_px: float) -> dict[int, Outline]:
    """As `trace_outlines`, but of fries in several parts all parts and not only the largest."""
    outlines = {}
    for number, box in lying.boxes.items():
        parts = _parts(lying.labels[box] == number)
        traced = [outline_of(part, lying.labels, number, box, reach_px=reach_px) for part in parts]
        outlines[number] = traced[0] if len(traced) == 1 else _around(traced)
    return outlines


def _parts(fry: MaskArray) -> list[MaskArray]:
    """The masks of its parts; dust is left with the largest."""
    count, parts = parts_of(fry)
    if count == 2:
        return [fry]
    areas = np.bincount(parts.ravel(), minlength=count)[1:]
    others = 1 + np.flatnonzero(areas >= _LEAST_PART * areas.sum())
    others = others[others != 1 + np.argmax(areas)]
    return [fry & ~np.isin(parts, others), *(parts == part for part in others)]


def _around(parts: list[Outline]) -> Outline:
    """One outline around parts of one fry: around the first, along one side, around the last, back along the other."""
    way = np.linalg.eigh(np.cov(np.concatenate([part.points_px for part in parts]).T))[1][:, -1]
    parts = sorted(parts, key=lambda part: float(part.points_px.mean(axis=0) @ way))
    arcs = [_free_arcs(parts, place) for place in range(len(parts))]
    first, last = (max(of_part, key=lambda arc: len(arc.points_px)) for of_part in (arcs[0], arcs[-1]))
    sides = [arc for of_part in arcs for arc in of_part if arc is not first and arc is not last]
    sides.sort(key=lambda arc: float(arc.points_px.mean(axis=0) @ way))
    out = [arc for arc in sides if _goes(arc, way)]
    back = [arc for arc in reversed(sides) if not _goes(arc, way)]
    return _strung([first, *out, last, *back])


def _free_arcs(parts: list[Outline], place: int) -> list[Outline]:
    """What a part's outline has left without the edges that face the parts before and behind it."""
    part = parts[place]
    middle = part.points_px.mean(axis=0)
    beside = [parts[near] for near in (place - 1, place + 1) if 0 <= near < len(parts)]
    facing = np.any([_facing(part, other.points_px.mean(axis=0) - middle) for other in beside], axis=0)
    return [_taken(part, run) for run in _runs(~facing)]


def _goes(arc: Outline, way: FloatArray) -> bool:
    return float((arc.points_px[-1] - arc.points_px[0]) @ way) > 0


def _facing(part: Outline, towards: FloatArray) -> MaskArray:
    return np.asarray(part.outward @ (towards / np.linalg.norm(towards)) > _FACING)


def _runs(kept: MaskArray) -> list[IntArray]:
    """Places of the points that are kept, run by run around a closed line."""
    if kept.all() or not kept.any():
        return [np.arange(len(kept))]  # with nothing to leave out, or nothing left, all of it
    first = int(np.argmin(kept))  # a point that is left out: no run goes over it
    places = np.roll(np.arange(len(kept)), -first)
    edges = np.flatnonzero(np.diff(kept[places].astype(np.int8)))
    pieces = np.split(places, edges + 1)
    return [piece for piece in pieces if kept[piece[0]]]


def _taken(outline: Outline, places: IntArray) -> Outline:
    return Outline(
        points_px=outline.points_px[places],
        outward=outline.outward[places],
        other=outline.other[places],
        at_photo_edge=outline.at_photo_edge[places],
    )


def _strung(arcs: list[Outline]) -> Outline:
    return Outline(
        points_px=np.concatenate([arc.points_px for arc in arcs]),
        outward=np.concatenate([arc.outward for arc in arcs]),
        other=np.concatenate([arc.other for arc in arcs]),
        at_photo_edge=np.concatenate([arc.at_photo_edge for arc in arcs]),
    )
