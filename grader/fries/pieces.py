"""Cuts the foreground into pieces along everything that may be a seam, and says of each cut how likely it is one.

More cuts than fries are made on purpose: `grouping` decides which pieces belong together.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from scipy import ndimage
from skimage.feature import hessian_matrix, hessian_matrix_eigvals
from skimage.segmentation import watershed

from grader.arrays import Float32Array, FloatArray, IntArray, MaskArray
from grader.fries.morphology import box_around
from grader.fries.numbered import where_two_meet
from grader.fries.rims import without_rims
from grader.fries.seams import SIGNS, Meetings, seam_logit, signs_of
from grader.fries.sight import Sight
from grader.fries.summits import summits
from grader.fries.view import View

_VALLEY_WIDTH_PX = 1.7
_SEAM_FROM = 0.12
_DEPTH_STEP_PX = 0.7
_SEAM_PULL = 8.0
_MARGIN_MM = 6.0
"""Beyond what the widest filter reaches."""
_NO_CUTS = np.zeros((0, 2), np.int64), np.zeros((0, SIGNS)), np.zeros(0)


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


def cut_into_pieces(view: View, sight: Sight, foreground: MaskArray) -> Pieces:
    """The pieces of the foreground (h, w), and how likely each cut between them is a seam."""
    labels, cuts, signs, length = seam_signs(view, sight, foreground)
    return Pieces(labels=labels, cuts=cuts, seam_logit=seam_logit(signs), cut_length_px=length)


def seam_signs(view: View, sight: Sight, foreground: MaskArray) -> tuple[IntArray, IntArray, FloatArray, FloatArray]:
    """Labels of the pieces (h, w), the pairs that meet (m, 2), the signs of each cut (m, k), its length (m,), px.

    Looked for around the foreground alone: often half the picture.
    """
    labels = np.zeros(foreground.shape, np.int64)
    if not foreground.any():
        return labels, *_NO_CUTS
    box = box_around(foreground, _MARGIN_MM)
    labels[box], cuts, signs, length = _seam_signs(view.within(box), sight.within(box), foreground[box])
    return labels, cuts, signs, length


def _seam_signs(view: View, sight: Sight, foreground: MaskArray) -> tuple[IntArray, IntArray, FloatArray, FloatArray]:
    """Watershed from the middles of what the seams leave over, so that seams and necks become cuts."""
    valley = _valley(view.luminance_log)
    core = foreground & (valley < _SEAM_FROM) & (sight.seam_logit < 0)
    distance = cv2.distanceTransform(core.astype(np.uint8), cv2.DIST_L2, 5)
    depth = np.asarray(cv2.GaussianBlur(distance, (0, 0), 1.0), np.float32)
    pull = np.maximum(np.minimum(valley, 0.5), 0.5 / (1 + np.exp(-sight.seam_logit)))
    ground = -depth + _SEAM_PULL * pull
    flooded = watershed(ground, _middles(depth), mask=foreground)
    labels = without_rims(flooded.astype(np.uint16)).astype(np.int64)
    meetings = _meetings(labels)
    if len(meetings.cuts) == 0:
        return labels, *_NO_CUTS
    signs, length = signs_of(view, sight, labels, valley, meetings)
    return labels, meetings.cuts, signs, length


def _middles(depth: Float32Array) -> IntArray:
    """(h, w) a number on each summit of the depth that stands out; found at half the size, as depth is smooth."""
    middles = np.zeros(depth.shape, np.int64)
    middles[::2, ::2], _ = ndimage.label(summits(np.ascontiguousarray(depth[::2, ::2]), _DEPTH_STEP_PX))
    return middles


def _valley(luminance: Float32Array) -> Float32Array:
    """How sharply it brightens to both sides: the largest curvature of log luminance, 0 on ridges and flats."""
    hessian = hessian_matrix(luminance, sigma=_VALLEY_WIDTH_PX, order="rc", use_gaussian_derivatives=False)
    return np.asarray(np.maximum(hessian_matrix_eigvals(hessian)[0], 0) * _VALLEY_WIDTH_PX**2, np.float32)


def _meetings(labels: IntArray) -> Meetings:
    place = np.arange(labels.size).reshape(labels.shape)
    numbers, meetings = int(labels.max()) + 1, []
    for here, there in _NEIGHBOURS:
        rows, columns = where_two_meet(labels[here], labels[there])
        a, b = labels[here][rows, columns], labels[there][rows, columns]
        pairs = np.minimum(a, b) * numbers + np.maximum(a, b)
        meetings += [pairs * labels.size + place[side][rows, columns] for side in (here, there)]
    pairs, pixel = np.divmod(np.unique(np.concatenate(meetings)), labels.size)
    cuts, pair = np.unique(pairs, return_inverse=True)
    return Meetings(cuts=np.column_stack(np.divmod(cuts, numbers)), pair=pair, pixel=pixel)


_ALL, _HEAD, _TAIL = slice(None), slice(None, -1), slice(1, None)
_NEIGHBOURS = (
    ((_ALL, _HEAD), (_ALL, _TAIL)),
    ((_HEAD, _ALL), (_TAIL, _ALL)),
    ((_HEAD, _HEAD), (_TAIL, _TAIL)),
    ((_HEAD, _TAIL), (_TAIL, _HEAD)),
)
