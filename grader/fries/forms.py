"""The forms of fries from their outlines: length, width and area, each in the fry's own bent frame.

Each point of an outline is put back to the height at which it is seen (`edge_heights`). That height follows from the
thickness, a bar's thickness from its width, and the width from the points: a few rounds, for all fries at once.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from grader.arrays import FloatArray, MaskArray
from grader.fries.curved_frame import CurvedFrame, follow_curl
from grader.fries.edge_heights import OutlineLines, Section, on_their_heights
from grader.fries.frame import Frame
from grader.fries.medians import medians_of
from grader.fries.parabolas import SIDE, fit_parabolas
from grader.fries.together import Together, laid_together
from grader.quantiles import median

BODY = 0.8
"""Share of the length over which a width is taken: a cut bar's ends are rounded."""
_WEDGE_BODY = 1.0
"""What narrows all along has no ends."""
_THICKNESS_RANGE = 0.4, 1.6
_END_MIDDLE = 0.3
_ROUNDS = 3
_WINDOW, _MOST_WINDOWS = 0.75, 40
"""Width is averaged over so much of the length, in widths, at a time: the waves of crinkle cut are about as long."""
_STRAYS, _UNFILLED = 0.12, 0.15
"""A parabola doesn't follow a fry whose middle strays so far from it (of its width, root mean square), or whose area is
so much less or more than length times width: then a line that can curl is tried."""
_TIP_WIDTH = 0.03
"""Of the width: so wide is the tip of an end that narrows to one."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StripForm:
    """One fry's form, mm on the sheet's scale.

    `ends` are masks (k,) over the outline: the middle part of either end; `along_mm`, `across_mm` (k,) where each point
    of it lies in the `frame`, which has its origin at the first end. `section` is what its cross-section was taken to
    be.
    """

    length_mm: float
    width_mm: float
    area_mm2: float
    ends: tuple[MaskArray, MaskArray]
    along_mm: FloatArray
    across_mm: FloatArray
    frame: Frame | CurvedFrame
    section: Section

    @property
    def misfit(self) -> float:
        """How far its area is from length times width: 0 for a bar of one width."""
        return abs(self.area_mm2 / max(self.length_mm * self.width_mm, 1.0) - 1)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OnHeights:
    """An outline on its heights: (k, 2) points, mm, and normals there; (k,) by how much those lean to the fry's left.

    `form` is the form it has.
    """

    xy: FloatArray
    normals: FloatArray
    facing: FloatArray
    thickness_mm: float
    form: StripForm


def find_forms(
    lines: Sequence[OutlineLines], *, ground_mm: float, widths_mm: Sequence[float], sections: Sequence[Section]
) -> list[OnHeights]:
    """The forms of n fries.

    Parameters
    ----------
    lines
        Of their outlines, some fries in each.
    ground_mm
        How high over the sheet they lie.
    widths_mm, sections
        (n,) a first guess of each one's width: the cut; and what is known of its cross-section.
    """
    found: list[OnHeights] = []
    for some in lines:
        whose = slice(len(found), len(found) + some.together.fries)
        found += _forms_of_some(some, ground_mm, np.array(widths_mm[whose], float), sections[whose])
    return found


def _forms_of_some(
    lines: OutlineLines, ground_mm: float, first: FloatArray, sections: Sequence[Section]
) -> list[OnHeights]:
    together = lines.together
    given = [section.thickness_mm for section in sections]
    known = np.array([np.nan if thickness is None else thickness for thickness in given])
    share = np.array([_body(section) for section in sections])
    edges_mm = _edges(together, sections)
    thickness = np.where(np.isnan(known), first, known)
    low, high = (first * share for share in _THICKNESS_RANGE)
    for _ in range(_ROUNDS if np.isnan(known).any() else 1):
        xy, normals = on_their_heights(lines, ground_mm, thickness[together.of], edges_mm)
        frames, strays = fit_parabolas(together, xy, normals)
        placed = _placed(frames.of(together.of), xy, normals)
        widths = _widths(together, placed, share)
        thickness = np.where(np.isnan(known), np.clip(widths, low, high), known)
    along_bars = [
        _AlongBar(
            xy=xy[span],
            normals=normals[span],
            placed=placed.of(span, frames.of(fry)),
            width=float(widths[fry]),
            thickness=float(thickness[fry]),
            strays=float(strays[fry]),
        )
        for fry, span in enumerate(together.spans())
    ]
    return [_on_heights(one, section) for one, section in zip(along_bars, sections, strict=True)]


def _body(section: Section) -> float:
    return _WEDGE_BODY if section.pointed else BODY


def _edges(together: Together, sections: Sequence[Section]) -> FloatArray:
    edges_mm = np.full(len(together.of), np.nan)
    for span, section in zip(together.spans(), sections, strict=True):
        if section.edges_mm is not None:
            edges_mm[span] = section.edges_mm
    return edges_mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Placed:
    """Outlines in their frames: (k,) mm along and across, by how much the normals lean along it, and to its left."""

    frame: Frame | CurvedFrame
    along: FloatArray
    across: FloatArray
    facing_along: FloatArray
    facing: FloatArray

    def of(self, span: slice, frame: Frame) -> "_Placed":
        """Those of one fry, and its frame."""
        along, across = self.along[span], self.across[span]
        return _Placed(
            frame=frame,
            along=along,
            across=across,
            facing_along=self.facing_along[span],
            facing=self.facing[span],
        )


def _placed(frame: Frame | CurvedFrame, xy: FloatArray, normals: FloatArray) -> _Placed:
    along, across, ways = frame.coordinates(xy)
    return _Placed(
        frame=frame,
        along=along,
        across=across,
        facing_along=normals[:, 0] * ways[:, 0] + normals[:, 1] * ways[:, 1],
        facing=ways[:, 0] * normals[:, 1] - ways[:, 1] * normals[:, 0],
    )


def _widths(together: Together, placed: _Placed, share: FloatArray) -> FloatArray:
    """(n,) over the middle `share` (n,) of the length, the median of how far the sides of a fry are apart.

    Averaged over a few mm at a time. Where a side doesn't show at all: how wide the outline is.
    """
    of, along, across = together.of, placed.along, placed.across
    low, high = together.lowest(along), together.highest(along)
    inner = np.abs(along - ((low + high) / 2)[of]) <= (share * (high - low) / 2)[of]
    left, right = inner & (placed.facing > SIDE), inner & (placed.facing < -SIDE)
    apart = np.array(
        [_middle(across[span], left[span]) - _middle(across[span], right[span]) for span in together.spans()]
    )
    about = np.maximum(apart, 1e-9)
    windows = np.floor(np.clip(share * (high - low) / (_WINDOW * about), 1, _MOST_WINDOWS))
    windows = np.where(np.isfinite(about), windows, 1)
    passed = ((along - low[of]) / np.maximum(high - low, 1e-9)[of] - ((1 - share) / 2)[of]) / share[of]
    window = of * _MOST_WINDOWS + np.clip(passed * windows[of], 0, windows[of] - 1).astype(np.intp)

    def edge(side: MaskArray) -> FloatArray:
        count = np.bincount(window[side], minlength=together.fries * _MOST_WINDOWS)
        sums = np.bincount(window[side], across[side], minlength=together.fries * _MOST_WINDOWS)
        return np.asarray(sums / np.where(count, count, np.nan))

    widths = edge(left) - edge(right)
    shown = np.flatnonzero(np.isfinite(widths))
    medians = medians_of(widths[shown], shown // _MOST_WINDOWS, together.fries)
    whole = together.highest(across) - together.lowest(across)
    return np.where(np.isfinite(medians), medians, np.where(np.isfinite(apart), about, whole))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _AlongBar:
    """One fry's outline on its heights, along a bent bar; how far its middle strays from that, mm."""

    xy: FloatArray
    normals: FloatArray
    placed: _Placed
    width: float
    thickness: float
    strays: float


