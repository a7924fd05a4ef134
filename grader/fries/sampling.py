"""One fry's pixels, straightened: drawn on an even grid along and across it."""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, IntArray, LabelArray, MaskArray, PixelArray
from grader.card.model import Camera
from grader.card.pose import level_to_pixels, to_plane
from grader.colour.facing import top_face
from grader.fries.geometry import StripGeometry
from grader.photo.srgb import linear_light

GRID_MM = 0.4
"""How far apart a fry's pixels are drawn."""
_BEYOND_WIDTH = 0.8
"""Half the grid's width over the fry's: a flank seen from aside lies beyond the half."""
_RIM_MM = 0.4
_RIM_LEAST_PX = 2
"""So near its outline a pixel is partly plate: left out. Blur and halved chroma reach so many pixels, however small."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FryPixels:
    """Pixels of one fry.

    Attributes
    ----------
    along_mm, across_mm
        (k,) from its first end, from its centreline.
    xy_mm
        (k, 2) where they lie on the sheet.
    values, rgb
        (k, 3) as the photo has them; linear light.
    on_top
        (k,) True on the top face, False on a flank.
    clipped_share
        Of them, how many have a channel at the top of its range.
    """

    along_mm: FloatArray
    across_mm: FloatArray
    xy_mm: FloatArray
    values: PixelArray
    rgb: FloatArray
    on_top: MaskArray
    clipped_share: float


def draw_pixels(
    pixels: PixelArray, labels: LabelArray, number: int, strip: StripGeometry, camera: Camera, *, ground_mm: float
) -> FryPixels:
    """The pixels of fry `number` at the nodes of its grid, its blurred rim left out."""
    along, across = _grid(strip)
    xy_mm = strip.frame.place(along[:, None], across).reshape(-1, 2)
    places = np.rint(level_to_pixels(camera, xy_mm, strip.middle_height_mm)).astype(np.intp)
    inside = _well_inside(labels, number, places, strip)
    row, column = np.divmod(inside, len(across))
    places = places.T.take(inside, axis=1).T
    top_mm = 2 * strip.middle_height_mm - ground_mm
    below = level_to_pixels(camera, to_plane(camera, places, top_mm), ground_mm)
    values = pixels.reshape(-1, 3).take(places[:, 1] * pixels.shape[1] + places[:, 0], axis=0)
    red, green, blue = (np.iinfo(values.dtype).max == values).T
    clipped = red | green | blue
    return FryPixels(
        along_mm=along[row],
        across_mm=across[column],
        xy_mm=xy_mm.T.take(inside, axis=1).T,
        values=values,
        rgb=linear_light(values).astype(float),
        on_top=top_face(labels, places, below),
        clipped_share=float(clipped.mean()) if len(clipped) else 0.0,
    )


def _grid(strip: StripGeometry) -> tuple[FloatArray, FloatArray]:
    """(n,) mm along it and (m,) across it."""
    half = max(_BEYOND_WIDTH * strip.width_mm, GRID_MM)
    return np.arange(-1.0, strip.length_mm + 1.0, GRID_MM), np.arange(-half, half, GRID_MM)


def _well_inside(labels: LabelArray, number: int, places: IntArray, strip: StripGeometry) -> IntArray:
    """(k,) which places (n, 2) lie on the fry, as do their four neighbours at the rim's distance."""
    ends_px = float(np.hypot(*(strip.centreline_px[-1] - strip.centreline_px[0])))
    rim = max(_RIM_LEAST_PX, round(_RIM_MM * ends_px / max(strip.straight_mm, 1.0)))
    height, width = labels.shape
    x, y = places.T
    inside = np.flatnonzero((x >= rim) & (y >= rim) & (x < width - rim) & (y < height - rim))
    flat, cells = y.take(inside) * width + x.take(inside), labels.reshape(-1)
    for step in (0, rim, -rim, rim * width, -rim * width):
        here = cells.take(flat + step) == number
        inside, flat = inside[here], flat[here]
    return np.asarray(inside)
