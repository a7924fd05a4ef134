"""Lengths of raw strips and of finished fries of the same tubers, from two runs of `grade`, photo by photo."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from grader.arrays import FloatArray
from grader.errors import GraderError
from grader.line.length_loss import TuberStrips
from grader.records.history import check_holds_results
from grader.records.json_values import NOT_AS_WRITTEN, Json
from grader.records.naming import READINGS, SUMMARY
from grader.standard.model import Standard
from grader.trueness.tables import Row, read_rows

_HINT = "Give the folders that `grade` wrote, one of raw strips and one of finished fries."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Lengths:
    mm: FloatArray
    shared_u: float
    whole: bool


def read_tuber_lengths(path: Path) -> Mapping[str, float]:
    """Lengths of whole tubers, mm, by the name of their photos, from a CSV table with the columns tuber, length_mm.

    Raises
    ------
    DocumentFaulty
        With every fault of the table.
    OSError
        It can't be read.
    """
    hint = "Give the length of each tuber in mm, by the name of its photos: t01, t02."
    return dict(read_rows(path, ("tuber", "length_mm"), _length_of, hint=hint))


def _length_of(row: Row) -> tuple[str, float] | None:
    name, length_mm = row.needed("tuber"), row.number("length_mm", 20, 400)
    return None if length_mm is None else (name, length_mm)


def tubers_of(
    raw: Path, finished: Path, *, standard: Standard, tuber_mm: Mapping[str, float] | None = None
) -> tuple[TuberStrips, ...]:
    """The tubers of which both runs measured a photo of the same name, by name; `tuber_mm`: their own lengths.

    Lengths are what the standard takes for length; crumbs, shorter than its pieces, are left out.

    Raises
    ------
    GraderError
        A folder holds no results, no photo has a fellow in the other, or a length is of a tuber that has no photos.
    """
    before, after = _run(raw, standard), _run(finished, standard)
    both = sorted(before.keys() & after.keys())
    if not both:
        hint = "Name the photo of a tuber's raw strips and that of its finished fries alike: t01, t02."
        raise GraderError(f"No photo of {raw} has a fellow of its name in {finished}.", hint=hint)
    known = tuber_mm or {}
    strange = sorted(known.keys() - set(both))
    if strange:
        hint = "Call a tuber in the table as its photos are called, without their ending."
        raise GraderError(f"Of these tubers there are no photos, raw and finished: {', '.join(strange)}.", hint=hint)
    return tuple(_tuber(name, before[name], after[name], known.get(name)) for name in both)


def _run(folder: Path, standard: Standard) -> dict[str, _Lengths]:
    check_holds_results(folder, hint=_HINT)
    try:
        summary = json.loads((folder / SUMMARY).read_text(encoding="utf-8"))
        measured = [
            photo["name"] for batch in summary["batches"] for photo in batch["photos"] if photo["status"] == "measured"
        ]
        records = [json.loads((folder / f"{name}{READINGS}").read_text(encoding="utf-8")) for name in measured]
        found = {Path(name).name: _lengths(record, standard) for name, record in zip(measured, records, strict=True)}
    except NOT_AS_WRITTEN as error:
        raise GraderError(f"{folder} can't be read as results of a run ({error}).", hint=_HINT) from error
    return {name: lengths for name, lengths in found.items() if len(lengths.mm)}


def _lengths(record: Json, standard: Standard) -> _Lengths:
    key = "length_mm" if standard.length_is == "centreline" else "straight_mm"
    told = [fry for fry in record["fries"] if fry[key] is not None]
    mm = np.array([fry[key] for fry in told], float)
    shared = np.array([fry[f"{key}_shared_u"] for fry in told], float)
    pieces = mm >= standard.defects.piece_from_mm
    relative = float(np.mean(shared / mm)) if len(mm) else 0.0
    return _Lengths(mm=mm[pieces], shared_u=relative, whole=len(told) == len(record["fries"]))


def _tuber(name: str, raw: _Lengths, finished: _Lengths, tuber_mm: float | None) -> TuberStrips:
    return TuberStrips(
        tuber=name,
        raw_mm=raw.mm,
        finished_mm=finished.mm,
        scale_u=float(np.hypot(raw.shared_u, finished.shared_u)),
        whole=raw.whole and finished.whole and len(finished.mm) >= len(raw.mm),
        tuber_mm=tuber_mm,
    )
