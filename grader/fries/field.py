"""A fry's pixels as a picture of it straightened: rows along it, columns across."""

from dataclasses import dataclass

import cv2
import numpy as np

from grader.arrays import FloatArray, IntArray, MaskArray

_KERNEL_SIGMAS = 4.0
"""So far to either side a Gaussian is followed: beyond it holds less than 1 in 10,000 of its weight."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Field:
    """Where k pixels lie in a picture of `shape`, which holds them all: each in a cell of its own, `cell_mm` wide."""

    rows: IntArray
    columns: IntArray
    shape: tuple[int, int]
    cell_mm: float

    def picture(self, values: FloatArray) -> FloatArray:
        """(rows, columns) of values (k,); nan where no pixel lies."""
        picture = np.full(self.shape, np.nan)
        picture[self.rows, self.columns] = values
        return picture

    def where(self, chosen: MaskArray) -> MaskArray:
        """(rows, columns) True where a chosen pixel lies."""
        picture = np.zeros(self.shape, bool)
        picture[self.rows, self.columns] = chosen
        return picture


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TopFace:
    """A fry's top face.

    Attributes
    ----------
    field
        Where the fry's k pixels lie.
    shown
        (k,) which of them show its top face.
    place
        (k,) where across it, -1 to 1 (`place_across`).
    """

    field: Field
    shown: MaskArray
    place: FloatArray


def make_field(along_mm: FloatArray, across_mm: FloatArray, cell_mm: float) -> Field:
    """The field of pixels drawn `cell_mm` apart, at mm along and across (k,)."""
    rows = np.rint((along_mm - along_mm.min()) / cell_mm).astype(np.intp)
    columns = np.rint((across_mm - across_mm.min()) / cell_mm).astype(np.intp)
    return Field(rows=rows, columns=columns, shape=(int(rows.max()) + 1, int(columns.max()) + 1), cell_mm=cell_mm)


def place_across(field: Field, chosen: MaskArray) -> FloatArray:
    """(k,) where each chosen pixel lies between the chosen ones' two edges in its row: -1 to 1; nan for the others."""
    there = field.where(chosen)
    low, high = there.argmax(axis=1), field.shape[1] - 1 - there[:, ::-1].argmax(axis=1)  # unused where a row has none
    middle, half = (low + high) / 2, np.maximum((high - low) / 2, 0.5)
    return np.where(chosen, (field.columns - middle[field.rows]) / half[field.rows], np.nan)


def smooth(picture: FloatArray, sigma_cells: float) -> FloatArray:
    """(rows, columns) blurred by a Gaussian, mirrored at its edges."""
    size = 2 * round(_KERNEL_SIGMAS * sigma_cells) + 1
    blurred = cv2.GaussianBlur(picture, (size, size), sigma_cells, borderType=cv2.BORDER_REFLECT)
    return np.asarray(blurred, float)
