"""The CIE 2000 colour difference."""

import cmath
import math

import numpy as np
from numpy.typing import ArrayLike

from grader.arrays import FloatArray, MaskArray

_TWENTY_FIVE_7 = 25.0**7
_HUE_1, _HUE_2, _HUE_3, _HUE_4 = (
    amount * cmath.exp(1j * math.radians(ahead))
    for amount, ahead in ((-0.17, -30.0), (0.24, 0.0), (0.32, 6.0), (-0.20, -63.0))
)
"""Amount and phase of the waves in `_hue_weight`."""


def ciede2000(lab_1: ArrayLike, lab_2: ArrayLike) -> FloatArray:
    """CIE 2000 difference (...) between CIELAB colours (..., 3), parametric factors 1.

    Source: ISO/CIE 11664-6; the order of computing and its traps as in Sharma, Wu & Dalal, Color Res. Appl. 30 (2005).
    """
    lab_1, lab_2 = np.asarray(lab_1, float), np.asarray(lab_2, float)
    lightness = (lab_1[..., 0] + lab_2[..., 0]) / 2
    chroma = (_length(lab_1[..., 1], lab_1[..., 2]) + _length(lab_2[..., 1], lab_2[..., 2])) / 2
    stretch = 1.5 - 0.5 * _chroma_share(chroma)
    chroma_1, hue_1 = _polar(lab_1[..., 1] * stretch, lab_1[..., 2])
    chroma_2, hue_2 = _polar(lab_2[..., 1] * stretch, lab_2[..., 2])
    mean_chroma = (chroma_1 + chroma_2) / 2
    turn, mean_hue = _hues(hue_1, hue_2, grey=chroma_1 * chroma_2 == 0)

    d_lightness = (lab_2[..., 0] - lab_1[..., 0]) / _lightness_weight(lightness)
    d_chroma = (chroma_2 - chroma_1) / (1 + 0.045 * mean_chroma)
    d_hue = 2 * np.sqrt(chroma_1 * chroma_2) * np.sin(np.radians(turn / 2))
    d_hue = d_hue / (1 + 0.015 * mean_chroma * _hue_weight(mean_hue))
    blue = -2 * _chroma_share(mean_chroma) * np.sin(np.radians(60 * np.exp(-(((mean_hue - 275) / 25) ** 2))))
    squared = d_lightness**2 + d_chroma**2 + d_hue**2 + blue * d_chroma * d_hue
    # The form is positive definite; rounding alone can bring it below zero where both colours are the same.
    return np.asarray(np.sqrt(np.maximum(squared, 0.0)), float)


def _chroma_share(chroma: FloatArray) -> FloatArray:
    power = chroma**7
    return np.asarray(np.sqrt(power / (power + _TWENTY_FIVE_7)), float)


def _polar(a: FloatArray, b: FloatArray) -> tuple[FloatArray, FloatArray]:
    hue = np.degrees(np.arctan2(b, a))
    return _length(a, b), np.where(hue < 0, hue + 360, hue)


def _length(a: FloatArray, b: FloatArray) -> FloatArray:
    return np.asarray(np.sqrt(a * a + b * b))  # np.hypot, safe from overflow, takes ten times as long


def _hues(hue_1: FloatArray, hue_2: FloatArray, *, grey: MaskArray) -> tuple[FloatArray, FloatArray]:
    """The turn from one hue to the other, the shorter way round, and the hue halfway; a grey has none of its own."""
    turn = hue_2 - hue_1
    far = np.abs(turn) > 180
    turn = np.where(far, turn - 360 * np.sign(turn), turn)
    total = hue_1 + hue_2
    halfway = np.where(far, np.where(total < 360, total + 360, total - 360), total) / 2
    return np.where(grey, 0.0, turn), np.where(grey, total, halfway)


def _lightness_weight(lightness: FloatArray) -> FloatArray:
    off = (lightness - 50) ** 2
    return 1 + 0.015 * off / np.sqrt(20 + off)


def _hue_weight(hue: FloatArray) -> FloatArray:
    """T of the standard: 1 - 0.17 cos(h - 30) + 0.24 cos(2 h) + 0.32 cos(3 h + 6) - 0.20 cos(4 h - 63), degrees.

    By the powers of one number of the unit circle: a cosine takes as long as ten products.
    """
    turn = np.empty(np.shape(hue), complex)
    r = np.radians(hue)
    turn.real, turn.imag = np.cos(r), np.sin(r)
    return np.asarray(1 + (turn * (_HUE_1 + turn * (_HUE_2 + turn * (_HUE_3 + turn * _HUE_4)))).real, float)
