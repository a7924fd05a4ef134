"""Fries on a board of their own colour (kraft paper, wood): what doesn't have the board's colour, within its outline.

Grain and shadows change how light a board is far more than what colour it is; a fry that is browned otherwise than the
board shows by its colour alone.
"""

from dataclasses import dataclass

import cv2
import numpy as np

from grader.arrays import Float32Array, FloatArray, MaskArray
from grader.fries.morphology import closed, grown, opened, parts_from, parts_touching, shrunk, slope, smooth_within
from grader.fries.view import MM_PER_PX, View

_GRAIN_MM = 0.6
"""Grain and noise finer than this are smoothed."""
_MOST_BOARDS = 4
_CORE_MM2 = 90.0
_CORE_REACH_MM = 9.0
"""A core lies this far from any edge, so that what is around it is board, too."""
_ROUNDS = 3
_EVERY = 7
_LEAST_SAMPLE = 2000
_SPECK_MM, _STRAY_MM, _RIM_MM = 0.9, 2.0, 1.0
_FLOOR = (1e-3, 1e-4, 1e-5)
"""Variances of ln Y, Z / Y and X / Y that no board in a photo stays below."""

_LIKE = 3.5
_UNLIKE, _SURELY_UNLIKE, _BEYOND_DOUBT = 2.5, 4.0, 6.0
"""Standard deviations of the board's own colour: taken for fry where it hangs together with what surely is; and where
there is no doubt an edge isn't asked for."""
_NARROWEST_MM, _BEYOND_DOUBT_MM = 1.2, 2.0
_FRY_FROM_MM2 = 40.0
_HOLE_BELOW_MM2 = 12.0
_RAGGED_MM = 1.0
_AROUND_MM, _EDGE_SHARE = 3.0, 0.45
"""A pixel half fry, half board is about half as unlike the board as the fry there is."""
_EDGE_BLUR_PX, _EDGE_STEP = 2.0, 2.0
"""L* a pixel: grain is flatter, the outline of a fry is steeper."""
_EDGED_SHARE = 0.6
_NO_FRY_RADIUS_MM = 40.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Board:
    """One board.

    Attributes
    ----------
    surface, inside
        (h, w) what of it shows, and all within its outline.
    unlike
        (h, w) how many standard deviations a pixel's colour is off the board's own.
    """

    surface: MaskArray
    inside: MaskArray
    unlike: FloatArray


def fries_on_boards(view: View, cores: MaskArray) -> MaskArray:
    """(h, w) fries on the one board that holds most of them.

    Parameters
    ----------
    cores
        (h, w) where wide yellow or brown surfaces certainly are.
    """
    edges = steep(view)
    candidates = [_fries_on(board, edges) for board in _boards(view, cores)]
    if not candidates:
        return np.zeros_like(cores)
    return max(candidates, key=lambda fries: int(fries.sum()))


def _fries_on(board: _Board, edges: MaskArray) -> MaskArray:
    unlike = np.where(board.inside, board.unlike, 0)
    fries = opened(closed(unlike > _UNLIKE, _GRAIN_MM), _NARROWEST_MM)
    fries = parts_touching(fries, opened(unlike > _SURELY_UNLIKE, _NARROWEST_MM))
    around, _ = smooth_within(np.asarray(unlike, np.float32), fries, _AROUND_MM)
    fries &= unlike > _EDGE_SHARE * around
    fries |= ~parts_from(~fries, _HOLE_BELOW_MM2)
    soft = cv2.GaussianBlur(fries.astype(np.float32), (0, 0), _RAGGED_MM / MM_PER_PX)
    fries = parts_from(soft > 0.5, _FRY_FROM_MM2)
    fries = outlined(fries, edges) | parts_touching(fries, opened(unlike > _BEYOND_DOUBT, _BEYOND_DOUBT_MM))
    radius_mm = cv2.distanceTransform(fries.astype(np.uint8), cv2.DIST_L2, 5) * MM_PER_PX
    return fries & ~parts_touching(fries, radius_mm > _NO_FRY_RADIUS_MM)


