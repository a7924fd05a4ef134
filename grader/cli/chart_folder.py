"""A folder of photographs of a chart, with what lies beside them."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from grader.chart.checking import ChartPhoto
from grader.chart.sidecars import read_corners, read_patch_means
from grader.errors import GraderError
from grader.records.naming import is_photo

REFERENCE_STEM = "reference"
_TABLES = frozenset({".csv", ".txt", ".cgats"})
_CORNERS = ".corners.json"


class NoChartPhotosError(GraderError, ValueError):
    """The folder holds nothing to check."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartFolder:
    """Photographs and tables of patch means by their name without ending, and the folder's own reference values."""

    photos: tuple[tuple[str, Path], ...]
    reference: Path | None


def look_through(folder: Path) -> ChartFolder:
    """What a folder holds, folders inside it included.

    `reference.csv` (or .txt, .cgats) holds the chart's own values; a photo's NAME.csv what was read of its patches, in
    its place or without it; NAME.corners.json where its chart lies.

    Raises
    ------
    NoChartPhotosError
        Nothing to check.
    """
    files = sorted(path for path in folder.rglob("*") if path.is_file() and not path.name.startswith("."))
    tables = {path.with_suffix(""): path for path in files if path.suffix.lower() in _TABLES}
    reference = tables.pop(folder / REFERENCE_STEM, None)
    photos = {path: path for path in files if is_photo(path.name) and path.with_suffix("") not in tables}
    both = sorted([*photos.values(), *tables.values()])
    if not both:
        raise NoChartPhotosError(
            f"There are no photographs in {folder}.", hint="Name the folder that holds the photographs of the chart."
        )
    return ChartFolder(photos=tuple((str(path.relative_to(folder)), path) for path in both), reference=reference)


def chart_photos(folder: ChartFolder, *, linear: bool) -> Iterator[ChartPhoto]:
    """Each photograph in turn, read as it is asked for.

    Raises
    ------
    DocumentFaulty
        A table or a file of corners is faulty.
    OSError
        A file can't be read.
    """
    for name, path in folder.photos:
        if path.suffix.lower() in _TABLES:
            yield ChartPhoto(name=name, readings=read_patch_means(path.read_bytes(), name=name, linear=linear))
            continue
        beside = path.with_suffix(_CORNERS)
        corners = read_corners(beside.read_bytes(), name=beside.name) if beside.exists() else None
        yield ChartPhoto(name=name, data=path.read_bytes(), corners_px=corners, linear=linear)
