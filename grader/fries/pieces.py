"""Cuts the foreground into pieces along everything that may be a seam, and says of each cut how likely it is one.

More cuts than fries are made on purpose: `grouping` decides which pieces belong together.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from scipy import ndimage
from skimage.feature import hessian_matrix, hessian_matrix_eigvals
from skimage.morphology import h_maxima
from skimage.segmentation import watershed

from grader.arrays import Float32Array, FloatArray, IntArray, MaskArray
from grader.fries.view import View

_VALLEY_WIDTH_PX = 1.7
_SEAM_FROM = 0.12
_DEPTH_STEP_PX = 0.7
_SEAM_PULL = 8.0

# How likely a cut is a real seam: a logistic regression that calibration/fit_seams.py made from 2951 cuts on 39
# rendered plates; 96 % right on plates left out. Mean, spread and weight of each of the nine signs in `_signs`.
_MEAN = np.array([0.1137, 0.4313, 2.6259, 0.4003, 0.1816, 0.0518, 0.0863, 3.6268, 0.0051])
_SPREAD = np.array([0.1217, 0.3828, 1.0770, 0.4712, 0.3133, 0.2585, 0.2362, 0.6181, 0.6249])
_WEIGHT = np.array([1.4330, 2.1737, -0.9190, 1.5281, 0.3023, -0.3865, -0.2189, 0.3418, -1.0420])
_BIAS = -2.6999
_LOGIT_RANGE = (-4.0, 4.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pieces:
    """The pieces and the cuts between them.

    Attributes
    ----------
    labels
        (h, w) 0 outside, 1 ... n.
    cuts
        (m, 2) pairs of piece numbers that meet, the smaller first.
    seam_logit
        (m,) log odds that the cut is a seam between two fries.
    cut_length_px
        (m,)
    """

    labels: IntArray
    cuts: IntArray
    seam_logit: FloatArray
    cut_length_px: FloatArray


def cut_into_pieces(view: View, foreground: MaskArray) -> Pieces:
    """The pieces of the foreground (h, w), and how likely each cut between them is a seam."""
    labels, cuts, signs, length = seam_signs(view, foreground)
    logit = ((signs - _MEAN) / _SPREAD) @ _WEIGHT + _BIAS
    return Pieces(labels=labels, cuts=cuts, seam_logit=np.clip(logit, *_LOGIT_RANGE), cut_length_px=length)


def seam_signs(view: View, foreground: MaskArray) -> tuple[IntArray, IntArray, FloatArray, FloatArray]:
    """Labels of the pieces (h, w), the pairs that meet (m, 2), nine signs of each cut (m, 9), its length (m,), px.

    Watershed from the middles of what the seams leave over, so that seams and necks become cuts.
    """
    valley = _valley(view.luminance_log)
    core = foreground & (valley < _SEAM_FROM)
    distance = cv2.distanceTransform(core.astype(np.uint8), cv2.DIST_L2, 5)
    depth = np.asarray(cv2.GaussianBlur(distance, (0, 0), 1.0), np.float32)
    ground = -depth + _SEAM_PULL * np.minimum(valley, 0.5)
    labels = np.asarray(watershed(ground, _middles(depth), mask=foreground), np.int64)
    cuts, pair, pixel = _meetings(labels)
    if len(cuts) == 0:
        return labels, cuts, np.zeros((0, len(_MEAN))), np.zeros(0)
    signs, length = _signs(view, labels, valley, cuts, pair, pixel)
    return labels, cuts, signs, length


def _middles(depth: Float32Array) -> IntArray:
    """(h, w) a number on each summit of the depth that stands out from its surroundings.

    Found at half the size: depth is smooth, and finding summits takes longer than all the rest.
    """
    summits, _ = ndimage.label(h_maxima(depth[::2, ::2], _DEPTH_STEP_PX))
    middles = np.zeros(depth.shape, np.int64)
    middles[::2, ::2] = summits
    return middles


def _valley(luminance: Float32Array) -> Float32Array:
    """How sharply it brightens to both sides: the largest curvature of log luminance, 0 on ridges and flats."""
    hessian = hessian_matrix(luminance, sigma=_VALLEY_WIDTH_PX, order="rc", use_gaussian_derivatives=False)
    return np.asarray(np.maximum(hessian_matrix_eigvals(hessian)[0], 0) * _VALLEY_WIDTH_PX**2, np.float32)


def _meetings(labels: IntArray) -> tuple[IntArray, IntArray, IntArray]:
    """The pairs of pieces that meet (m, 2); then, for each pixel along a meeting, its pair's row and its flat place."""
    place = np.arange(labels.size).reshape(labels.shape)
    rows = []
    for here, there in _NEIGHBOURS:
        a, b = labels[here], labels[there]
        meet = (a != b) & (a > 0) & (b > 0)
        low, high = np.minimum(a[meet], b[meet]), np.maximum(a[meet], b[meet])
        rows += [np.column_stack([low, high, place[side][meet]]) for side in (here, there)]
    every = np.unique(np.concatenate(rows), axis=0).astype(np.int64)
    cuts, pair = np.unique(every[:, :2], axis=0, return_inverse=True)
    return cuts, pair.reshape(-1), every[:, 2]


_ALL, _HEAD, _TAIL = slice(None), slice(None, -1), slice(1, None)
_NEIGHBOURS = (
    ((_ALL, _HEAD), (_ALL, _TAIL)),
    ((_HEAD, _ALL), (_TAIL, _ALL)),
    ((_HEAD, _HEAD), (_TAIL, _TAIL)),
    ((_HEAD, _TAIL), (_TAIL, _HEAD)),
)


def _signs(
    view: View,
    labels: IntArray,
    valley: Float32Array,
    cuts: IntArray,
    pair: IntArray,
    pixel: IntArray,
) -> tuple[FloatArray, FloatArray]:
    """(m, 9) what speaks for or against a seam at each cut, and (m,) the cut's length, px.

    Valley along it, share of it that is a valley, slope of L*, how much darker it is than both sides, how different
    the sides are, the same two for yellowness, its length, its length against the smaller piece.
    """
    luminance, yellowness = view.luminance_log, view.yellowness_log
    down, right = np.gradient(cv2.GaussianBlur(view.lightness, (0, 0), 1.2))
    count = np.bincount(pair)

    def along(values: Float32Array) -> FloatArray:
        return np.asarray(np.bincount(pair, values.ravel()[pixel].astype(float)) / count)

    numbers, inside, sides = np.arange(1, labels.max() + 1), labels > 0, cuts - 1
    bright = np.asarray(ndimage.median(luminance[inside], labels[inside], numbers))[sides]
    tint = np.asarray(ndimage.median(yellowness[inside], labels[inside], numbers))[sides]
    smaller = np.bincount(labels.ravel())[1:][sides].min(axis=1)
    length = count / 2
    signs = [
        along(valley),
        along((valley > 0.1).astype(np.float32)),
        along(np.hypot(down, right)),
        bright.min(axis=1) - along(luminance),
        np.abs(np.diff(bright, axis=1)[:, 0]),
        tint.min(axis=1) - along(yellowness),
        np.abs(np.diff(tint, axis=1)[:, 0]),
        np.log(length),
        np.log(length / np.sqrt(smaller)),
    ]
    return np.column_stack(signs), length
