"""What was outlined in photos without a card, as files: NAME.json, NAME.labels.png, NAME.outlined.jpg, summary.json.

They have the keys of measured photos, so that a program that reads those finds null where a number would be.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from grader.fries import OutlinedFry
from grader.grading import METHOD_VERSION
from grader.outlines import OutlinedPhoto
from grader.reasons import Reason
from grader.records.json_values import Json, number
from grader.records.naming import LABELS, READINGS, SUMMARY
from grader.records.readings import FORMAT_VERSION, json_bytes, labels_png, reasons_list
from grader.records.whole_files import write_whole

_NULL = (
    *("length_mm", "length_mm_u", "straight_mm", "straight_mm_u", "width_mm", "width_mm_u"),
    *("lab", "lab_u", "lab_shared_u", "scale_place", "scale_place_u", "scale_step", "off_scale"),
    *("dark_end_mm", "dark_end_mm_u", "whole"),
)
"""What is told of a measured fry and of none here."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OutlineEntry:
    """One photo of a run: the stem of its result files, where it came from, how many fries were outlined in it."""

    stem: str
    source: str
    name: str
    sha256: str
    refused: bool
    fries: int
    reasons: tuple[Reason, ...]


def outlines_record(photo: OutlinedPhoto) -> Json:
    """One photo ready for JSON: of each fry its id, its area and its outline, px."""
    return {
        "format_version": FORMAT_VERSION,
        "photo": photo.name,
        "sha256": photo.sha256,
        "method_version": METHOD_VERSION,
        "status": _status(refused=photo.refused),
        "reasons": reasons_list(photo.reasons),
        "fries": [] if photo.outlined is None else [_fry(fry) for fry in photo.outlined.fries],
        "standard": None,
        "verdict": None,
        "picture": None if photo.photo is None else {"size_px": list(photo.photo.size_px)},
        "sheet": None,
        "colour_quality": None,
    }


def write_outlines(folder: Path, stem: str, photo: OutlinedPhoto) -> None:
    """Write NAME.labels.png and NAME.json into `folder`, the latter last; no labels of what could not be read."""
    if photo.outlined is not None:
        write_whole(folder / f"{stem}{LABELS}", labels_png(photo.outlined.labels))
    write_whole(folder / f"{stem}{READINGS}", json_bytes(outlines_record(photo)))


def write_outlines_summary(folder: Path, entries: Sequence[OutlineEntry]) -> Path:
    """Write summary.json over all photos of a run."""
    path = folder / SUMMARY
    photos = [
        {
            "name": entry.stem,
            "photo": entry.name,
            "source": entry.source,
            "sha256": entry.sha256,
            "status": _status(refused=entry.refused),
            "reasons": reasons_list(entry.reasons),
            "fries": entry.fries,
        }
        for entry in entries
    ]
    record = {"format_version": FORMAT_VERSION, "method_version": METHOD_VERSION, "verdict": None, "photos": photos}
    write_whole(path, json_bytes(record))
    return path


def _status(*, refused: bool) -> str:
    return "refused" if refused else "outlined"


def _fry(fry: OutlinedFry) -> Json:
    outline = [[number(x), number(y)] for x, y in fry.outline_px.tolist()]
    return {"id": fry.number, "area_px": fry.area_px, "outline_px": outline, **dict.fromkeys(_NULL)}
