"""From a box of the view to the part of the photo that shows the same: pixels of both, held against each other."""

from dataclasses import dataclass
from typing import TypeVar

import cv2
import numpy as np

from grader.arrays import Box, Float32Array, FloatArray, IntArray, LabelArray, MaskArray, PixelArray

_Picture = TypeVar("_Picture", LabelArray, MaskArray)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Axis:
    """Where the photo's rows, or columns, (n,) lie among those of the view's box.

    Attributes
    ----------
    part
        Which of the photo they are.
    nearest
        (n,) the nearest of the box.
    before, share
        (n,) the last before it, and what share of the way it lies on to the next; never beyond the box.
    """

    part: slice
    nearest: IntArray
    before: IntArray
    share: FloatArray

    def of(self, part: slice) -> slice:
        """The photo's rows that a part of those of the box became."""
        start, stop = self.part.start + np.searchsorted(self.nearest, [part.start, part.stop])
        return slice(int(start), int(stop))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CloseUp:
    """The part of a photo that a box of its view shows: `pixels` (h, w, 3); `close_up` makes one."""

    pixels: PixelArray
    rows: _Axis
    columns: _Axis

    @property
    def box(self) -> Box:
        """Its rows and columns in the photo."""
        return self.rows.part, self.columns.part

    def enlarged(self, values: _Picture, rows: slice = slice(None)) -> _Picture:
        """(h, w) of each pixel, or of those in some rows, what the nearest of the view's box has."""
        return values.take(self.rows.nearest[rows], axis=0).take(self.columns.nearest, axis=1)

    def box_of(self, box: Box) -> Box:
        """The photo's rows and columns that a box within the view's box became."""
        rows, columns = (axis.of(part) for axis, part in zip((self.rows, self.columns), box, strict=True))
        return rows, columns

    def between(self, values: Float32Array, pixels: IntArray) -> Float32Array:
        """(k,) what lies between the values of the view's box at these pixels, flat places of the photo's part."""
        row, column = np.divmod(pixels, self.pixels.shape[1])
        corner = self.rows.before[row] * values.shape[1] + self.columns.before[column]
        down, right = self.rows.share[row], self.columns.share[column]
        flat = values.ravel()
        upper, lower = (
            flat[left] * (1 - right) + flat[left + 1] * right for left in (corner, corner + values.shape[1])
        )
        return np.asarray(upper * (1 - down) + lower * down, np.float32)


def close_up(pixels: PixelArray, view_shape: tuple[int, ...], box: Box) -> CloseUp:
    """Of a photo (h, w, 3), by its view's height and width, and two or more rows and columns of the view."""
    rows, columns = (_axis(*of_axis) for of_axis in zip(box, view_shape, pixels.shape[:2], strict=True))
    return CloseUp(pixels=pixels[rows.part, columns.part], rows=rows, columns=columns)


def _axis(part: slice, of: int, in_photo: int) -> _Axis:
    """Of a part of so many rows of a view that are so many in the photo."""
    every = np.arange(of, dtype=np.float32)[None]
    nearest = cv2.resize(every, (in_photo, 1), interpolation=cv2.INTER_NEAREST)[0].astype(np.int64)
    start, stop = (int(at) for at in np.searchsorted(nearest, [part.start, part.stop]))
    last = min(part.stop, of) - part.start - 1
    places = np.clip((np.arange(start, stop) + 0.5) * of / in_photo - 0.5 - part.start, 0, last)
    before = np.minimum(places.astype(np.int64), last - 1)
    return _Axis(
        part=slice(start, stop), nearest=nearest[start:stop] - part.start, before=before, share=places - before
    )
