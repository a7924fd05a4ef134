"""Fries as rows of the table: the columns of `fries.csv`, under names that every database takes."""

from collections.abc import Mapping
from typing import Any

from grader.grading import GradedPhoto
from grader.records.summary import COLUMNS, fries_of_photo
from grader.standard.model import Standard

_NAMES = {
    "fry": "number",
    "L": "lab_l",
    "a": "lab_a",
    "b": "lab_b",
    "L_u": "lab_l_u",
    "a_u": "lab_a_u",
    "b_u": "lab_b_u",
}
_OF_PLATE = ("batch", "photo")
"""Columns of the file that the plate's own row knows."""

TABLE_NAMES: Mapping[str, str] = {name: _NAMES.get(name, name) for name in COLUMNS if name not in _OF_PLATE}
"""By the file's column, what it is called in the table."""


def fry_rows(graded: GradedPhoto, standard: Standard) -> list[dict[str, Any]]:
    """All fries of a graded photo, ready for the table but for their grading."""
    rows = []
    for cells in fries_of_photo("", graded, standard.scale):
        told = dict(zip(COLUMNS, cells, strict=True))
        row = {table: told[name] for name, table in TABLE_NAMES.items()}
        rows.append({**row, "whole": told["whole"] == "yes"})
    return rows


def file_cells(row: Mapping[str, Any], *, batch: str, photo: str) -> list[Any]:
    """A row of the table as the cells of `COLUMNS`."""
    told = {name: row[table] for name, table in TABLE_NAMES.items()}
    told |= {"batch": batch, "photo": photo, "whole": "yes" if row["whole"] else "no"}
    return [told[name] for name in COLUMNS]
