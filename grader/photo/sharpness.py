"""How far a photo is blurred, as the standard deviation of the blur across edges.

Beside a card: on the outlines of its tags' black squares on white, which are perfect steps. Without one: on the
steepest edges that the picture has. A hand that moves blurs in one direction only, so each direction is measured by
itself and the worst one counts.
"""

from typing import cast

import cv2
import numpy as np

from grader.arrays import Float32Array, FloatArray, PixelArray
from grader.photo.srgb import linear_light

RISE_OF_UNIT_BLUR = 2.563
"""10 to 90 % rise of a step blurred by a Gaussian of standard deviation 1: twice its 90 % quantile."""

PEAK_OF_UNIT_BLUR = 1 / np.sqrt(2 * np.pi)
"""Steepest slope of that step."""

MODULES_PER_SQUARE = 8
"""Modules across the black square of an AprilTag 36h11: six of code and a black border of one on either side."""

COMPARED_AT_PX = 1000
"""Shorter side to which a photo is brought before its blur is judged without a card."""

_STEP_PX = 0.25
_LEAST_CONTRAST = 0.004
_LEAST_EDGE_PIXELS = 150


def edge_blur_px(pixels: PixelArray, squares_px: FloatArray) -> float:
    """Standard deviation of the blur in its worst direction, px, from the outlines of tags.

    Each side is sampled across, over most of a module either way, and averaged along; what counts is the distance in
    which it rises from 10 to 90 % of the step. The sides fall into two groups by their direction; each group's median
    is robust against a finger over some of them. A blur wider than a module can't be told from one a module wide: the
    result is then about half a module, and from a quarter of one on it
    reads low. Includes the camera's own sharpening, which makes it smaller.

    Parameters
    ----------
    pixels
        (h, w, 3), the whole photo.
    squares_px
        (n, 4, 2) corners of the tags' black squares, in order around each.

    Returns
    -------
    float
        nan where no side shows enough contrast.
    """
    corners = np.asarray(squares_px, dtype=np.float64).reshape(-1, 4, 2)
    blurs = np.array([_sides_blur(pixels, square) for square in corners]).reshape(-1, 4)
    sides = np.roll(corners, -1, axis=1) - corners
    upright = np.abs(sides[..., 1]) > np.abs(sides[..., 0])
    groups = [blurs[group & np.isfinite(blurs)] for group in (upright, ~upright)]
    return max((float(np.median(group)) for group in groups if group.size), default=float("nan"))


def _sides_blur(pixels: PixelArray, square: FloatArray) -> list[float]:
    """Blur on each of a square's four sides, px; nan where a side shows no step."""
    side_px = float(np.mean(np.linalg.norm(np.roll(square, -1, axis=0) - square, axis=1)))
    reach = 0.85 * side_px / MODULES_PER_SQUARE
    low = np.floor(square.min(axis=0) - reach - 2).astype(int).clip(0)
    high = np.ceil(square.max(axis=0) + reach + 2).astype(int)
    crop = pixels[low[1] : high[1], low[0] : high[0]]
    if min(crop.shape[:2]) < 2 or reach < 1:
        return [float("nan")] * 4
    grey = linear_light(crop).mean(axis=2)
    local = square - low
    return [_side_blur(grey, local[i], local[(i + 1) % 4], local.mean(axis=0), reach) for i in range(4)]


def _side_blur(grey: Float32Array, start: FloatArray, end: FloatArray, centre: FloatArray, reach: float) -> float:
    along = (end - start) / np.linalg.norm(end - start)
    outward = np.array([along[1], -along[0]])
    outward *= np.sign(outward @ ((start + end) / 2 - centre))
    across = np.arange(-reach, reach + _STEP_PX / 2, _STEP_PX)
    places = start + (end - start) * np.linspace(0.12, 0.88, 41)[:, None]
    points = (places[:, None] + outward * across[None, :, None]).astype(np.float32)
    profiles = cv2.remap(grey, points[..., 0], points[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return _rise(np.mean(profiles, axis=0, dtype=np.float64)) * _STEP_PX / RISE_OF_UNIT_BLUR


def _rise(profile: FloatArray) -> float:
    """Samples in which a rising step goes from 10 to 90 % of the way between its ends; nan where it doesn't rise."""
    outer = profile.size // 4
    dark, bright = np.median(profile[:outer]), np.median(profile[-outer:])
    if bright - dark < _LEAST_CONTRAST:
        return float("nan")
    level = (profile - dark) / (bright - dark)
    below = np.flatnonzero(level[:-outer] <= 0.1)
    above = np.flatnonzero(level[outer:] >= 0.9) + outer
    left = _crossing(level, int(below[-1]), 0.1) if below.size else 0.0
    right = _crossing(level, int(above[0]) - 1, 0.9) if above.size else float(profile.size - 1)
    return right - left


def _crossing(level: FloatArray, before: int, value: float) -> float:
    return before + float((value - level[before]) / (level[before + 1] - level[before]))


def overall_blur(pixels: PixelArray) -> float:
    """Standard deviation of the blur in its worst direction without a card, thousandths of the photo's shorter side.

    The steepest slope of an edge, over the edge's height, is 0.4 over the blur. It is looked for along four directions
    in every part of the picture; the tenth of the parts with the sharpest edges speaks, so that a background out of
    focus does not.

    Parameters
    ----------
    pixels
        (h, w, 3), the whole photo.

    Returns
    -------
    float
        nan where the picture holds no edges.
    """
    height, width = pixels.shape[:2]
    scale = COMPARED_AT_PX / min(height, width)
    size = (round(width * scale), round(height * scale))
    small = cast("PixelArray", cv2.resize(pixels, size, interpolation=cv2.INTER_AREA))
    grey = linear_light(small).mean(axis=2)
    blurs = [_blur_along(grey, step) for step in ((0, 1), (1, 0), (1, 1), (1, -1))]
    return max((blur for blur in blurs if np.isfinite(blur)), default=float("nan"))


def _blur_along(grey: Float32Array, step: tuple[int, int], *, reach: int = 12, tile: int = 128) -> float:
    """Blur along one direction, px: from the slope at each pixel over the height of the edge that it lies on."""
    line = np.zeros((2 * reach + 1, 2 * reach + 1), np.uint8)
    offsets = np.arange(-reach, reach + 1)
    line[reach + step[0] * offsets, reach + step[1] * offsets] = 1
    height = cv2.dilate(grey, line) - cv2.erode(grey, line)
    slope = np.abs(np.roll(grey, (-step[0], -step[1]), axis=(0, 1)) - grey) / np.hypot(*step)
    on_edge = height > 0.1 * np.percentile(grey, 99)
    steepness = np.where(on_edge, slope / np.maximum(height, 1e-6), np.nan)[reach:-reach, reach:-reach]
    rows, columns = steepness.shape[0] // tile, steepness.shape[1] // tile
    whole = steepness[: rows * tile, : columns * tile].reshape(rows, tile, columns, tile)
    tiles = whole.swapaxes(1, 2).reshape(rows * columns, -1)
    tiles = tiles[np.isfinite(tiles).sum(axis=1) >= _LEAST_EDGE_PIXELS]
    if tiles.shape[0] == 0:
        return float("nan")
    steepest = np.nanpercentile(tiles, 99, axis=1)
    return float(PEAK_OF_UNIT_BLUR / np.percentile(steepest, 90))
