"""How likely a cut between two pieces is a seam between two fries: what shows along it and on both sides of it.

Between fries that lie side by side the light sinks in: a dark seam. Where one lies on another there need be none, but
an edge that runs on, and what lies beside it on either side differs, be it only by the upper fry's shadow.
"""

import cv2
import numpy as np
from scipy import ndimage

from grader.arrays import Float32Array, FloatArray, IntArray
from grader.fries.medians import medians_of
from grader.fries.view import View

SIGNS = 18
_NEAR_PX = 2.0, 6.0
"""What counts as just beside a cut."""
_STEEP, _STEEPEST = 1.5, 16.0
"""L* a pixel."""
_VALLEY = 0.1
_EDGE_BLUR_PX = 1.2
_SIGN_RANGE = 2.5
_LOGIT_RANGE = (-4.0, 4.0)


def _numbers(text: str) -> FloatArray:
    return np.array(text.split(), float)


# A logistic regression on the eighteen signs, made by calibration/fit_seams.py from 8107 cuts on 109 rendered plates;
# 95 % right on other plates, 88 % where fries cross.
_MEAN = _numbers("""
0.4919 0.4054 0.1896 0.06903 0.07704 3.542 -0.01337 1.163 0.5523 0.01423 0.3155 1.437 0.2134 0.1961 0.1009
0.03095 0.01658 -0.1975
""")
_SPREAD = _numbers("""
0.3852 0.4769 0.3141 0.1972 0.09992 0.64 0.6367 1.089 0.2055 0.01934 0.1583 0.3333 0.3104 0.3105 0.1443 0.1736
0.02318 0.2288
""")
_WEIGHT = _numbers("""
0.7069 1.541 0.2247 0.2625 0.4943 0.07868 -1.06 -0.6535 1.067 0.384 0.9879 -0.766 0.3533 0.9705 -0.02336
0.1192 -0.1474 0.308
""")
_BIAS = -1.2009


def seam_logit(signs: FloatArray) -> FloatArray:
    """(m,) log odds that a cut is a seam, from its signs (m, 18)."""
    return np.asarray(np.clip(as_usual(signs, _MEAN, _SPREAD) @ _WEIGHT + _BIAS, *_LOGIT_RANGE))


def as_usual(signs: FloatArray, mean: FloatArray, spread: FloatArray) -> FloatArray:
    """(m, k) signs as so many spreads (k,) from the mean (k,); none counts as farther than any that was fitted."""
    return np.clip((signs - mean) / spread, -_SIGN_RANGE, _SIGN_RANGE)


def signs_of(
    view: View, labels: IntArray, valley: Float32Array, cuts: IntArray, pair: IntArray, pixel: IntArray
) -> tuple[FloatArray, FloatArray]:
    """(m, 18) what speaks for or against a seam at each cut, and (m,) the cut's length, px.

    Parameters
    ----------
    labels, valley
        (h, w) the pieces; how sharply it brightens to both sides.
    cuts
        (m, 2) the pairs of pieces that meet.
    pair, pixel
        (n,) of each pixel along a cut, the cut's row and the pixel's flat place.
    """
    count = np.bincount(pair)
    length = count / 2

    def along(values: Float32Array) -> FloatArray:
        return np.asarray(np.bincount(pair, values.ravel()[pixel].astype(float)) / count)

    light, yellow, red = view.luminance_log, view.yellowness_log, view.redness_log
    down, right = np.gradient(cv2.GaussianBlur(view.lightness, (0, 0), _EDGE_BLUR_PX))
    steepness = np.asarray(np.hypot(down, right), np.float32)
    light_whole, yellow_whole, red_whole = (_by_sides(values, labels, cuts) for values in (light, yellow, red))
    light_near, yellow_near, red_near = _just_beside(
        ((light, light_whole), (yellow, yellow_whole), (red, red_whole)), labels, cuts, pair, pixel
    )
    smaller = np.bincount(labels.ravel())[cuts].min(axis=1)
    signs = [
        along((valley > _VALLEY).astype(np.float32)),
        light_whole.min(axis=1) - along(light),
        _differ(light_whole),
        yellow_whole.min(axis=1) - along(yellow),
        _differ(yellow_whole),
        np.log(length),
        np.log(length / np.sqrt(smaller)),
        np.hypot(along(down), along(right)),
        along((steepness > _STEEP).astype(np.float32)),
        _differ(red_whole),
        np.sqrt(along(valley)),
        along(np.sqrt(np.minimum(steepness, _STEEPEST))),
        _differ(light_near),
        light_near.min(axis=1) - along(light),
        _differ(yellow_near),
        yellow_near.min(axis=1) - along(yellow),
        _differ(red_near),
        light_near.mean(axis=1) - light_whole.mean(axis=1),
    ]
    return np.column_stack(signs), length


def _differ(sides: FloatArray) -> FloatArray:
    return np.asarray(np.abs(sides[:, 0] - sides[:, 1]))


def _by_sides(values: Float32Array, labels: IntArray, cuts: IntArray) -> FloatArray:
    """(m, 2) the median over the whole piece on either side."""
    inside = labels > 0
    return medians_of(values[inside], labels[inside], int(labels.max()) + 1)[cuts]


def _just_beside(
    pictures: tuple[tuple[Float32Array, FloatArray], ...],
    labels: IntArray,
    cuts: IntArray,
    pair: IntArray,
    pixel: IntArray,
) -> list[FloatArray]:
    """(m, 2) of each picture: its mean on either side, just beside the cut, or all over a thinner piece."""
    flat = np.full(labels.size, -1)
    flat[pixel] = pair
    cut_of = flat.reshape(labels.shape)
    apart, nearest = ndimage.distance_transform_edt(cut_of < 0, return_indices=True)
    near = (apart >= _NEAR_PX[0]) & (apart <= _NEAR_PX[1]) & (labels > 0)
    cut, piece = cut_of[tuple(index[near] for index in nearest)], labels[near]
    second = piece == cuts[cut, 1]
    counts = second | (piece == cuts[cut, 0])
    key = (2 * cut + second)[counts]
    seen = np.bincount(key, minlength=2 * len(cuts))
    means = []
    for values, whole in pictures:
        sums = np.bincount(key, values[near][counts].astype(float), minlength=2 * len(cuts))
        mean = (sums / np.maximum(seen, 1)).reshape(-1, 2)
        means.append(np.where(seen.reshape(-1, 2) > 0, mean, whole))
    return means
