"""Corners of tags to a few hundredths of a pixel: a line fitted to each side of the black square, in linear light.

In linear light blur moves no edge, while in encoded light a blurred edge creeps into the black; and a side's line,
fitted well away from the ends, doesn't feel how blur rounds the corners.
"""

from typing import cast

import cv2
import numpy as np

from grader.arrays import Float32Array, FloatArray, PixelArray
from grader.card.tags import MODULES
from grader.photo.srgb import linear_light

_ALONG = np.linspace(0.12, 0.88, 48)
_PLACES = np.linspace(0, 1, len(_ALONG))
_LUMINANCE = np.array([0.2126, 0.7152, 0.0722], np.float32)
_REACH_MODULES = 0.45
"""How far a side is looked for to either side, in modules: the border is one module wide, the white beyond wider."""
_LEAST_REACH_PX = 1.5
_STEP_PX = 0.25
_OUTLIER_MADS = 4.0
_LEAST_MAD_PX = 0.02
_ROUNDS = 3
"""After two, corners still depend on the first guess by 0.07 px, after three by 0.04."""


def refine_corners(pixels: PixelArray, corners_px: FloatArray) -> FloatArray:
    """(4, 2) corners of one tag, refined from a first guess (4, 2) that is off by less than half a module."""
    side = np.linalg.norm(corners_px - np.roll(corners_px, -1, axis=0), axis=1).mean()
    reach = max(_REACH_MODULES * side / MODULES, _LEAST_REACH_PX)
    light, origin = _light_around(pixels, corners_px, margin=reach + 2)
    refined = corners_px - origin
    for _ in range(_ROUNDS):
        lines = _side_lines(light, refined, reach)
        refined = np.array([_crossing(lines[k - 1], lines[k]) for k in range(4)])
    return refined + origin


def _light_around(pixels: PixelArray, corners_px: FloatArray, *, margin: float) -> tuple[Float32Array, FloatArray]:
    """Luminance of the part of the photo around a tag, and where that part begins (x, y)."""
    height, width = pixels.shape[:2]
    x0, y0 = np.clip(np.floor(corners_px.min(axis=0) - margin), 0, [width - 1, height - 1]).astype(int)
    x1, y1 = np.clip(np.ceil(corners_px.max(axis=0) + margin), 0, [width - 1, height - 1]).astype(int)
    return linear_light(pixels[y0 : y1 + 1, x0 : x1 + 1]) @ _LUMINANCE, np.array([x0, y0], float)


def _side_lines(light: Float32Array, corners: FloatArray, reach: float) -> list[FloatArray]:
    """(3,) the line a x + b y + c = 0 along each side of a tag, by its corners (4, 2): the first from the first on."""
    ways = [end - start for start, end in zip(corners, np.roll(corners, -1, axis=0), strict=True)]
    outward = np.array(
        [np.array([way[1], -way[0]]) / np.linalg.norm(way) for way in ways]
    )  # corners run clockwise: white lies to the left
    feet = corners[:, None] + _ALONG[:, None] * np.array(ways)[:, None]
    steps = np.arange(-reach, reach + _STEP_PX / 2, _STEP_PX)
    places = (feet[:, :, None] + steps[:, None] * outward[:, None, None]).astype(np.float32)
    x, y = np.moveaxis(places.reshape(-1, len(steps), 2), -1, 0)
    profiles = cast("Float32Array", cv2.remap(light, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE))
    rises = np.maximum(np.diff(profiles.astype(float), axis=1), 0).reshape(*feet.shape[:2], -1)
    return [_edge(*of_side, steps[:-1] + _STEP_PX / 2) for of_side in zip(rises, feet, outward, strict=True)]


def _edge(rise: FloatArray, feet: FloatArray, outward: FloatArray, steps: FloatArray) -> FloatArray:
    """(3,) the line where the light rises (k, steps) most, so far (steps,) outward from the feet (k, 2) of a side."""
    total = rise.sum(axis=1)
    seen = total > 0
    if seen.sum() < 2:
        return _line(outward, feet[0])
    offset = (rise[seen] @ steps) / total[seen]
    place = _PLACES[seen]
    kept = np.ones(len(offset), bool)
    slope = level = 0.0
    for _ in range(3):
        slope, level = _straight(place[kept], offset[kept])
        misfit = np.abs(offset - (slope * place + level))
        kept = misfit <= _OUTLIER_MADS * max(float(np.median(misfit)), _LEAST_MAD_PX)
    first, last = feet[0] + level * outward, feet[-1] + (level + slope) * outward
    direction = (last - first) / np.linalg.norm(last - first)
    return _line(np.array([direction[1], -direction[0]]), first)


def _straight(x: FloatArray, y: FloatArray) -> tuple[float, float]:
    """Slope and level at 0 of the straight line through points, by least squares."""
    off = x - x.mean()
    slope = float(off @ y / (off @ off))
    return slope, float(y.mean()) - slope * float(x.mean())


def _line(normal: FloatArray, through: FloatArray) -> FloatArray:
    return np.array([normal[0], normal[1], -normal @ through])


def _crossing(one: FloatArray, other: FloatArray) -> FloatArray:
    x, y, w = np.cross(one, other)
    return np.array([x / w, y / w])
