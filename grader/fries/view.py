"""The picture that fries are looked for in: a reduced copy in corrected colour, a fixed number of mm a pixel."""

from dataclasses import dataclass, replace
from typing import cast

import cv2
import numpy as np

from grader.arrays import Box, Float32Array, FloatArray, MaskArray, PixelArray
from grader.card.model import FoundSheet
from grader.card.plane import px_per_mm, sheet_to_pixels
from grader.photo.srgb import linear_light

MM_PER_PX = 0.3
"""A 6.5 mm fry is then 22 px wide: enough for its seams, and a twentieth of a phone photo's pixels."""

_CARD_MARGIN_MM = 2.0
_MAT_BORDER_MM = 25.0
"""A mat's tags and patches end 23 mm from its edge; fries may lie on the bare paper between them and the field."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class View:
    """The reduced picture; `view_of` makes one.

    Attributes
    ----------
    xyz
        (h, w, 3), each channel 1 for the sheet's white.
    luminance_log
        (h, w) natural log of Y, flattened where it is so dark that noise would rule.
    yellowness_log
        (h, w) natural log of Z / Y, 0 for neutral and negative for yellow: shade and shadow leave it as it is.
    redness_log
        (h, w) natural log of X / Y, 0 for neutral.
    matrix
        (3, 3) that took linear rgb there.
    barred
        (h, w) True where no fry is looked for: the card, or all of a mat but its inside.
    reduction
        View px per photo px.
    """

    xyz: Float32Array
    luminance_log: Float32Array
    yellowness_log: Float32Array
    redness_log: Float32Array
    matrix: FloatArray
    barred: MaskArray
    reduction: float

    def within(self, box: Box) -> "View":
        """The part of it in these rows and columns."""
        return replace(
            self,
            xyz=self.xyz[box],
            luminance_log=self.luminance_log[box],
            yellowness_log=self.yellowness_log[box],
            redness_log=self.redness_log[box],
            barred=self.barred[box],
        )

    @property
    def lightness(self) -> Float32Array:
        """(h, w) about L*: the cube root alone, good enough to find edges by."""
        return 116 * np.cbrt(np.maximum(self.xyz[..., 1], 0)) - 16


_DARKEST = np.float32(2e-3)
_NOISE = np.float32(0.04)


def view_of(xyz: Float32Array, matrix: FloatArray, barred: MaskArray, *, reduction: float) -> View:
    """The view of a picture; its arguments are those of `View`."""
    x, y, z = np.ascontiguousarray(np.moveaxis(xyz, -1, 0))
    luminance = np.maximum(y, 0) + _NOISE
    for plane in (x, y, z):
        np.maximum(plane, _DARKEST, out=plane)
    return View(
        xyz=xyz,
        luminance_log=np.log(luminance, out=luminance),
        yellowness_log=np.log(np.divide(z, y, out=z), out=z),
        redness_log=np.log(np.divide(x, y, out=x), out=x),
        matrix=matrix,
        barred=barred,
        reduction=reduction,
    )


def look(pixels: PixelArray, sheet: FoundSheet, matrix: FloatArray) -> View:
    """Reduce and correct a photo, and bar what is no place for fries.

    Parameters
    ----------
    pixels
        (h, w, 3) as `Photo` has them.
    matrix
        (3, 3) linear rgb to XYZ over white (`grader.colour.plain_matrix`).
    """
    reduction = min(1.0, 1 / (MM_PER_PX * px_per_mm(sheet)))
    small = cv2.resize(pixels, None, fx=reduction, fy=reduction, interpolation=cv2.INTER_AREA)
    light = linear_light(cast("PixelArray", small))
    xyz = light @ matrix.astype(np.float32)
    return view_of(xyz, matrix, _barred(sheet, xyz.shape[:2], reduction), reduction=reduction)


def _barred(sheet: FoundSheet, shape: tuple[int, int], reduction: float) -> MaskArray:
    layout = sheet.layout
    margin = -_MAT_BORDER_MM if layout.kind == "mat" else _CARD_MARGIN_MM
    left, top, right, bottom = -margin, -margin, layout.width_mm + margin, layout.height_mm + margin
    corners_mm = np.array([[left, top], [right, top], [right, bottom], [left, bottom]])
    corners = np.round(sheet_to_pixels(sheet, corners_mm) * reduction).astype(np.int32)
    inside = np.zeros(shape, np.uint8)
    cv2.fillConvexPoly(inside, corners, 1)
    return inside == 0 if layout.kind == "mat" else inside > 0
