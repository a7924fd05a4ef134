"""Tells skin from flesh on a fry's top face.

A cut fry's face that was the potato's outside is skin all along, but for a margin where its edges brown. Skin is dark
and duller than flesh that is fried as dark. And a face of flesh is lightest in its middle: its rounded edges get less
light and brown more. Where the middle is duller and no lighter than its margins, it is skin.
"""

import numpy as np

from grader.arrays import FloatArray, MaskArray
from grader.fries.browning import flesh_chroma
from grader.fries.field import Field, TopFace, smooth
from grader.quantiles import median

_MIDDLE, _MARGIN = 0.4, 0.78
"""Of the top face's half width. Skin leaves a margin of about a quarter of the half width."""
_LIGHTEST_SKIN = 54.0
_LEAST_EVIDENCE = 11.0
"""CIELAB units, three differences together: what the middle's chroma lacks of flesh as light, and how much lighter and
more colourful the margins are. On rendered plates flesh has -3 +- 6, skin 20 +- 8."""
_BESIDE_ENDS_MM = 3.0
LIGHT_BESIDE_SKIN, LIGHT_BESIDE_SKIN_U = 0.82, 0.08
"""The flesh left beside a strip of skin is the face's rounded margins: how bright those are against a whole face of
flesh (median and sd over fries without skin on rendered plates)."""
_LEAST_PIXELS = 10
_SMOOTH_MM = 1.2
_ALL_SKIN_WITHIN = 6.0
"""CIELAB difference between middle and margin under which the strip runs over that margin too."""


def skin_mask(lab: FloatArray, face: TopFace) -> MaskArray:
    """(k,) True where a pixel of the top face shows skin; flanks, half in shade, are not told.

    Parameters
    ----------
    lab
        (k, 3) CIELAB of a fry's pixels.
    face
        Its top face.
    """
    on_top, place, field = face.shown, face.place, face.field
    none = np.zeros(len(lab), bool)
    ends = np.round(_BESIDE_ENDS_MM / field.cell_mm)
    inner = on_top & (field.rows >= field.rows.min() + ends) & (field.rows <= field.rows.max() - ends)
    parts = [inner & (np.abs(place) < _MIDDLE), inner & (place < -_MARGIN), inner & (place > _MARGIN)]
    if min(int(part.sum()) for part in parts) < _LEAST_PIXELS:
        return none
    middle, *margins = (_medians(lab.T.compress(part, axis=1)) for part in parts)
    if middle[0] > _LIGHTEST_SKIN or _evidence(middle, np.mean(margins, axis=0)) < _LEAST_EVIDENCE:
        return none
    around = _smoothed(lab, on_top, field)
    first = _nearer_to(middle, margins[0], around) & (place <= 0)
    second = _nearer_to(middle, margins[1], around) & (place > 0)
    return np.asarray(on_top & (first | second))


def _medians(lab: FloatArray) -> FloatArray:
    """(3,) of CIELAB (3, k), channel by channel."""
    return np.array([median(channel) for channel in lab])


def _evidence(middle: FloatArray, margin: FloatArray) -> float:
    chroma, margin_chroma = float(np.hypot(middle[1], middle[2])), float(np.hypot(margin[1], margin[2]))
    duller = float(flesh_chroma(middle[:1])[0]) - chroma
    return duller + (margin_chroma - chroma) + float(margin[0] - middle[0])


def _smoothed(lab: FloatArray, on_top: MaskArray, field: Field) -> FloatArray:
    """(k, 3) means of the top face's pixels around each."""
    shown = field.where(on_top)
    sigma = _SMOOTH_MM / 2 / field.cell_mm
    weight = np.maximum(smooth(shown.astype(float), sigma), 1e-6)
    channels = []
    for channel in lab.T:
        picture = np.where(shown, field.picture(channel), 0.0)
        channels.append((smooth(picture, sigma) / weight)[field.rows, field.columns])
    return np.stack(channels, axis=1)


def _nearer_to(middle: FloatArray, margin: FloatArray, lab: FloatArray) -> MaskArray:
    """(k,) True where a colour lies on the middle's side of half way to the margin's."""
    way = margin - middle
    if np.linalg.norm(way) < _ALL_SKIN_WITHIN:
        return np.ones(len(lab), bool)
    return np.asarray((lab - middle) @ way < 0.5 * float(way @ way))
