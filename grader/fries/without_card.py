"""Fries outlined in a photo in which nothing of known size or colour lies: where they are, and nothing measured.

Fries are found as on any plate, but size and colour have to be assumed. Colours are taken as the camera balanced them
(sRGB). For size the picture is reduced until the bars in it are as wide as fries on a plate would be; that is no
measurement, and nothing comes of it but outlines. Both are looked for twice: what is found first says how wide and how
yellow the fries of this picture are. As tables, baskets and papers may be as yellow, only sure bars are outlined
(`sure_bars`): rather too few outlines than some around what is no fry.
"""

from dataclasses import dataclass
from functools import cache
from typing import cast

import cv2
import numpy as np

from grader.arrays import FloatArray, IntArray, LabelArray, PixelArray, frozen
from grader.fries.grouping import group_pieces
from grader.fries.outline import trace_outlines
from grader.fries.pieces import cut_into_pieces
from grader.fries.sight import see
from grader.fries.sure_bars import sure_bars
from grader.fries.view import MM_PER_PX, View, view_of
from grader.fries.yellow import yellow_fries, yellow_surfaces
from grader.photo.rgb_space import D65_XY, SRGB_PRIMARIES, primaries_to_xyz
from grader.photo.srgb import linear_light

_AS_IF_CUT_MM = 9.5
"""Fries of the reduced picture are made about as wide as a cut of this width is on a plate."""
_FIRST_SIDE_PX = 400.0
_SIDE_RANGE_PX = 250.0, 1200.0
"""The reduced picture's longer side: at first, and the least and most that it becomes."""
_SECONDS = 30.0
"""Tables as yellow as fries fall into many pieces; sharing those out takes its time."""
_DARKEST = 0.04
"""Of white: three levels of error in a channel, as JPEG leaves them, look like a tinge of yellow in what is darker."""
_YELLOW_SHARE = 0.4
"""Of the yellowness (log) of the bars found first: what has less is paper that they tint, or a bowl."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OutlinedFry:
    """One fry, px of the photo: its number in the labels, its outline (k, 2), and how much of it shows."""

    number: int
    outline_px: FloatArray
    area_px: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outlined:
    """The fries of a photo without a card, and where each lies: `labels` is (h, w), 0 where no fry is."""

    fries: tuple[OutlinedFry, ...]
    labels: LabelArray


def outline_fries(pixels: PixelArray) -> Outlined:
    """Outline what surely is a fry, in (h, w, 3) pixels as `Photo` has them."""
    side = max(pixels.shape[:2])
    view = _look(pixels, min(1.0, _FIRST_SIDE_PX / side))
    first = sure_bars(_regions(view, yellower_than=0.0))
    if first.usual_width_px is None or not first.labels.any():
        return Outlined(fries=(), labels=frozen(np.zeros(pixels.shape[:2], np.uint16)))
    yellowness = float(np.median(view.yellowness_log[first.labels > 0]))
    least, most = (length / side for length in _SIDE_RANGE_PX)
    fitting = view.reduction * _AS_IF_CUT_MM / MM_PER_PX / first.usual_width_px
    view = _look(pixels, min(1.0, float(np.clip(fitting, least, most))))
    labels = _full_size(sure_bars(_regions(view, yellower_than=_YELLOW_SHARE * yellowness)).labels, pixels.shape[:2])
    areas = np.bincount(labels.ravel())
    return Outlined(
        fries=tuple(
            OutlinedFry(number=number, outline_px=outline.points_px, area_px=int(areas[number]))
            for number, outline in trace_outlines(labels, reach_px=1.0).items()
        ),
        labels=frozen(labels),
    )


def _look(pixels: PixelArray, reduction: float) -> View:
    """The picture reduced, in the camera's own colours; nothing is barred but what is too dark to have a colour."""
    small = cv2.resize(pixels, None, fx=reduction, fy=reduction, interpolation=cv2.INTER_AREA)
    matrix = _srgb_matrix()
    xyz = linear_light(cast("PixelArray", small)) @ matrix.astype(np.float32)
    return view_of(xyz, matrix, np.asarray(xyz[..., 1] < _DARKEST), reduction=reduction)


@cache
def _srgb_matrix() -> FloatArray:
    """(3, 3) linear sRGB to XYZ over that of its white: 1, 1, 1 for white, as `View` has it."""
    to_xyz = primaries_to_xyz(SRGB_PRIMARIES, D65_XY)
    return frozen(np.asarray((to_xyz / to_xyz.sum(axis=1, keepdims=True)).T))


def _regions(view: View, *, yellower_than: float) -> IntArray:
    """(h, w) labels of what may be fries, however it looks; ln Z / Y lies below `yellower_than`."""
    foreground = yellow_surfaces(view, yellower_than=yellower_than)
    pieces = cut_into_pieces(view, see(view, yellow_fries(view)), foreground)
    return group_pieces(pieces, cut_width_mm=_AS_IF_CUT_MM, seconds=_SECONDS)


def _full_size(labels: IntArray, shape: tuple[int, ...]) -> LabelArray:
    """The labels of the reduced picture as those of the photo, numbered 1, 2, ..., with smooth edges."""
    whole = np.zeros(shape, np.uint16)
    for number, old in enumerate(np.setdiff1d(np.unique(labels), [0]).tolist(), start=1):
        part = np.asarray(labels == old, np.uint8) * 255
        whole[cv2.resize(part, shape[::-1], interpolation=cv2.INTER_LINEAR) > 127] = number
    return whole
