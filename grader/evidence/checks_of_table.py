"""Whether the table of fries says what the readings do: it is what people open, and the readings are graded again."""

import csv
import io
import json
from collections.abc import Iterator, Mapping
from typing import Any

from grader.evidence.check import Check, no, yes
from grader.evidence.manifest import FRIES, Manifest
from grader.records.json_values import NOT_AS_WRITTEN

_ALIKE = (
    *("length_mm", "length_mm_u", "straight_mm", "straight_mm_u", "width_mm", "width_mm_u"),
    *("scale_place", "scale_place_u", "dark_end_mm", "dark_end_mm_u", "bow_share", "bow_share_u", "mass_g", "mass_g_u"),
)
"""Columns that the readings have under the same name."""
_COLOUR = ("L", "a", "b")
ROUNDING = 1.01e-4
"""Numbers are written with four decimals: what is worked out in two ways may be rounded apart by one of the last."""


def check_table(contents: Mapping[str, bytes], manifest: Manifest) -> Iterator[Check]:
    """Fry by fry, in the order of the plates."""
    try:
        told = list(csv.DictReader(io.StringIO(contents.get(FRIES, b"").decode("utf-8-sig"), newline="")))
        table = [_row(row) for row in told]
        readings = [
            _reading(fry) for plate in manifest.plates for fry in json.loads(contents.get(plate.readings, b""))["fries"]
        ]
        alike = len(table) == len(readings) and all(map(_alike, table, readings))
    except (*NOT_AS_WRITTEN, csv.Error):
        yield no(FRIES, f"The table {FRIES}, or the readings beside it, can't be read.")
        return
    if alike:
        yield yes(FRIES, f"The table {FRIES} says of all {len(table)} fries what the readings do.")
    else:
        yield no(FRIES, f"The table {FRIES} says otherwise than the readings.")


def _alike(row: tuple[Any, ...], reading: tuple[Any, ...]) -> bool:
    return all(
        one == other or (isinstance(one, float) and isinstance(other, int | float) and abs(one - other) <= ROUNDING)
        for one, other in zip(row, reading, strict=True)
    )


def _row(row: Mapping[str, str]) -> tuple[Any, ...]:
    numbers = (*_ALIKE, *_COLOUR, *(f"{name}_u" for name in _COLOUR))
    return (int(row["fry"]), row["whole"], *(float(row[name]) if row[name] else None for name in numbers))


def _reading(fry: Mapping[str, Any]) -> tuple[Any, ...]:
    colours = (number for name in ("lab", "lab_u") for number in fry[name] or (None,) * len(_COLOUR))
    return (fry["id"], "yes" if fry["whole"] else "no", *(fry[name] for name in _ALIKE), *colours)
