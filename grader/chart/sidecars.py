"""What may come beside a photograph of a chart: where the chart lies, or what was read of its patches elsewhere."""

import json
import math

import numpy as np

from grader.arrays import FloatArray, frozen
from grader.card_values.readings import plain_number
from grader.card_values.readings_table import ReadingsTable, Row, read_table
from grader.chart.model import PATCHES, ChartReadings
from grader.errors import DocumentFaulty, Fault
from grader.photo import srgb_to_linear

_CORNERS_HINT = (
    'Write {"corners_px": [[x, y], [x, y], [x, y], [x, y]]}: the outer corners of the four outer patches, in turn'
    " around."
)
_MEANS_HINT = "Give one row a patch under the header number,r,g,b; numbers run from 1 (dark skin) to 24 (black)."
_COLUMNS = (("R", "G", "B"), ("RGB_R", "RGB_G", "RGB_B"))
_NAMES = ("NUMBER", "SAMPLE_ID", "SAMPLE_NAME")
_MEAN_U, _LEAST_U = 0.005, 0.0005
"""Standard uncertainty of a mean that came without one: a share of it, and at least so much of white."""
_SCALES = (1.0, 255.0, 65535.0)
_CLIP = 1 / 255


def read_corners(data: bytes, *, name: str) -> FloatArray:
    """(4, 2) px, the outer corners of a chart's four outer patches, of a file's bytes.

    Raises
    ------
    DocumentFaulty
        The file holds no such corners.
    """
    try:
        corners = np.array(json.loads(data)["corners_px"], float)
    except (ValueError, KeyError, TypeError, RecursionError, OverflowError) as error:
        raise _faulty(name, "corners_px", "can't be read as four corners", _CORNERS_HINT) from error
    if corners.shape != (4, 2) or not np.isfinite(corners).all():
        raise _faulty(name, "corners_px", "must be four corners of two numbers each", _CORNERS_HINT)
    return frozen(corners)


def read_patch_means(data: bytes, *, name: str, linear: bool) -> ChartReadings:
    """Readings of a chart from a table of patch means (columns number, r, g, b), of a file's bytes.

    Values up to 1, 255 or 65535 are told apart by the largest. A patch without a row, or at an end of the range, is
    left out.

    Parameters
    ----------
    linear
        The values are linear ones, not sRGB-encoded.

    Raises
    ------
    DocumentFaulty
        With the fault of the table.
    """
    table = read_table(data, name=name)
    name_at, at = _columns(table)
    values = np.full((PATCHES, 3), np.nan)
    for row in table.rows:
        number = _number(table, row, name_at)
        if not (number.is_integer() and 1 <= number <= PATCHES):
            raise _faulty(name, f"line {row.line}", "names no patch from 1 to 24", _MEANS_HINT)
        if np.isfinite(values[int(number) - 1]).any():
            raise _faulty(name, f"line {row.line}", f"names patch {int(number)} a second time", _MEANS_HINT)
        values[int(number) - 1] = [_number(table, row, column) for column in at]
    there = np.isfinite(values).all(axis=1)
    if not there.any() or np.nanmin(values) < 0 or np.nanmax(values) > _SCALES[-1]:
        raise _faulty(name, "r, g, b", "must be numbers of 0 or more, on a scale to 1, 255 or 65535", _MEANS_HINT)
    share = values / next(scale for scale in _SCALES if np.nanmax(values) <= scale)
    clipped = there & ((share <= _CLIP) | (share >= 1 - _CLIP)).any(axis=1)
    rgb = np.where(there[:, None], share if linear else srgb_to_linear(share), 0.0)
    return ChartReadings(
        rgb=frozen(rgb),
        rgb_u=frozen(np.maximum(_MEAN_U * rgb, _LEAST_U)),
        clipped=frozen(clipped),
        usable=frozen(there & ~clipped),
    )


def _columns(table: ReadingsTable) -> tuple[int, tuple[int, ...]]:
    """Where the patch's number stands, and its three values."""
    at = {field: index for index, field in enumerate(table.fields)}
    names = [at[field] for field in _NAMES if field in at]
    values = [tuple(at[one] for one in fields) for fields in _COLUMNS if set(fields) <= set(at)]
    if not names or not values:
        raise _faulty(table.name, "the header", "has no columns number, r, g, b", _MEANS_HINT)
    return names[0], values[0]


def _number(table: ReadingsTable, row: Row, column: int) -> float:
    """The number in a cell.

    Raises
    ------
    DocumentFaulty
        It holds none.
    """
    text = row.cells[column]
    number = plain_number(text, comma=table.decimal_comma)
    if math.isnan(number):
        raise _faulty(table.name, f"line {row.line}", f"holds {text[:20]!r} where a number belongs", _MEANS_HINT)
    return number


def _faulty(name: str, field: str, message: str, hint: str) -> DocumentFaulty:
    return DocumentFaulty(name, (Fault(line=None, field=field, message=message),), hint=hint)
