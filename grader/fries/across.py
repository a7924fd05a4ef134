"""How the light runs across a fry, side to side, the median over its length; and how far it lies off to one side."""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, LabelArray, PixelArray
from grader.card.model import Camera
from grader.card.pose import camera_height_mm, foot_mm, level_to_pixels
from grader.fries.geometry import StripGeometry
from grader.fries.medians import column_middles
from grader.photo.srgb import log_light

_BODY = 0.12, 0.88
_STEP_MM = 0.4
_REACH = 0.75
"""Widths to either side: a flank seen from aside lies beyond the half."""
_GRID = 48
_SHOWN = 0.6
"""A place across counts where so much of the length shows the fry there."""
_DARKEST = 3e-3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LightAcross:
    """How the light runs across a fry.

    Attributes
    ----------
    log_light, step_mm
        (n,) natural log of the light, evenly from right side to left, and mm from one to the next.
    leaning
        Mm that a point of the fry's middle moves to its left in the photo for each mm that it rises.
    """

    log_light: FloatArray
    step_mm: float
    leaning: float


def _leaning(strip: StripGeometry, camera: Camera) -> float:
    middle, way = strip.frame.point_and_way(strip.length_mm / 2)
    return float((middle - foot_mm(camera)) @ [-way[1], way[0]]) / camera_height_mm(camera)


def light_across(
    pixels: PixelArray, labels: LabelArray, number: int, strip: StripGeometry, camera: Camera
) -> LightAcross | None:
    """How the light runs across a fry; None where it is too small, or a gap parts it.

    Parameters
    ----------
    pixels, labels
        (h, w, 3) and (h, w), of the photo's own size; `number` is the fry's.
    strip, camera
        Its geometry, and the pose over the sheet.
    """
    along = np.arange(_BODY[0] * strip.length_mm, _BODY[1] * strip.length_mm, _STEP_MM)
    across = np.linspace(-_REACH, _REACH, _GRID) * strip.width_mm
    if len(along) < 2:
        return None
    xy = strip.frame.place(along[:, None], across)
    places = np.rint(level_to_pixels(camera, xy.reshape(-1, 2), strip.middle_height_mm)).astype(np.intp)
    x, y = places.T.reshape(2, *xy.shape[:2])
    inside = (x >= 0) & (y >= 0) & (x < labels.shape[1]) & (y < labels.shape[0])
    flat = np.where(inside, y * labels.shape[1] + x, 0)
    shown = inside & (labels.reshape(-1).take(flat) == number)
    green = pixels.reshape(-1).take(3 * flat + 1)
    cells = np.flatnonzero(shown.mean(axis=0) > _SHOWN)
    if len(cells) < _GRID // 4 or np.ptp(cells) >= len(cells):  # parts of a fry, joined by hand, leave a gap
        return None
    middles = column_middles(green[:, cells], shown[:, cells])
    light = log_light(middles, darkest=_DARKEST).mean(axis=0)
    return LightAcross(log_light=light, step_mm=float(across[1] - across[0]), leaning=_leaning(strip, camera))
