"""How flesh browns: what lightness and chroma it passes through.

Lightness alone is an uneven clock: pale flesh loses 4 L* in the frying that costs brown flesh 9, and its natural
unevenness grows alike. Steps of browning make a dark end on pale and on brown flesh one thing.
"""

import numpy as np

from grader.arrays import FloatArray

_LIGHTNESS = (74.0, 70.0, 65.5, 60.0, 53.0, 44.5, 35.0)
_CHROMA = (21.5, 27.0, 32.5, 36.5, 36.5, 32.0, 22.5)
"""CIELAB L* and C* of flesh after even steps of frying: the seven steps of the scale that the grader ships, rounded to
0.5. They serve as a clock and as what flesh looks like; nothing is judged by them."""


def browning_steps(lightness: FloatArray) -> FloatArray:
    """Steps of browning (n,), 0 at the palest, of L* (n,); beyond either end at that end's pace. nan stays nan."""
    steps = np.interp(-lightness, -np.array(_LIGHTNESS), np.arange(len(_LIGHTNESS), dtype=float))
    paler = np.maximum(lightness - _LIGHTNESS[0], 0) / (_LIGHTNESS[0] - _LIGHTNESS[1])
    darker = np.maximum(_LIGHTNESS[-1] - lightness, 0) / (_LIGHTNESS[-2] - _LIGHTNESS[-1])
    return np.asarray(steps - paler + darker)


def flesh_chroma(lightness: FloatArray) -> FloatArray:
    """C* (n,) of flesh that browned to L* (n,)."""
    return np.interp(-lightness, -np.array(_LIGHTNESS), _CHROMA)


def without_shade(lab: FloatArray) -> FloatArray:
    """(n, 2) a* and b* over L* + 16 of CIELAB (n, 3): what shade leaves alone.

    Less of the same light scales X, Y and Z by one factor; CIELAB's cube roots (CIE 15:2018, 8.2.1, above its linear
    toe) turn it into a factor on L* + 16, a* and b*.
    """
    return np.asarray(lab[:, 1:] / (lab[:, :1] + 16))
