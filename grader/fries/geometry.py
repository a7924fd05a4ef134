"""Length and width of a fry in its own plane, from its outline.

Each point of the outline is put back to the height at which it is seen (`edge_heights`), then length and width are read
in the fry's own bent frame.
"""

from dataclasses import dataclass, replace

import numpy as np

from grader.arrays import FloatArray, MaskArray
from grader.card.model import Camera
from grader.card.pose import level_to_pixels, px_per_mm_at
from grader.fries.curved_frame import CurvedFrame, follow_curl
from grader.fries.edge_heights import Section, leaning, lines_of, on_their_heights
from grader.fries.frame import Frame
from grader.fries.medians import medians_of
from grader.fries.outline import Outline
from grader.fries.size_doubt import (
    ends_doubt,
    meeting_doubt,
    shared_doubt,
    sides_doubt,
    thickness_doubt,
    waves_doubt,
    wedge_doubt,
)

_THICKNESS_RANGE = 0.4, 1.6
_SIDE = 0.5
"""A point belongs to a side where its normal leans more across than along (sine of 30 degrees), else to an end."""
_END_MIDDLE = 0.3
_ROUNDS = 3
_SLICES = 40
_BODY = {False: 0.8, True: 1.0}
"""Share of the length over which a width is taken: a cut bar's ends are rounded; what narrows all along has no ends."""
_WINDOW = 0.75
"""Width is averaged over so much of the length, in widths, at a time: the waves of crinkle cut are about as long."""
_STRAYS, _UNFILLED = 0.12, 0.15
"""A parabola doesn't follow a fry whose middle strays so far from it (of its width, root mean square), or whose area is
so much less or more than length times width: then a line that can curl is tried."""
_CENTRE_STEP_MM = 3.0
_TIP_WIDTH = 0.03
"""Of the width: so wide is the tip of an end that narrows to one."""
_BAR = Section()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StripGeometry:
    """One fry's measures, mm on the sheet's scale, and each with its standard uncertainty.

    `ends` are masks (k,) over the outline: the middle part of either end; `along_mm`, `across_mm` (k,) where each point
    of it lies in the `frame`, which has its origin at the first end. `bow_mm` is how far the centreline leaves the
    straight line between its ends. `section` is what its cross-section was taken to be. `shared_u` is relative: the
    part of those uncertainties that moves all sizes of the plate by one factor.
    """

    length_mm: float
    straight_mm: float
    width_mm: float
    length_u_mm: float
    straight_u_mm: float
    width_u_mm: float
    shared_u: float
    bow_mm: float
    area_mm2: float
    centreline_px: FloatArray
    ends: tuple[MaskArray, MaskArray]
    along_mm: FloatArray
    across_mm: FloatArray
    middle_height_mm: float
    frame: Frame | CurvedFrame
    section: Section

    @property
    def misfit(self) -> float:
        """How far its area is from length times width: 0 for a bar of one width."""
        return abs(self.area_mm2 / max(self.length_mm * self.width_mm, 1.0) - 1)


def measure_strip(
    outline: Outline,
    camera: Camera,
    *,
    ground_mm: float,
    ground_u_mm: float,
    width_mm: float,
    section: Section = _BAR,
) -> StripGeometry:
    """Measure one fry.

    Parameters
    ----------
    outline
        In the photo.
    camera
        Pose over the sheet.
    ground_mm, ground_u_mm
        How high over the sheet the fry lies, and how sure that is.
    width_mm
        A first guess of its width: the cut.
    section
        What is known of its cross-section.

    Uncertainties include the sheet's scale, the lens, the fry's height, the ground's, the edges' and ends that meet
    other fries; not that the outline may be another fry's in part (`FryFlag` says so).
    """
    known, edges_mm = section.thickness_mm, section.edges_mm
    thickness = width_mm if known is None else known
    allowed = width_mm * _THICKNESS_RANGE[0], width_mm * _THICKNESS_RANGE[1]
    lines = lines_of(outline, camera)
    for _ in range(_ROUNDS if known is None else 1):
        xy, normals = on_their_heights(lines, ground_mm, thickness, edges_mm)
        parabola, strays = _parabola(xy, normals)
        placed = _placed(parabola, xy, normals)
        width = _width(placed, _BODY[section.pointed])
        thickness = float(np.clip(width, *allowed)) if known is None else known
    middle = thickness / 2 if edges_mm is None else float(np.median(edges_mm))
    seen = _Seen(
        camera=camera,
        xy=xy,
        normals=normals,
        met=outline.other > 0,
        height=(ground_mm + middle, ground_u_mm),
        section=section,
    )
    strip = _conclude(seen, placed, width, thickness)
    if strays > _STRAYS * width or strip.misfit > _UNFILLED:
        curl = follow_curl(xy)
        if curl is not None:
            curled = _placed(curl, xy, normals)
            other = _conclude(seen, curled, _width(curled, _BODY[section.pointed]), thickness)
            return min(strip, other, key=lambda one: one.misfit)
    return strip


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Seen:
    """An outline on its heights: (k, 2) points, normals, (k,) where it meets others; the middle's height and its u."""

    camera: Camera
    xy: FloatArray
    normals: FloatArray
    met: MaskArray
    height: tuple[float, float]
    section: Section