def _middle(values: FloatArray, chosen: MaskArray) -> float:
    """The median of the chosen ones; nan where none is."""
    return median(values[chosen]) if chosen.any() else np.nan


def _on_heights(bar: _AlongBar, section: Section) -> OnHeights:
    """Along the bar, or along a curl, where that fits better."""
    placed, area = bar.placed, _area(bar.xy)
    form = _form(placed, bar.width, area, section)
    if bar.strays > _STRAYS * bar.width or form.misfit > _UNFILLED:
        curl = follow_curl(bar.xy)
        if curl is not None:
            curled = _placed(curl, bar.xy, bar.normals)
            (width,) = _widths(laid_together([len(bar.xy)]), curled, np.array([_body(section)])).tolist()
            other = _form(curled, width, area, section)
            if other.misfit < form.misfit:
                placed, form = curled, other
    return OnHeights(xy=bar.xy, normals=bar.normals, facing=placed.facing, thickness_mm=bar.thickness, form=form)


def _form(placed: _Placed, width: float, area: float, section: Section) -> StripForm:
    frame, along, across = placed.frame, placed.along, placed.across
    ends = _ends(along, across, placed.facing_along, width)
    tip_mm = _TIP_WIDTH * width if section.pointed else None
    start, stop = (side * _end_of(side * along, across, end, tip_mm) for end, side in zip(ends, (-1, 1), strict=True))
    return StripForm(
        length_mm=max(stop - start, 0.0),
        width_mm=width,
        area_mm2=area,
        ends=ends,
        along_mm=along - start,
        across_mm=across,
        frame=replace(frame, start=float(frame.start) + start),
        section=section,
    )


def _ends(along: FloatArray, across: FloatArray, facing_along: FloatArray, width: float) -> tuple[MaskArray, MaskArray]:
    """The points of the outline at the middle of either end."""
    inner = np.abs(across) < _END_MIDDLE * width
    facing = np.abs(facing_along) > SIDE
    middle = (along.min() + along.max()) / 2

    def of(half: MaskArray) -> MaskArray:
        return next((end for end in (half & facing & inner, half & inner) if end.any()), half)

    return of(along < middle), of(along >= middle)


def _end_of(outward: FloatArray, across: FloatArray, end: MaskArray, tip_mm: float | None) -> float:
    """How far out an end reaches, mm: a cut end on average over its middle; one that narrows to a tip at that tip."""
    if tip_mm is not None:
        end = end & (np.abs(across - across[np.argmax(np.where(end, outward, -np.inf))]) < tip_mm)
    return float(np.mean(outward[end]))


def _area(xy: FloatArray) -> float:
    """Of the polygon."""
    x, y = np.concatenate([xy, xy[:1]]).T
    return float(abs(x[:-1] @ y[1:] - y[:-1] @ x[1:]) / 2)
