"""Which pixels are fry.

Fries are yellow to brown and most plates are not, whatever shade or shadow lies on them, so the ratio Z / Y tells; a
table or a board that is itself yellow or brown is told by being far wider than any fry.
"""

import cv2
import numpy as np

from grader.arrays import Float32Array, MaskArray
from grader.fries.boards import fries_on_boards, outlined, steep
from grader.fries.morphology import (
    closed,
    grown,
    opened,
    parts_bordering_less,
    parts_from,
    parts_mostly_on,
    parts_touching,
    picture_edge,
    smooth_within,
)
from grader.fries.view import MM_PER_PX, View

_SURELY_YELLOW = -0.3
"""Natural log of Z / Y. White china, steel and parchment read above -0.26, fries below -0.33 (rendered
plates, six lights)."""
_SPLIT_SHARE = 0.35
"""The threshold lies so far from the plate's own yellowness towards the fries'."""
_SPLIT_RANGE = (-0.32, 0.1)
_AROUND_MM = 12.0
_SEEN_SHARE = 1e-5
"""Of a smoothed mask: below, there is nothing of it within reach."""
_REDNESS_RANGE = (-0.15, 0.32)
"""Natural log of X / Y: outside lie herbs and green boards on one side, tomato sauce on the other."""

_LIGHT_PLATE = 0.15
_CHARRED_SHARE, _CHARRED_RIM_SHARE = 0.16, 0.24
"""Of the plate's light. Shadows of fries keep more than a quarter (rendered plates); only in a crevice is it darker."""
_CHARRED_RADIUS_MM = 2.6
"""Such parts hold a disc of this radius, as the narrowest whole fry does and a shadow in a crevice does not."""
_BROWN, _BROWN_SHARE, _RED_COUNTS = -0.36, 0.28, 2.0
"""Fries lose yellow and turn redder as they darken: ln X / Y counts twice beside ln Z / Y, where light is this low."""
_FRY_AT_MOST_MM2 = 2500.0
"""A larger dark part is a table, a pan, a hob."""

_TABLE_RADIUS_MM, _TABLE_RADIUS_CUTS = 11.0, 0.75
"""No fry holds a disc of this radius without an edge in it, or of so many widths of its cut where that is more."""
_TABLE_REACH_MM = 40.0
_TABLE_LIKE = 3.5
_LEAST_SPREAD = (2.5, 1.0, 1.5)
"""L*, a*, b*: a table's colour is never taken to be more even than this."""
_PLATE_FROM_MM2 = 5000.0
_A_FRY_MM2 = 150.0
"""Where nothing as large lies on plates, the brown surface itself may be the board that fries lie on."""
_OFF_PLATE_SHARE = 0.5
"""Of its rim: what borders more on table and card than on a plate is a rest of the table."""
_CRUMB_BELOW_MM2 = 40.0
_HOLE_BELOW_MM2 = 12.0


def find_foreground(view: View, *, cut_width_mm: float = 0.0) -> MaskArray:
    """(h, w) True where fry is, crumbs and table left out; edges to about a pixel (`labels` makes them finer)."""
    yellow = _yellow(view)
    core = _table_core(view, yellow, max(_TABLE_RADIUS_MM, _TABLE_RADIUS_CUTS * cut_width_mm))
    table = _table(view, yellow, core)
    fries = yellow & ~table
    charred = _charred(view, fries) & ~table
    fries |= charred | (closed(fries | charred, 1.2) & grown(charred, 3.0) & ~table)
    if table.any():
        on_plates = _on_plates(fries, table, view)
        found = outlined(parts_from(on_plates, _A_FRY_MM2), steep(view)).any()
        fries = on_plates if found else fries_on_boards(view, core)
    return _tidied(fries)


def yellow_surfaces(view: View, *, yellower_than: float) -> MaskArray:
    """(h, w) True where it is as yellow as fries are, tables and all; `yellower_than` is an upper limit of ln Z / Y."""
    return _tidied(_yellow(view) & (view.yellowness_log < yellower_than))


def _tidied(fries: MaskArray) -> MaskArray:
    """Without threads, crumbs and small holes."""
    fries = parts_from(opened(fries, MM_PER_PX), _CRUMB_BELOW_MM2)
    return ~parts_from(~fries, _HOLE_BELOW_MM2)


