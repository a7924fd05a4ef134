"""Coordinates along a fry that curls further than a parabola can follow: hooks, spirals.

Its centreline is the longest way through the skeleton of its outline, smoothed. A skeleton forks towards the corners of
an end, so the last of it is left out and the line runs on from there as bent as it was.
"""

from dataclasses import dataclass
from functools import cached_property

import cv2
import numpy as np
from scipy.interpolate import make_splprep
from scipy.sparse import coo_array
from scipy.sparse.csgraph import dijkstra
from scipy.spatial import KDTree
from skimage.morphology import skeletonize

from grader.arrays import FloatArray, IntArray

_CELL_MM = 0.3
_ROUGH_MM = 0.25
"""The skeleton of cells strays about so far from the line that it stands for."""
_FORK_WIDTHS = 0.75
"""Widths from its end within which a skeleton may run to a corner."""
_BEND_WIDTHS = 1.0
"""Over so many widths before its end the line's bend is taken, to run on with."""
_BEYOND_WIDTHS = 0.6
_SHARPEST = 0.95
"""Radians that it turns at most over half its width: at 1 the inner side would have no length left."""
_STEP_MM = 0.2
_LEAST_POINTS = 12


@dataclass(frozen=True, kw_only=True, eq=False)
class CurvedFrame:
    """The frame of one fry; as `Frame`.

    Attributes
    ----------
    line
        (n, 2) points of the sheet, mm, evenly along the centreline, `_STEP_MM` apart, beyond both ends.
    start
        Arc length, mm from the first of them, of the fry's first end.
    """

    line: FloatArray
    start: float = 0.0

    def along_across(self, xy_mm: FloatArray) -> tuple[FloatArray, FloatArray]:
        """(n,) mm along the centreline from its first end, (n,) mm across it, of points (n, 2) of the sheet."""
        nearest = self._tree.query(xy_mm)[1]
        off = xy_mm - self.line[nearest]
        ways = self._ways[nearest]
        along = nearest * _STEP_MM + (off * ways).sum(axis=1)
        return along - self.start, ways[:, 0] * off[:, 1] - ways[:, 1] * off[:, 0]

    def coordinates(self, xy_mm: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """As `along_across`, and (n, 2) unit vectors along the centreline there."""
        along, across = self.along_across(xy_mm)
        return along, across, self._ways_at(along)

    def place(self, along: FloatArray, across: FloatArray) -> FloatArray:
        """(..., 2) points of the sheet, mm: `along_across` backwards, of numbers that broadcast against each other."""
        ways = self._ways_at(along)
        return self._on_line(along) + across[..., None] * np.stack([-ways[..., 1], ways[..., 0]], axis=-1)

    def point_and_way(self, along: float) -> tuple[FloatArray, FloatArray]:
        """(2,) a point of the centreline, and the unit vector along it there."""
        at = np.array([along])
        return self._on_line(at)[0], self._ways_at(at)[0]

    def _ways_at(self, along: FloatArray) -> FloatArray:
        """(..., 2) unit vectors along the centreline, at mm (...) from its first end."""
        at = (along + self.start) / _STEP_MM
        ways = np.stack([np.interp(at, np.arange(len(self.line)), part) for part in self._ways.T], axis=-1)
        return np.asarray(ways / np.linalg.norm(ways, axis=-1, keepdims=True))

    def _on_line(self, along: FloatArray) -> FloatArray:
        at = (along + self.start) / _STEP_MM
        last = len(self.line) - 1
        inside = np.clip(at, 0, last)
        points = np.stack([np.interp(inside, np.arange(last + 1), part) for part in self.line.T], axis=-1)
        return points + ((at - inside) * _STEP_MM)[..., None] * self._ways_at(along)

    @cached_property
    def _tree(self) -> KDTree:
        return KDTree(self.line)

    @cached_property
    def _ways(self) -> FloatArray:
        steps = np.gradient(self.line, axis=0)
        return np.asarray(steps / np.linalg.norm(steps, axis=1, keepdims=True))


def follow_curl(xy_mm: FloatArray) -> CurvedFrame | None:
    """The frame along the middle of an outline (k, 2), mm; None where it is too short or too round to have one."""
    corner = xy_mm.min(axis=0) - 2 * _CELL_MM
    size = np.ceil((xy_mm.max(axis=0) - corner) / _CELL_MM).astype(int) + 3
    inside = np.zeros(size[::-1], np.uint8)
    cv2.fillPoly(inside, [np.round((xy_mm - corner) / _CELL_MM).astype(np.int32).reshape(-1, 1, 2)], 1)
    middle = np.argwhere(skeletonize(inside > 0))
    if len(middle) < _LEAST_POINTS:
        return None
    depth = cv2.distanceTransform(inside, cv2.DIST_L2, 5)[middle[:, 0], middle[:, 1]] * _CELL_MM
    way = _longest_way(middle)
    width = 2 * float(np.median(depth[way]))
    points = middle[way][:, ::-1] * _CELL_MM + corner
    passed = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    kept = (passed > _FORK_WIDTHS * width) & (passed < passed[-1] - _FORK_WIDTHS * width)
    if kept.sum() < _LEAST_POINTS:
        return None
    line = _smooth_line(points[kept], width)
    return None if _kinked(line, width) else CurvedFrame(line=line)


def _kinked(line: FloatArray, width: float) -> bool:
    """It turns a corner: fries that meet at an angle do, no fry that is bent."""
    steps = np.diff(line, axis=0)
    heading = np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))
    reach = max(1, round(width / 2 / _STEP_MM))
    return len(heading) > reach and float(np.abs(heading[reach:] - heading[:-reach]).max()) > _SHARPEST


