"""A 24-patch chart: what its patches are known to be, where it lies in a photo, and what was read of it.

Chart coordinates are counted in pitches, the distance from one patch to the next: x to the right along a row of six, y
down over the four rows; the middle of patch 1 is (0.5, 0.5), of patch 6 (5.5, 0.5), of patch 24 (5.5, 3.5).
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from grader.arrays import FloatArray, MaskArray, frozen

ROWS, COLUMNS = 4, 6
PATCHES = ROWS * COLUMNS
PATCH_CENTRES: FloatArray = frozen(
    np.stack(np.meshgrid(np.arange(COLUMNS) + 0.5, np.arange(ROWS) + 0.5), -1).reshape(-1, 2)
)
"""(24, 2) middles of the patches, pitches."""

FoundBy = Literal["detector", "grid", "corners"]
"""How a chart was found: by OpenCV's detector of such charts, by a grid of squares, by corners that came with it."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChartValues:
    """What the patches of a chart are known to be.

    Attributes
    ----------
    edition
        Key of the published values, "own" where they were handed in.
    name
        In words.
    patch_lab
        (24, 3) CIELAB, CIE 1931 2 degree observer, D65, in the chart's order.
    """

    edition: str
    name: str
    patch_lab: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FoundChart:
    """A chart found in a photo.

    Attributes
    ----------
    homography
        (3, 3) pitches to photo px.
    misfit_de
        Median CIE 2000 difference of its patches from the known colours after a plain matrix: how sure it is a chart.
    """

    homography: FloatArray
    misfit_de: float
    found_by: FoundBy


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChartReadings:
    """What the camera made of the patches, in linear light (0 to 1, sRGB primaries).

    Attributes
    ----------
    rgb, rgb_u
        (24, 3) trimmed means and their standard uncertainty (pixel noise and unevenness over the patch).
    clipped
        (24,) a patch has too many pixels at either end of the range.
    usable
        (24,) False where a patch is clipped, uneven (a reflection, a shadow's edge, a wrong place) or off the picture.
    """

    rgb: FloatArray
    rgb_u: FloatArray
    clipped: MaskArray
    usable: MaskArray
