"""Files of readings, written as an instrument or a person writes them."""

from collections.abc import Sequence

import numpy as np

from grader.arrays import FloatArray
from grader.card.model import Layout


def lab_of(layout: Layout) -> FloatArray:
    """(n, 3) the designed colours: patches, paper, a mat's field."""
    colours = [*(patch.lab for patch in layout.patches), layout.base_lab]
    return np.array([*colours, layout.field_lab] if layout.field_lab else colours)


def names_of(layout: Layout) -> list[str]:
    return [*(str(patch.number) for patch in layout.patches), "paper", *(["field"] if layout.field_lab else [])]


def csv_of(layout: Layout, lab: FloatArray, *, header: str = "number,L,a,b", names: Sequence[str] = ()) -> str:
    rows = zip(names or names_of(layout), lab.tolist(), strict=True)
    return "\n".join([header, *(f"{name},{','.join(f'{v:.4f}' for v in values)}" for name, values in rows)]) + "\n"


def cgats_of(fields: Sequence[str], rows: Sequence[Sequence[object]], *, statements: Sequence[str] = ()) -> str:
    lines = [
        "CGATS.17",
        'ORIGINATOR "invented instrument"',
        *statements,
        f"NUMBER_OF_FIELDS {len(fields)}",
        "BEGIN_DATA_FORMAT",
        "\t".join(fields),
        "END_DATA_FORMAT",
        f"NUMBER_OF_SETS {len(rows)}",
        "BEGIN_DATA",
        *("\t".join(str(cell) for cell in row) for row in rows),
        "END_DATA",
    ]
    return "\r\n".join(lines) + "\r\n"


def lab_rows(lab: FloatArray) -> list[list[object]]:
    """SAMPLE_ID counts on after the last patch, as instruments do."""
    return [[number, *(f"{value:.4f}" for value in values)] for number, values in enumerate(lab.tolist(), 1)]
