"""A fry's pixels as a picture of it straightened: rows along it, columns across."""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, IntArray, MaskArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Field:
    """Where each of k pixels lies in a picture of `shape`, whose cells are `cell_mm` wide and which holds them all."""

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
        picture[self.rows[chosen], self.columns[chosen]] = True
        return picture


def make_field(along_mm: FloatArray, across_mm: FloatArray, cell_mm: float) -> Field:
    """The field of pixels drawn `cell_mm` apart, at mm along and across (k,)."""
    rows = np.rint((along_mm - along_mm.min()) / cell_mm).astype(np.intp)
    columns = np.rint((across_mm - across_mm.min()) / cell_mm).astype(np.intp)
    return Field(rows=rows, columns=columns, shape=(int(rows.max()) + 1, int(columns.max()) + 1), cell_mm=cell_mm)


def place_across(field: Field, chosen: MaskArray) -> FloatArray:
    """(k,) where each chosen pixel lies between the chosen ones' two edges in its row: -1 to 1; nan for the others."""
    edges = np.where(field.where(chosen), np.arange(field.shape[1], dtype=float), np.nan)
    shown = np.isfinite(edges).any(axis=1)
    low, high = np.full(field.shape[0], np.nan), np.full(field.shape[0], np.nan)
    low[shown], high[shown] = np.nanmin(edges[shown], axis=1), np.nanmax(edges[shown], axis=1)
    middle, half = (low + high) / 2, np.maximum((high - low) / 2, 0.5)
    return np.where(chosen, (field.columns - middle[field.rows]) / half[field.rows], np.nan)
