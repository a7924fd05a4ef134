"""Hooks put together again: parts of one fry that were cut apart where it turns.

Grouping takes a fry for a bar that is straight or evenly bent, and cuts what turns further. Two parts are one hook
where they meet all across, are equally light there, and together are one strip of even width that turns far and
smoothly. A seam alone tells little: where a fry turns it throws a shadow on itself.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import cv2
import numpy as np

from grader.arrays import Box, Float32Array, FloatArray, IntArray, MaskArray
from grader.fries.curved_frame import CurvedFrame, follow_curl
from grader.fries.numbered import boxes_of, where_two_meet
from grader.fries.view import MM_PER_PX, View

_MEETS = 0.6
"""Of the narrower part's width, so much do both meet along at least: all across."""
_ALIKE = 0.7
"""Neither part is narrower than this share of the other."""
_UNLIKE, _DARKEST_SEAM = 0.15, 0.85
"""Natural log of light, on rendered plates: fries that met as smoothly differed by 0.25 or more both beside the cut and
as a whole, or had a seam between them 0.97 darker than both; parts of hooks differed by 0.13 beside the cut or by 0.07
as a whole, and the seam was up to 0.77 darker."""
_NEAR_PX = 2, 7
"""What counts as beside a cut."""
_LEAST_TURN = 1.0
"""Radians that the whole turns at least: what turns less grouping has looked at."""
_MOST_MISFIT = 0.06
_EVEN = 0.83
"""Nowhere is a hook narrower than this share of its usual width, or wider than that by as much: a corner is."""
_LEAST_PART_MM2 = 60.0
_LONGEST_MM = 200.0
_WINDOWS, _TIPS = 12, 2


def rejoin_hooks(view: View, labels: IntArray) -> IntArray:
    """(h, w) labels of fries, those that are parts of one hook joined under one of their numbers."""
    joined = labels.copy()
    refused: set[tuple[int, int]] = set()
    while True:
        pair = _next_pair(view, joined, refused)
        if pair is None:
            return joined
        joined[joined == pair[1]] = pair[0]


def turns_as_one(union: MaskArray, *, widest_mm: float) -> bool:
    """Whether a mask (h, w) is one strip, hardly wider than `widest_mm` and evenly so, that turns far and smoothly."""
    contours, _ = cv2.findContours(union.view(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    if len(contours) != 1:
        return False
    outline = np.asarray(contours[0].reshape(-1, 2) * MM_PER_PX, float)
    frame = follow_curl(outline)
    if frame is None or _turn(frame) < _LEAST_TURN:
        return False
    along, across = frame.along_across(outline)
    length = float(np.ptp(along))
    widths = _widths(along, across)
    usual = float(np.median(widths))
    misfit = abs(float(union.sum()) * MM_PER_PX**2 / max(length * usual, 1e-9) - 1)
    inner = widths[_TIPS:-_TIPS]
    even = bool((inner > _EVEN * usual).all() and (inner * _EVEN < usual).all()) and usual < widest_mm / _ALIKE
    return even and misfit < _MOST_MISFIT and length < _LONGEST_MM


def _next_pair(view: View, labels: IntArray, refused: set[tuple[int, int]]) -> tuple[int, int] | None:
    """Two parts of one hook; those that are none are noted in `refused`, by their numbers."""
    light = view.luminance_log
    areas = np.bincount(labels.ravel())
    boxes = boxes_of(labels, margin=2)
    for meeting in _meetings(labels):
        pair = meeting.pair
        key = pair[0] * len(areas) + pair[1], int(areas[list(pair)].sum())
        if key in refused:
            continue
        large = min(areas[list(pair)]) * MM_PER_PX**2 > _LEAST_PART_MM2
        if large and _one_hook(light, labels, meeting, _around(boxes, pair)):
            return pair
        refused.add(key)
    return None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Meeting:
    """Where two parts meet: their numbers, and rows and columns (k,) of the pixels of either just there."""

    pair: tuple[int, int]
    rows: IntArray
    columns: IntArray


def _meetings(labels: IntArray) -> list[_Meeting]:
    rows, columns, pairs = [], [], []
    for here, there in ((labels[:-1], labels[1:]), (labels[:, :-1], labels[:, 1:])):
        at = where_two_meet(here, there)
        rows.append(at[0])
        columns.append(at[1])
        pairs.append(np.sort(np.column_stack([here[at], there[at]]), axis=1))
    row, column = np.concatenate(rows), np.concatenate(columns)
    pair, which = np.unique(np.concatenate(pairs), axis=0, return_inverse=True)
    return [
        _Meeting(pair=(low, high), rows=row[which == at], columns=column[which == at])
        for at, (low, high) in enumerate(pair.tolist())
    ]


def _around(boxes: Mapping[int, Box], pair: tuple[int, int]) -> Box:
    """Rows and columns that hold both parts' boxes."""
    rows, columns = (
        slice(min(boxes[number][axis].start for number in pair), max(boxes[number][axis].stop for number in pair))
        for axis in (0, 1)
    )
    return rows, columns


def _one_hook(light: Float32Array, labels: IntArray, meeting: _Meeting, box: Box) -> bool:
    """Whether both parts of a meeting, within these rows and columns, are one fry."""
    parts = [labels[box] == number for number in meeting.pair]
    widths = [2 * float(cv2.distanceTransform(part.view(np.uint8), cv2.DIST_L2, 5).max()) for part in parts]
    span = float(np.hypot(np.ptp(meeting.rows), np.ptp(meeting.columns))) + 1
    if min(widths) < _ALIKE * max(widths) or span < _MEETS * min(widths):
        return False
    at = meeting.rows - box[0].start, meeting.columns - box[1].start
    return not _seam(light[box], parts, at) and turns_as_one(parts[0] | parts[1], widest_mm=max(widths) * MM_PER_PX)


def _seam(light: Float32Array, parts: list[MaskArray], at: tuple[IntArray, IntArray]) -> bool:
    """Both are unlike beside the cut and as a whole, or it is much darker between them."""
    cut = np.ones(light.shape, np.uint8)
    cut[at] = 0
    apart = cv2.distanceTransform(cut, cv2.DIST_L2, 5)
    beside = [light[part & (apart >= _NEAR_PX[0]) & (apart <= _NEAR_PX[1])] for part in parts]
    if not all(len(side) for side in beside):
        return True
    sides, wholes = ([float(np.median(values)) for values in lights] for lights in (beside, [light[p] for p in parts]))
    unlike = min(abs(sides[0] - sides[1]), abs(wholes[0] - wholes[1])) > _UNLIKE
    return unlike or min(sides) - float(np.median(light[at])) > _DARKEST_SEAM


def _turn(frame: CurvedFrame) -> float:
    steps = np.diff(frame.line, axis=0)
    heading = np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))
    return float(np.ptp(heading))


def _widths(along: FloatArray, across: FloatArray) -> FloatArray:
    """(windows,) how wide it is, end to end; 0 where a side doesn't show."""
    place = np.minimum(((along - along.min()) / max(float(np.ptp(along)), 1e-9) * _WINDOWS).astype(int), _WINDOWS - 1)
    widths = np.zeros(_WINDOWS)
    for side in (1, -1):
        there = across * side > 0
        count = np.bincount(place[there], minlength=_WINDOWS)
        widths += np.bincount(place[there], np.abs(across[there]), minlength=_WINDOWS) / np.maximum(count, 1)
    return widths