def _yellow(view: View) -> MaskArray:
    """Yellow against what lies around: the threshold follows the plate's own tint from place to place."""
    yellowness, candidate = view.yellowness_log, _no_herb_nor_sauce(view) & ~view.barred
    sure = candidate & (yellowness < _SURELY_YELLOW)
    plate = ~grown(sure, 1.5) & ~view.barred
    if not (sure.any() and plate.any()):
        return sure
    fry = float(np.median(yellowness[sure]))
    around, share = smooth_within(yellowness, plate, _AROUND_MM)
    threshold = np.clip(around + _SPLIT_SHARE * (fry - around), *_SPLIT_RANGE)
    return np.asarray(candidate & (yellowness < np.where(share > _SEEN_SHARE, threshold, _SURELY_YELLOW)))


def _charred(view: View, fries: MaskArray) -> MaskArray:
    """Fries, or their ends, so dark that they have hardly any colour left: darker than shadows on a light plate."""
    around = grown(fries, 6.0) & ~grown(fries, 1.5) & ~view.barred
    if not around.any():
        return np.zeros_like(fries)
    plate = float(np.median(view.xyz[..., 1][around]))
    if plate < _LIGHT_PLATE:
        return np.zeros_like(fries)
    light = view.xyz[..., 1] / plate
    brown = view.yellowness_log - _RED_COUNTS * np.maximum(view.redness_log, 0) < _BROWN
    allowed = _no_herb_nor_sauce(view) & ~view.barred
    dark = opened(((light < _CHARRED_SHARE) | (brown & (light < _BROWN_SHARE))) & allowed, _CHARRED_RADIUS_MM)
    far_too_wide = parts_from(closed((light < _CHARRED_RIM_SHARE) & ~view.barred, 1.2), _FRY_AT_MOST_MM2)
    dark &= ~parts_mostly_on(dark, far_too_wide & ~grown(fries, 3.0))
    dark &= ~(parts_from(dark, _FRY_AT_MOST_MM2) | parts_touching(dark, _edges(view)))
    return dark | (grown(dark, 2.5) & (light < _CHARRED_RIM_SHARE) & allowed)


def _no_herb_nor_sauce(view: View) -> MaskArray:
    redness = view.redness_log
    return np.asarray((redness > _REDNESS_RANGE[0]) & (redness < _REDNESS_RANGE[1]))


def _edges(view: View) -> MaskArray:
    """Next to the card and along the picture's edge, where dark things are tables and not fries."""
    return grown(view.barred, 2.0) | picture_edge(view.barred.shape)


def _table(view: View, yellow: MaskArray, core: MaskArray) -> MaskArray:
    """Yellow or brown surfaces: from where a wide disc fits, on through what has the same colour nearby."""
    if not core.any():
        return core
    around = grown(core, _TABLE_RADIUS_MM + 1.5) & yellow
    return opened(parts_touching(around | (yellow & _like_the_core(view, core)), around), 1.2)


def _table_core(view: View, yellow: MaskArray, radius_mm: float) -> MaskArray:
    """Where a disc of this radius without an edge fits."""
    even = (yellow & ~steep(view)).astype(np.uint8)
    return np.asarray(cv2.distanceTransform(even, cv2.DIST_L2, 5) * MM_PER_PX > radius_mm)


def _like_the_core(view: View, core: MaskArray) -> MaskArray:
    """Pixels whose colour is that of the table's core around them."""
    lab = _lab_like(view.xyz)
    mean, share = smooth_within(lab, core, _TABLE_REACH_MM)
    variance, _ = smooth_within(np.asarray((lab - mean) ** 2, np.float32), core, _TABLE_REACH_MM)
    spread = np.maximum(np.sqrt(variance), np.array(_LEAST_SPREAD, np.float32))
    distance = np.sqrt((((lab - mean) / spread) ** 2).sum(axis=-1))
    return np.asarray((distance < _TABLE_LIKE) & (share > _SEEN_SHARE))


def _on_plates(fries: MaskArray, table: MaskArray, view: View) -> MaskArray:
    """Only what lies, for the greater part, on a wide thing that the table leaves over: plate, tray, board."""
    rest = opened(~closed(table, 4.0), 6.0) & ~view.barred
    plates = grown(parts_from(rest, _PLATE_FROM_MM2), 1.0)
    return parts_bordering_less(parts_mostly_on(fries, plates), table | view.barred, _OFF_PLATE_SHARE)


def _lab_like(xyz: Float32Array) -> Float32Array:
    """About CIELAB (cube root alone): for telling surfaces apart, not for measuring."""
    root = np.cbrt(np.maximum(xyz, 0))
    x, y, z = root[..., 0], root[..., 1], root[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)