def _longest_way(cells: IntArray) -> IntArray:
    """Places of the skeleton's cells (n, 2) along the longest of all shortest ways between two of them."""
    pairs = KDTree(cells).query_pairs(1.5, output_type="ndarray")
    apart = np.linalg.norm(cells[pairs[:, 0]] - cells[pairs[:, 1]], axis=1)
    graph = coo_array((apart, tuple(pairs.T)), shape=(len(cells), len(cells))).tocsr()
    one = _farthest(dijkstra(graph, directed=False, indices=np.array([0]))[0])
    distance, before = dijkstra(graph, directed=False, indices=np.array([one]), return_predecessors=True)
    way = [_farthest(distance[0])]
    while way[-1] != one:
        way.append(int(before[0, way[-1]]))
    return np.array(way)


def _farthest(distance: FloatArray) -> int:
    return int(np.argmax(np.where(np.isfinite(distance), distance, -1.0)))


def _smooth_line(points: FloatArray, width: float) -> FloatArray:
    """Evenly spaced points of a smooth line through these, going on beyond both ends as bent as it was there."""
    curve, _ = make_splprep(points.T, s=len(points) * _ROUGH_MM**2)
    line = _even(np.asarray(curve(np.linspace(0, 1, 20 * len(points))), float).T)
    before = _going_on(line[::-1], width)
    behind = _going_on(line, width)
    return np.concatenate([before[::-1], line, behind])


def _even(points: FloatArray) -> FloatArray:
    passed = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    at = np.arange(0, passed[-1], _STEP_MM)
    return np.column_stack([np.interp(at, passed, part) for part in points.T])


def _going_on(line: FloatArray, width: float) -> FloatArray:
    """Points on the arc that goes on behind the line's last point."""
    reach = min(max(3, round(_BEND_WIDTHS * width / _STEP_MM)), len(line) - 1)
    steps = np.diff(line[-reach - 1 :], axis=0)
    turned = np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))
    bend, last = np.polyfit(np.arange(1 - len(turned), 1), turned, 1)
    more = last + bend * np.arange(1, round((_FORK_WIDTHS + _BEYOND_WIDTHS) * width / _STEP_MM))
    return np.asarray(line[-1] + _STEP_MM * np.cumsum(np.column_stack([np.cos(more), np.sin(more)]), axis=0))
