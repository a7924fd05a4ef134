"""What the camera made of a found chart's patches."""

import numpy as np

from grader.arrays import FloatArray, PixelArray, frozen
from grader.card.homography import apply_homography
from grader.card.sampling import sample_points
from grader.card.squares import BLOCKS, CLIPPED_LIMIT, UNEVEN_LIMIT, block_means, mean_u, trimmed_mean, unevenness
from grader.chart.model import PATCH_CENTRES, ChartReadings

READ_SIDE = 0.44
"""Side of the square that is read, pitches: a patch fills 0.85 to 0.95 of its pitch, and the rest is for blur, for
sharpening and for a grid that lies a little off."""
_MOST_PER_SIDE = 40


def read_chart(pixels: PixelArray, homography: FloatArray) -> ChartReadings:
    """The patches of a chart in linear light.

    Parameters
    ----------
    pixels
        (h, w, 3) RGB, sRGB-encoded, uint8 or uint16.
    homography
        (3, 3) pitches to px.
    """
    points = chart_points(homography, READ_SIDE, _points_per_side(homography))
    light, clipped, inside = sample_points(pixels, points)
    blocks = block_means(light)
    burnt = clipped.mean(axis=(1, 2)) > CLIPPED_LIMIT
    even = unevenness(blocks) <= UNEVEN_LIMIT
    return ChartReadings(
        rgb=frozen(trimmed_mean(light)),
        rgb_u=frozen(mean_u(light, blocks)),
        clipped=frozen(burnt),
        usable=frozen(inside & even & ~burnt),
    )


def chart_points(homography: FloatArray, side: float, per_side: int) -> FloatArray:
    """(24, k, k, 2) px of an even grid of points over a square, `side` pitches wide, in the middle of each patch."""
    steps = ((np.arange(per_side) + 0.5) / per_side - 0.5) * side
    grid = np.stack(np.meshgrid(steps, steps), -1)
    return apply_homography(homography, PATCH_CENTRES[:, None, None, :] + grid)


def _points_per_side(homography: FloatArray) -> int:
    """As many points as pixels, but for very large charts, in whole blocks."""
    centres = apply_homography(homography, PATCH_CENTRES).reshape(4, 6, 2)
    pitch_px = float(np.linalg.norm(np.diff(centres, axis=1), axis=-1).mean())
    return int(np.clip(round(READ_SIDE * pitch_px), 2 * BLOCKS, _MOST_PER_SIDE)) // BLOCKS * BLOCKS
