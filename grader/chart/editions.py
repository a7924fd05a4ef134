"""The published values of 24-patch charts, by edition: charts of different years differ by up to 2 CIE 2000 units."""

import tomllib
from functools import cache
from pathlib import Path

import numpy as np

from grader.arrays import FloatArray, frozen
from grader.chart.model import PATCHES, ChartValues
from grader.colour import D65, WHITE_POINTS, adapt, xyz_to_lab
from grader.errors import GraderError
from grader.places import calibration_folder

DEFAULT_EDITION = "after-november-2014"


class UnknownEdition(GraderError, ValueError):
    """No published values go by that name."""


@cache
def load_editions() -> dict[str, ChartValues]:
    """All published values that ship, by edition."""
    values = [_read(path) for path in sorted((calibration_folder() / "charts").glob("*.toml"))]
    return {one.edition: one for one in values}


def chart_values(edition: str) -> ChartValues:
    """The published values of one edition.

    Raises
    ------
    UnknownEdition
        There are none.
    """
    editions = load_editions()
    if edition not in editions:
        raise UnknownEdition(
            f"There are no chart values of the edition {edition}.", hint=f"Choose one of: {', '.join(editions)}."
        )
    return editions[edition]


def _read(path: Path) -> ChartValues:
    table = tomllib.loads(path.read_text(encoding="utf-8"))
    rows = sorted(table["patches"], key=lambda row: row["number"])
    if [row["number"] for row in rows] != list(range(1, PATCHES + 1)):
        raise ValueError(f"{path} must hold the patches 1 to {PATCHES}, each once")
    xyz = _xyy_to_xyz(np.array([row["xyY"] for row in rows]))
    lab = xyz_to_lab(adapt(xyz, WHITE_POINTS[table["white"]], D65))
    return ChartValues(edition=table["edition"], name=table["name"], patch_lab=frozen(lab))


def _xyy_to_xyz(xyy: FloatArray) -> FloatArray:
    """XYZ (..., 3) of chromaticity and luminance (..., 3). Source: CIE 15, 7.3."""
    x, y, luminance = np.moveaxis(xyy, -1, 0)
    return np.stack([x / y * luminance, luminance, (1 - x - y) / y * luminance], -1)