def steep(view: View) -> MaskArray:
    """(h, w) where lightness changes faster than grain makes it."""
    return slope(np.asarray(cv2.GaussianBlur(view.lightness, (0, 0), _EDGE_BLUR_PX), np.float32)) > _EDGE_STEP


def outlined(fries: MaskArray, edges: MaskArray) -> MaskArray:
    """The parts with an edge along most of their rim: a streak of grain fades out."""
    count, parts = cv2.connectedComponents(fries.astype(np.uint8))
    rim = fries & ~shrunk(fries, MM_PER_PX)
    whole = np.bincount(parts[rim], minlength=count)
    keep = np.bincount(parts[rim & grown(edges, _RAGGED_MM)], minlength=count) > _EDGED_SHARE * whole
    keep[0] = False
    return np.asarray(keep[parts])


def _boards(view: View, cores: MaskArray) -> list[_Board]:
    """The largest surface first; what lies on one is no board of its own."""
    tone, left, boards = _tone(view), cores, []
    for _ in range(_MOST_BOARDS):
        count, parts, stats, _ = cv2.connectedComponentsWithStats(left.astype(np.uint8))
        if count < 2 or stats[1:, cv2.CC_STAT_AREA].max() * MM_PER_PX**2 < _CORE_MM2:
            break
        core = parts == 1 + int(np.argmax(stats[1:, cv2.CC_STAT_AREA]))
        boards.append(_board(tone, core, view.barred))
        left = left & ~core & ~grown(boards[-1].surface, _STRAY_MM)
    return boards


def _tone(view: View) -> Float32Array:
    """(h, w, 3) natural logs of Y, Z / Y and X / Y, grain and noise smoothed."""
    smooth = np.maximum(cv2.GaussianBlur(view.xyz, (0, 0), _GRAIN_MM / MM_PER_PX), 2e-3)
    x, y, z = np.moveaxis(np.log(smooth), -1, 0)
    return np.asarray(np.stack([y, z - y, x - y], axis=-1), np.float32)


def _board(tone: Float32Array, core: MaskArray, barred: MaskArray) -> _Board:
    """From its core, a board's colour and how it varies, and what has it."""
    sample = (cv2.distanceTransform((~core).astype(np.uint8), cv2.DIST_L2, 5) * MM_PER_PX < _CORE_REACH_MM) & ~barred
    for _ in range(_ROUNDS):
        few = tone[sample][::_EVERY]
        mean, spread = few.mean(axis=0), np.cov(few.T) + np.diag(_FLOOR)
        like = (_distance(tone - mean, spread) < _LIKE) & ~barred
        surface = parts_touching(opened(like, _SPECK_MM), core)
        inner = shrunk(surface, _GRAIN_MM)
        sample = inner if inner.sum() > _LEAST_SAMPLE else core
    inside = shrunk(_hull(opened(surface, _STRAY_MM) | core), _RIM_MM) & ~barred
    return _Board(surface=surface, inside=inside, unlike=_distance(tone[..., 1:] - mean[1:], spread[1:, 1:]))


def _distance(off: Float32Array, spread: FloatArray) -> FloatArray:
    """(h, w) Mahalanobis distance of (h, w, k)."""
    whitened = off @ np.linalg.cholesky(np.linalg.inv(spread)).astype(np.float32)
    return np.asarray(np.sqrt((whitened**2).sum(axis=-1)))


def _hull(mask: MaskArray) -> MaskArray:
    corners = cv2.convexHull(cv2.findNonZero(mask.astype(np.uint8)).reshape(-1, 1, 2))
    inside = np.zeros(mask.shape, np.uint8)
    cv2.fillConvexPoly(inside, corners.reshape(-1, 1, 2).astype(np.int32), 1)
    return inside > 0
