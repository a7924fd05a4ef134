"""From the reduced picture back to the photo: labels of full size, with edges where a pixel is half fry, half plate."""

from dataclasses import dataclass

import cv2
import numpy as np

from grader.arrays import Box, Float32Array, FloatArray, LabelArray, MaskArray, PixelArray
from grader.fries.close_up import CloseUp, close_up
from grader.fries.morphology import box_around, grown, parts_of, shrunk
from grader.fries.numbered import Numbered, boxes_of, spread
from grader.fries.sight import Sight
from grader.fries.view import View
from grader.photo.srgb import linear_light

_AT_A_TIME, _ROWS_AT_A_TIME = 100_000, 256
"""Pixels of a rim, of which there are a million with a dozen numbers each; rows of labels: what takes memory."""
_RIM_OUTSIDE_MM, _RIM_INSIDE_MM = 0.45, 0.6
_RIM_REACH_PX = 3
"""Of the view: nowhere does a rim reach farther."""
_PLATE_MM = 1.2, 3.0
"""From so far to so far outside the fries the plate's light is taken."""
_LEAST_CONTRAST = 0.15
_NETWORK_WEIGHT, _SURE = 0.9, 3.0
"""Beside the light's -1 to 1; log odds at which it is nearly all of that."""
_YELLOWNESS_SHARE = 0.6
"""The edge's threshold lies at most so far from the fries' Z / Y towards the plate's: beyond, light thrown from fry to
plate would count."""


def full_labels(pixels: PixelArray, view: View, sight: Sight, labels: LabelArray) -> Numbered:
    """Labels of the photo's own size. Within a thin rim along each outline the photo's own pixels decide.

    A pixel half fry, half plate reads half the sum of their lights. The test is on Z against Y, which shade scales
    alike: fry where Z < k Y, k = (Z_fry + Z_plate) / (Y_fry + Y_plate). Charred ends have lost that difference, and
    noise on dark plates imitates it: so what the network says of the place is added, and decides where light can't.
    """
    full = np.zeros(pixels.shape[:2], np.uint16)
    fries = labels > 0
    if not fries.any():
        return Numbered(labels=full, boxes={})
    box = box_around(fries, _PLATE_MM[1])
    photo = close_up(pixels, labels.shape, box)
    edge = _half_way(view.within(box), fries[box])
    if edge.contrast < _LEAST_CONTRAST:
        decided = cv2.resize(fries.astype(np.float32), full.shape[::-1])[photo.box] > 0.5
    else:
        decided = _decided(photo, fries[box], _leaning(sight.within(box), fries[box]), edge.plane)
    numbers, shown = spread(labels[box]), full[photo.box]
    for first in range(0, len(shown), _ROWS_AT_A_TIME):
        rows = slice(first, first + _ROWS_AT_A_TIME)
        np.multiply(photo.enlarged(numbers, rows), decided[rows], out=shown[rows])
    boxes = boxes_of(labels[box], margin=_RIM_REACH_PX)
    return Numbered(labels=full, boxes={number: photo.box_of(fry) for number, fry in boxes.items()})


def _decided(photo: CloseUp, fries: MaskArray, leaning: Float32Array, plane: Float32Array) -> MaskArray:
    """(h, w) which pixels of the photo's part are fry."""
    inside = shrunk(fries, _RIM_INSIDE_MM)
    rim = grown(fries, _RIM_OUTSIDE_MM) & ~inside
    decided = photo.enlarged(inside)
    near = np.flatnonzero(photo.enlarged(rim))
    for some in np.split(near, range(_AT_A_TIME, len(near), _AT_A_TIME)):
        light = linear_light(photo.pixels.reshape(-1, 3).take(some, axis=0)) @ plane
        np.put(decided, some, np.clip(light, -1, 1) + photo.between(leaning, some) > 0)
    return decided


def _leaning(sight: Sight, fries: MaskArray) -> Float32Array:
    """(h, w) what the network says, from -0.9 to 0.9; nothing where fry was found that it has overlooked."""
    overlooked = grown(fries & (sight.fry_logit < -_SURE), _RIM_OUTSIDE_MM)
    return np.where(overlooked, np.float32(0), np.float32(_NETWORK_WEIGHT) * np.tanh(sight.fry_logit / _SURE))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Edge:
    """Where along an outline fry ends: `plane` (3,) of linear rgb, above 0 on fry, 1 on all of a whole fry.

    `contrast` is the natural log of the factor by which Z / Y of fries and plate differ.
    """

    plane: Float32Array
    contrast: float


def _half_way(view: View, fries: MaskArray) -> _Edge:
    """By the fries just inside their rim and the plate just outside it."""
    fry = _median(view, shrunk(fries, 0.9) & ~shrunk(fries, 2.1), or_else=fries)
    nearer, farther = (grown(fries, reach_mm) for reach_mm in _PLATE_MM)
    plate = _median(view, farther & ~nearer & ~view.barred, or_else=~fries)
    mixed = (fry[2] + plate[2]) / (fry[1] + plate[1])
    pure_fry, pure_plate = fry[2] / fry[1], plate[2] / plate[1]
    k = min(mixed, pure_fry + _YELLOWNESS_SHARE * (pure_plate - pure_fry))
    plane = (k * view.matrix[:, 1] - view.matrix[:, 2]) / (k * fry[1] - fry[2])
    return _Edge(plane=plane.astype(np.float32), contrast=float(np.log(pure_plate / pure_fry)))


def _median(view: View, where: MaskArray, *, or_else: MaskArray) -> FloatArray:
    """(3,) of the light there; of `or_else` where there is nothing: fries too thin, or too close, for a rim."""
    places = np.flatnonzero(where if where.any() else or_else)
    return np.asarray(np.median(view.xyz.reshape(-1, 3).take(places, axis=0), axis=0), float)


def tidy_labels(found: Numbered, *, least_px: float) -> Numbered:
    """The largest connected part of each fry, numbered 1, 2, ... anew; smaller than `least_px` is no fry."""
    tidy = np.zeros_like(found.labels)
    boxes: dict[int, Box] = {}
    for old, box in found.boxes.items():
        fry = found.labels[box] == old
        count, parts = parts_of(fry)
        areas = np.bincount(parts.ravel(), minlength=count)
        keep = areas >= 0.25 * least_px
        keep[0] = False
        if areas[keep].sum() >= least_px:
            number = len(boxes) + 1
            boxes[number] = box
            tidy[box][fry if keep[1:].all() else keep.take(parts)] = number
    return Numbered(labels=tidy, boxes=boxes)
