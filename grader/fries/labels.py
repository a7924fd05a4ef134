"""From the reduced picture back to the photo: labels of full size, with edges where a pixel is half fry, half plate."""

import cv2
import numpy as np
from scipy import ndimage

from grader.arrays import Float32Array, FloatArray, IntArray, LabelArray, MaskArray, PixelArray
from grader.fries.morphology import box_around, grown, shrunk
from grader.fries.sight import Sight
from grader.fries.view import View
from grader.photo.srgb import linear_light

_RIM_OUTSIDE_MM, _RIM_INSIDE_MM = 0.45, 0.6
_LEAST_CONTRAST = 0.15
_NETWORK_WEIGHT, _SURE = 0.9, 3.0
"""Beside the light's -1 to 1; log odds at which it is nearly all of that."""
_YELLOWNESS_SHARE = 0.6
"""The edge's threshold lies at most so far from the fries' Z / Y towards the plate's: beyond, light thrown from fry to
plate would count."""


def full_labels(pixels: PixelArray, view: View, sight: Sight, labels: IntArray) -> LabelArray:
    """(h, w) labels of the photo's own size. Within a thin rim along each outline the photo's own pixels decide.

    A pixel half fry, half plate reads half the sum of their lights. The test is on Z against Y, which shade scales
    alike: fry where Z < k Y, k = (Z_fry + Z_plate) / (Y_fry + Y_plate). Charred ends have lost that difference, and
    noise on dark plates imitates it: so what the network says of the place is added, and decides where light can't.
    """
    size = pixels.shape[1], pixels.shape[0]
    fries = labels > 0
    if not fries.any():
        return np.zeros(pixels.shape[:2], np.uint16)
    inside = shrunk(fries, _RIM_INSIDE_MM)
    rim = grown(fries, _RIM_OUTSIDE_MM) & ~inside
    threshold, contrast, full = _half_way(view, fries)
    coarse = cv2.resize(_spread(labels).astype(np.uint16), size, interpolation=cv2.INTER_NEAREST)
    near = np.flatnonzero(cv2.resize(rim.astype(np.uint8), size, interpolation=cv2.INTER_NEAREST))
    if contrast < _LEAST_CONTRAST:
        return np.asarray(coarse * (cv2.resize(fries.astype(np.float32), size) > 0.5))
    decided = cv2.resize(inside.astype(np.uint8), size, interpolation=cv2.INTER_NEAREST).view(bool)
    light = linear_light(pixels.reshape(-1, 3)[near])
    plane = (threshold * view.matrix[:, 1] - view.matrix[:, 2]) / full
    leaning = _at_photo(_leaning(sight, fries), near, size)
    np.put(decided, near, np.clip(light @ plane.astype(np.float32), -1, 1) + leaning > 0)
    coarse[~decided] = 0
    return np.asarray(coarse)


def _spread(labels: IntArray) -> IntArray:
    """The labels, each grown over the rim outside it."""
    box = box_around(labels > 0, 2 * _RIM_OUTSIDE_MM)
    spread = np.zeros_like(labels)
    inside = labels[box]
    _, nearest = cv2.distanceTransformWithLabels(
        (inside == 0).astype(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_5, labelType=cv2.DIST_LABEL_PIXEL
    )
    number_at = np.zeros(int(nearest.max()) + 1, labels.dtype)
    number_at[nearest[inside > 0]] = inside[inside > 0]
    spread[box] = number_at[nearest]
    return spread


def _leaning(sight: Sight, fries: MaskArray) -> Float32Array:
    """(h, w) what the network says, from -0.9 to 0.9; nothing where fry was found that it has overlooked."""
    overlooked = grown(fries & (sight.fry_logit < -_SURE), _RIM_OUTSIDE_MM)
    return np.where(overlooked, np.float32(0), np.float32(_NETWORK_WEIGHT) * np.tanh(sight.fry_logit / _SURE))


def _at_photo(values: Float32Array, pixels: IntArray, size: tuple[int, int]) -> Float32Array:
    """(k,) what lies between a view's values (h, w) at these pixels, flat places, of the photo of that width, height.

    As resizing would give it, without a second photo of floats.
    """
    places = np.array(np.divmod(pixels, size[0]), float)  # put in place step by step: there are a million
    places += 0.5
    places *= np.reshape(values.shape, (2, 1))
    places /= np.reshape(size[::-1], (2, 1))
    places -= 0.5
    return np.asarray(ndimage.map_coordinates(values, places, output=np.float32, order=1, mode="nearest"))


def _half_way(view: View, fries: MaskArray) -> tuple[float, float, float]:
    """k, from the fries just inside their rim and the plate just outside it; by what factor their Z / Y differ, log.

    And how far a whole fry is from the threshold, in light.
    """
    fry = _median(view, shrunk(fries, 0.9) & ~shrunk(fries, 2.1), or_else=fries)
    plate = _median(view, grown(fries, 3.0) & ~grown(fries, 1.2) & ~view.barred, or_else=~fries)
    mixed = (fry[2] + plate[2]) / (fry[1] + plate[1])
    pure_fry, pure_plate = fry[2] / fry[1], plate[2] / plate[1]
    k = min(mixed, pure_fry + _YELLOWNESS_SHARE * (pure_plate - pure_fry))
    return float(k), float(np.log(pure_plate / pure_fry)), float(k * fry[1] - fry[2])


def _median(view: View, where: MaskArray, *, or_else: MaskArray) -> FloatArray:
    """(3,) of the light there; of `or_else` where there is nothing: fries too thin, or too close, for a rim."""
    return np.asarray(np.median(view.xyz[where if where.any() else or_else], axis=0), float)


def tidy_labels(labels: LabelArray, *, least_px: float) -> LabelArray:
    """The largest connected part of each fry, numbered 1, 2, ... anew; smaller than `least_px` is no fry."""
    tidy = np.zeros_like(labels)
    number = 0
    for old, box in enumerate(ndimage.find_objects(labels), start=1):
        if box is None:
            continue
        _, parts = cv2.connectedComponents((labels[box] == old).astype(np.uint8), connectivity=4)
        areas = np.bincount(parts.ravel())
        keep = areas >= 0.25 * least_px
        keep[0] = False
        if areas[keep].sum() >= least_px:
            number += 1
            tidy[box][keep[parts]] = number
    return tidy
