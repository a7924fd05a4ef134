"""How likely a cut between two pieces is a seam between two fries: what shows along it and on both sides of it.

Between fries that lie side by side the light sinks in: a dark seam. Where one lies on another there need be none, but
an edge that runs on, and what lies beside it on either side differs, be it only by the upper fry's shadow. What the
network says of seams, heights and directions are four signs more.
"""

from dataclasses import dataclass
from itertools import pairwise

import cv2
import numpy as np
from scipy import ndimage

from grader.arrays import Float32Array, FloatArray, IntArray
from grader.fries.sight import Sight
from grader.fries.view import View

SIGNS = 22
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


# A logistic regression on the signs, made by calibration/fit_seams.py from 9911 cuts on 79 rendered plates that the
# network was not trained on; 97.9 % right on plates left out.
_MEAN = _numbers("""
0.4773 0.2643 0.308 0.1037 0.147 3.366 -0.004568 1.937 0.6548 0.0223 0.316 1.572 0.3124 0.134 0.1833 0.05011
0.02656 -0.1281 -0.663 0.505 5.112 0.6176
""")
_SPREAD = _numbers("""
0.3221 0.391 0.3431 0.2149 0.1631 0.6662 0.6486 1.82 0.2388 0.02374 0.1175 0.4372 0.3444 0.2707 0.204 0.1797
0.02882 0.2176 2.861 0.4556 6.18 0.7044
""")
_WEIGHT = _numbers("""
-0.1777 0.6325 -0.006185 0.1457 0.331 0.5233 -0.6011 0.2925 0.01578 -0.01281 0.7789 0.06024 0.4525 0.8011
0.1032 -0.294 0.3572 -0.1477 2.931 0.4545 0.7581 2.328
""")
_BIAS = 1.4496


def seam_logit(signs: FloatArray) -> FloatArray:
    """(m,) log odds that a cut is a seam, from its signs (m, 22)."""
    return np.asarray(np.clip(as_usual(signs, _MEAN, _SPREAD) @ _WEIGHT + _BIAS, *_LOGIT_RANGE))


def as_usual(signs: FloatArray, mean: FloatArray, spread: FloatArray) -> FloatArray:
    """(m, k) signs as so many spreads (k,) from the mean (k,); none counts as farther than any that was fitted."""
    return np.clip((signs - mean) / spread, -_SIGN_RANGE, _SIGN_RANGE)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Meetings:
    """Where pieces meet.

    Attributes
    ----------
    cuts
        (m, 2) the pairs of pieces that do.
    pair, pixel
        (n,) of each pixel along a cut, the cut's row and the pixel's flat place.
    """

    cuts: IntArray
    pair: IntArray
    pixel: IntArray


def signs_of(
    view: View, sight: Sight, labels: IntArray, valley: Float32Array, meetings: Meetings
) -> tuple[FloatArray, FloatArray]:
    """(m, 22) what speaks for or against a seam at each cut, and (m,) the cut's length, px.

    Parameters
    ----------
    labels, valley
        (h, w) the pieces; how sharply it brightens to both sides.
    meetings
        Which of them meet where.
    """
    cuts, pair, pixel = meetings.cuts, meetings.pair, meetings.pixel
    count = np.bincount(pair)
    length = count / 2

    def along(values: Float32Array) -> FloatArray:
        return np.asarray(np.bincount(pair, values.ravel()[pixel].astype(float)) / count)

    light, yellow, red = view.luminance_log, view.yellowness_log, view.redness_log
    down, right = np.gradient(cv2.GaussianBlur(view.lightness, (0, 0), _EDGE_BLUR_PX))
    steepness = np.asarray(np.hypot(down, right), np.float32)
    high, one_way, other_way = sight.height_mm, sight.direction[..., 0], sight.direction[..., 1]
    light_whole, yellow_whole, red_whole, high_whole, one_way_whole, other_way_whole = _by_sides(
        (light, yellow, red, high, one_way, other_way), labels, cuts
    )
    light_near, yellow_near, red_near, high_near = _just_beside(
        ((light, light_whole), (yellow, yellow_whole), (red, red_whole), (high, high_whole)), labels, meetings
    )
    seam = np.clip(sight.seam_logit, *_LOGIT_RANGE)
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
        along(seam),
        along((seam > 0).astype(np.float32)),
        _differ(high_near),
        np.hypot(_differ(one_way_whole), _differ(other_way_whole)),
    ]
    return np.column_stack(signs), length


def _differ(sides: FloatArray) -> FloatArray:
    return np.asarray(np.abs(sides[:, 0] - sides[:, 1]))


def _by_sides(pictures: tuple[Float32Array, ...], labels: IntArray, cuts: IntArray) -> FloatArray:
    """(p, m, 2) of each picture the median over the whole piece on either side."""
    numbers = labels.astype(np.min_scalar_type(labels.max()))  # few bytes a number are sorted far faster
    pixels = np.argsort(numbers, axis=None, kind="stable")
    ends = np.cumsum(np.bincount(labels.ravel()))
    values = np.stack([picture.ravel()[pixels[ends[0] :]] for picture in pictures])
    medians = np.full((len(pictures), len(ends)), np.nan)
    for piece, (start, stop) in enumerate(pairwise(ends - ends[0]), start=1):
        if stop > start:
            medians[:, piece] = np.median(values[:, start:stop], axis=1)
    return medians[:, cuts]


def _just_beside(
    pictures: tuple[tuple[Float32Array, FloatArray], ...],
    labels: IntArray,
    meetings: Meetings,
) -> list[FloatArray]:
    """(m, 2) of each picture: its mean on either side, just beside the cut, or all over a thinner piece."""
    cuts = meetings.cuts
    flat = np.full(labels.size, -1)
    flat[meetings.pixel] = meetings.pair
    cut_of = flat.reshape(labels.shape)
    places = np.flatnonzero(labels)
    index = ndimage.distance_transform_edt(cut_of < 0, return_distances=False, return_indices=True)
    nearest = np.asarray(index).reshape(2, -1)[:, places]
    apart = np.hypot(*(np.divmod(places, labels.shape[1]) - nearest))
    near = (apart >= _NEAR_PX[0]) & (apart <= _NEAR_PX[1])
    places = places[near]
    cut, piece = cut_of[tuple(nearest[:, near])], labels.ravel()[places]
    second = piece == cuts[cut, 1]
    counts = second | (piece == cuts[cut, 0])
    places, key = places[counts], (2 * cut + second)[counts]
    seen = np.bincount(key, minlength=2 * len(cuts))
    means = []
    for values, whole in pictures:
        sums = np.bincount(key, values.ravel()[places].astype(float), minlength=2 * len(cuts))
        mean = (sums / np.maximum(seen, 1)).reshape(-1, 2)
        means.append(np.where(seen.reshape(-1, 2) > 0, mean, whole))
    return means