def _parabola(xy: FloatArray, normals: FloatArray) -> tuple[Frame, float]:
    """The bent bar's frame, and how far the middle between both sides strays from it, mm."""
    origin = (xy.min(axis=0) + xy.max(axis=0)) / 2
    way = np.linalg.eigh(np.cov((xy - origin).T))[1][:, 1]
    first = np.array([way, [-way[1], way[0]]])
    x, y = first @ (xy - origin).T
    lean = normals @ first[1]
    upper, lower = lean > _SIDE, lean < -_SIDE
    edges = np.linspace(x.min(), x.max(), _SLICES + 1)
    place = np.clip(np.digitize(x, edges) - 1, 0, _SLICES - 1)
    either = upper | lower
    medians = medians_of(y[either], np.where(lower, place + _SLICES, place)[either], 2 * _SLICES)
    middle = (medians[:_SLICES] + medians[_SLICES:]) / 2
    both = np.isfinite(middle)
    degree = 2 if both.sum() >= 8 else 1 if both.sum() >= 3 else 0
    at = (edges[:-1] + edges[1:])[both] / 2
    bend = np.polyfit(at, middle[both], degree) if both.any() else np.zeros(1)
    strays = float(np.sqrt(np.mean((middle[both] - np.polyval(bend, at)) ** 2))) if both.any() else 0.0
    bend = np.concatenate([np.zeros(3 - len(bend)), bend])
    return Frame(origin=origin, axes=first, bend=bend, start=0.0), strays


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Placed:
    """An outline in a frame: (k,) mm along and across it, by how much the normals lean along it, and to its left."""

    frame: Frame | CurvedFrame
    along: FloatArray
    across: FloatArray
    facing_along: FloatArray
    facing: FloatArray


def _placed(frame: Frame | CurvedFrame, xy: FloatArray, normals: FloatArray) -> _Placed:
    along, across = frame.along_across(xy)
    ways = frame.ways(along)
    return _Placed(
        frame=frame,
        along=along,
        across=across,
        facing_along=normals[:, 0] * ways[:, 0] + normals[:, 1] * ways[:, 1],
        facing=ways[:, 0] * normals[:, 1] - ways[:, 1] * normals[:, 0],
    )


def _width(placed: _Placed, share: float) -> float:
    """Median over the middle `share` of the length of how far the sides are apart, averaged over a few mm at a time."""
    along, across, facing = placed.along, placed.across, placed.facing
    low, high = along.min(), along.max()
    inner = np.abs(along - (low + high) / 2) <= share * (high - low) / 2
    left, right = inner & (facing > _SIDE), inner & (facing < -_SIDE)
    if not (left.any() and right.any()):
        return float(np.ptp(across))
    about = max(float(np.median(across[left]) - np.median(across[right])), 1e-9)
    windows = int(np.clip(share * (high - low) / (_WINDOW * about), 1, _SLICES))
    window = np.clip(((along - low) / max(high - low, 1e-9) - (1 - share) / 2) / share * windows, 0, windows - 1)

    def edge(side: MaskArray) -> FloatArray:
        at = window[side].astype(int)
        count = np.bincount(at, minlength=windows)
        return np.asarray(np.bincount(at, across[side], minlength=windows) / np.where(count, count, np.nan))

    widths = edge(left) - edge(right)
    return float(np.nanmedian(widths)) if np.isfinite(widths).any() else about


