"""What one run found over all its photos: `summary.json` for programs, `fries.csv` for a spreadsheet."""

import textwrap
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Self

from grader.csv_text import csv_text
from grader.decision.model import Verdict
from grader.fries.mends import made, signers
from grader.fries.model import Fry, Measured
from grader.grading import METHOD_VERSION, GradedPhoto
from grader.records.fry_record import flag_names
from grader.records.json_values import Json, number
from grader.records.naming import FRIES, SUMMARY
from grader.records.readings import (
    FORMAT_VERSION,
    THICKNESS,
    card_record,
    designations_record,
    json_text,
    long_shares_record,
    mending_record,
    reasons_record,
    standard_record,
    standing_record,
    verdict_record,
)
from grader.records.scale_words import FryPlace, fry_places
from grader.records.whole_files import WholeFile
from grader.standard.model import ColourScale, Standard
from grader.trueness import Standing, weakest

Cell = str | float | int | None

COLUMNS = (
    "batch",
    "photo",
    "fry",
    "whole",
    "length_mm",
    "length_mm_u",
    "straight_mm",
    "straight_mm_u",
    "width_mm",
    "width_mm_u",
    "L",
    "a",
    "b",
    "L_u",
    "a_u",
    "b_u",
    "scale_place",
    "scale_place_u",
    "scale_step",
    "spread_de",
    "dark_end_mm",
    "dark_end_mm_u",
    "dark_end_dl",
    "spots",
    "largest_spot_mm",
    "skin_share",
    "flags",
    "mended_by",
    "plate_mended_by",
    "bow_share",
    "bow_share_u",
    "end_gap_1_mm",
    "end_gap_2_mm",
    "mass_g",
    "mass_g_u",
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PhotoEntry:
    """One photo of a run: the stem of its result files, where it came from, what was found (pixels not needed)."""

    stem: str
    source: str
    graded: GradedPhoto


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BatchEntry:
    """One batch of a run and the verdict over all its photos, None where none could be judged.

    `unmended_verdict` is that over the plates as they were found, None where nobody mended any.
    """

    name: str
    photos: tuple[PhotoEntry, ...]
    verdict: Verdict | None
    unmended_verdict: Verdict | None = None

    @property
    def graded(self) -> tuple[GradedPhoto, ...]:
        """Its photos, as graded."""
        return tuple(photo.graded for photo in self.photos)

    @property
    def standing(self) -> Standing | None:
        """What the verdict may claim: no more than the weakest of its photos."""
        return weakest(graded.standing for graded in self.graded)


def _photo(entry: PhotoEntry, *, standard: Standard) -> Json:
    graded = entry.graded
    return {
        "name": entry.stem,
        "photo": graded.name,
        "source": entry.source,
        "sha256": graded.sha256,
        "status": "refused" if graded.refused else "measured",
        "reasons": reasons_record(graded),
        "card": card_record(graded),
        "fries": 0 if graded.plate is None else len(graded.plate.fries),
        "outcome": None if graded.verdict is None else graded.verdict.outcome.value,
        "mending": mending_record(graded, standard=standard),
    }


def summary_record(batches: Iterable[BatchEntry], *, standard: Standard) -> Json:
    """A run, batch by batch, ready for JSON."""
    return {**_summary_head(standard), "batches": [_batch(batch, standard=standard) for batch in batches]}


def _summary_head(standard: Standard) -> Json:
    return {
        "format_version": FORMAT_VERSION,
        "method_version": METHOD_VERSION,
        "standard": standard_record(standard),
        "thickness": THICKNESS,
    }


def _batch(batch: BatchEntry, *, standard: Standard) -> Json:
    return {
        "name": batch.name,
        "outcome": None if batch.verdict is None else batch.verdict.outcome.value,
        "verdict": verdict_record(batch.verdict),
        "unmended_verdict": verdict_record(batch.unmended_verdict),
        "standing": standing_record(batch.standing),
        "designations": designations_record(batch.graded, standard=standard),
        "long_shares": long_shares_record(batch.graded, standard=standard),
        "photos": [_photo(entry, standard=standard) for entry in batch.photos],
    }


def _pair(measured: Measured | None) -> tuple[Cell, Cell]:
    return (None, None) if measured is None else (number(measured.value), number(measured.u))


def _colour(fry: Fry) -> tuple[Cell, ...]:
    if fry.colour is None:
        return (None,) * 6
    return tuple(number(value) for value in (*fry.colour.lab, *fry.colour.u))


def _place(place: FryPlace | None) -> tuple[Cell, Cell, Cell]:
    return (None, None, None) if place is None else (number(place.steps), number(place.steps_u), place.step_name)


def fry_row(
    batch: str, photo: str, fry: Fry, place: FryPlace | None, *, mended_by: str = "", plate_mended_by: str = ""
) -> tuple[Cell, ...]:
    """One fry as the cells of `COLUMNS`; an empty cell means that it can't be measured, or that nobody mended it."""
    return (
        batch,
        photo,
        fry.number,
        "yes" if fry.whole else "no",
        *_pair(fry.length_mm),
        *_pair(fry.straight_mm),
        *_pair(fry.width_mm),
        *_colour(fry),
        *_place(place),
        number(fry.spread_de),
        *_pair(fry.dark_end_mm),
        number(fry.dark_end_dl),
        len(fry.spots_mm),
        number(max(fry.spots_mm, default=None)),
        number(fry.skin_share),
        " ".join(flag_names(fry.flags)),
        mended_by,
        plate_mended_by,
        *_pair(fry.bow_share),
        *(None if gap is None else number(gap.value) for gap in fry.end_gaps_mm or (None, None)),
        *((None, None) if fry.mass_g is None else (number(fry.mass_g.value), number(fry.mass_g.u))),
    )


def fries_of_photo(batch: str, graded: GradedPhoto, scale: ColourScale) -> Iterable[tuple[Cell, ...]]:
    """All fries of a photo as the cells of `COLUMNS`, with who mended them."""
    mends = () if graded.mending is None else graded.mending.mends
    makers = {number: mend.by for mend in mends for number in made(mend)}
    of_plate = ", ".join(signers(mends))
    fries = () if graded.plate is None else graded.plate.fries
    for fry, place in zip(fries, fry_places(fries, scale), strict=True):
        maker = makers.get(fry.number, "")
        yield fry_row(batch, graded.name, fry, place, mended_by=maker, plate_mended_by=of_plate)


def fries_csv(batches: Iterable[BatchEntry], *, standard: Standard) -> bytes:
    """All fries of a run as CSV: commas, decimal points, UTF-8 with the byte order mark that spreadsheets want."""
    rows = "".join(_fries_rows(batch, standard=standard) for batch in batches)
    return f"{csv_text([COLUMNS])}{rows}".encode("utf-8-sig")


def _fries_rows(batch: BatchEntry, *, standard: Standard) -> str:
    return csv_text(row for entry in batch.photos for row in fries_of_photo(batch.name, entry.graded, standard.scale))


class SummaryWriter:
    """Writes `fries.csv` and `summary.json` batch by batch, so that a run of any length needs no more memory.

    Until `finish` what was there before stays.
    """

    def __init__(self, folder: Path, *, standard: Standard, table: bool = True) -> None:
        self._standard, self._batches = standard, 0
        self._table = WholeFile(folder / FRIES) if table else None
        self._summary = WholeFile(folder / SUMMARY)

    def __enter__(self) -> Self:
        if self._table is not None:
            self._table.write(csv_text([COLUMNS]).encode("utf-8-sig"))
        head = json_text(_summary_head(self._standard)).removesuffix("\n}\n")
        self._summary.write(f'{head},\n "batches": ['.encode())
        return self

    def add(self, batch: BatchEntry) -> None:
        """Write one batch."""
        if self._table is not None:
            self._table.write(_fries_rows(batch, standard=self._standard).encode())
        told = json_text(_batch(batch, standard=self._standard)).rstrip("\n")
        before = ",\n" if self._batches else "\n"
        self._summary.write(f"{before}{textwrap.indent(told, '  ')}".encode())
        self._batches += 1

    def finish(self) -> None:
        """Put both in place, the summary last."""
        self._summary.write(b"\n ]\n}\n" if self._batches else b"]\n}\n")
        if self._table is not None:
            self._table.place()
        self._summary.place()

    def __exit__(self, *told: object) -> None:
        if self._table is not None:
            self._table.drop()
        self._summary.drop()


def write_summary(folder: Path, batches: Iterable[BatchEntry], *, standard: Standard) -> tuple[Path, Path]:
    """Write `fries.csv` and `summary.json` into `folder`, the summary last."""
    with SummaryWriter(folder, standard=standard) as writer:
        for batch in batches:
            writer.add(batch)
        writer.finish()
    return folder / FRIES, folder / SUMMARY