def _conclude(seen: _Seen, placed: _Placed, width: float, thickness: float) -> StripGeometry:
    frame, along, across, facing = placed.frame, placed.along, placed.across, placed.facing
    ends = _ends(along, across, placed.facing_along, width)
    tip_mm = _TIP_WIDTH * width if seen.section.pointed else None
    start, stop = (side * _end_of(side * along, across, end, tip_mm) for end, side in zip(ends, (-1, 1), strict=True))
    length = max(stop - start, 0.0)
    frame = replace(frame, start=frame.start + start)
    stations = np.linspace(0, length, max(2, round(length / _CENTRE_STEP_MM)) + 1)
    centre = frame.place(stations, np.zeros(len(stations)))
    straight = float(np.linalg.norm(centre[-1] - centre[0]))
    height, height_u = seen.height
    shared = shared_doubt(seen.camera, centre[[0, -1]], height_mm=height, height_u_mm=height_u)
    relative = float(np.hypot(shared, thickness_doubt(seen.camera, width=thickness)))
    lean = leaning(seen.camera, seen.xy, seen.normals)
    pixel_mm = 1 / px_per_mm_at(seen.camera, centre[len(centre) // 2], height)
    edges_u = np.hypot(ends_doubt(lean, ends, pixel_mm=pixel_mm, width=thickness), meeting_doubt(seen.met, ends))
    sides = facing > _SIDE, facing < -_SIDE
    pointed = seen.section.pointed
    form_u = wedge_doubt(width) if pointed else waves_doubt(along, across, _body(along, sides), width=width)
    sides_u = np.hypot(sides_doubt(lean, sides, pixel_mm=pixel_mm, width=thickness), form_u)
    return StripGeometry(
        length_mm=length,
        straight_mm=straight,
        width_mm=width,
        length_u_mm=float(np.hypot(relative * length, edges_u)),
        straight_u_mm=float(np.hypot(relative * straight, edges_u)),
        width_u_mm=float(np.hypot(relative * width, sides_u)),
        shared_u=shared,
        bow_mm=_bow(centre),
        area_mm2=_area(seen.xy),
        centreline_px=level_to_pixels(seen.camera, centre, height),
        ends=ends,
        along_mm=along - start,
        across_mm=across,
        middle_height_mm=height,
        frame=frame,
        section=seen.section,
    )


def _body(along: FloatArray, sides: tuple[MaskArray, MaskArray]) -> tuple[MaskArray, MaskArray]:
    """Both sides without what lies near the ends."""
    low, high = along.min(), along.max()
    inner = np.abs(along - (low + high) / 2) <= _BODY[False] * (high - low) / 2
    return sides[0] & inner, sides[1] & inner


def _ends(along: FloatArray, across: FloatArray, facing_along: FloatArray, width: float) -> tuple[MaskArray, MaskArray]:
    """The points of the outline at the middle of either end."""
    inner = np.abs(across) < _END_MIDDLE * width
    facing = np.abs(facing_along) > _SIDE
    middle = (along.min() + along.max()) / 2

    def of(half: MaskArray) -> MaskArray:
        return next((end for end in (half & facing & inner, half & inner) if end.any()), half)

    return of(along < middle), of(along >= middle)


def _end_of(outward: FloatArray, across: FloatArray, end: MaskArray, tip_mm: float | None) -> float:
    """How far out an end reaches, mm: a cut end on average over its middle; one that narrows to a tip at that tip."""
    if tip_mm is not None:
        end = end & (np.abs(across - across[np.argmax(np.where(end, outward, -np.inf))]) < tip_mm)
    return float(np.mean(outward[end]))


def _bow(centre: FloatArray) -> float:
    chord = centre[-1] - centre[0]
    off = centre - centre[0]
    return float(np.max(np.abs(chord[0] * off[:, 1] - chord[1] * off[:, 0])) / max(float(np.linalg.norm(chord)), 1.0))


def _area(xy: FloatArray) -> float:
    """Of the polygon."""
    x, y = xy.T
    return float(abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2)
