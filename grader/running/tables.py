"""A run's plates and fries as Parquet: `plates/` and `fries/`, each in files of so many plates, one after another.

Each file has one writer and is there only when it is whole. The same run gives the same files, however many work on it.
"""

import os
from collections.abc import Sequence
from contextlib import ExitStack
from dataclasses import asdict, fields
from pathlib import Path
from typing import Any, Self

from grader.records.database.exporting import ROWS_AT_ONCE, parquet_table
from grader.records.database.figures import NO_FIGURES, PlateFigures, plate_figures
from grader.records.database.plate_tables import REFUSED
from grader.records.summary import COLUMNS, BatchEntry, PhotoEntry, fries_of_photo
from grader.standard import standard_sha256
from grader.standard.model import Standard

PLATES_A_FILE = 1000
_TEXTS = frozenset({"batch", "photo", "whole", "scale_step", "flags", "mended_by", "plate_mended_by"})
_COUNTS = frozenset({"fry", "spots"})
_FRIES: dict[str, type] = {"sha256": str} | {
    name: str if name in _TEXTS else int if name in _COUNTS else float for name in COLUMNS
}
_WHO: dict[str, type] = dict.fromkeys(
    ("batch", "photo", "source", "sha256", "standard", "standard_version", "standard_sha256", "stage"), str
)
_FOUND: dict[str, type] = dict.fromkeys(
    ("method_version", "question", "outcome", "batch_outcome", "reasons", "card_serial", "colour_level"), str
)
_COUNTED = frozenset({"fries", "off_scale", "coloured", "measured"})
_FIGURES: dict[str, type] = {
    field.name: dict if field.name == "shares" else int if field.name in _COUNTED else float
    for field in fields(PlateFigures)
}
_TABLES = {"plates": _WHO | _FOUND | _FIGURES, "fries": _FRIES}


class RunTables:
    """The tables of one run, written as its batches end."""

    def __init__(self, folder: Path, *, standard: Standard) -> None:
        self._folder, self._standard = folder, standard
        self._parts = 0
        self._part: _Part | None = None

    def __enter__(self) -> Self:
        for name in _TABLES:
            (self._folder / name).mkdir(parents=True, exist_ok=True)
        return self

    def __exit__(self, *told: object) -> None:
        if self._part is not None:
            self._part.drop()

    def add(self, batch: BatchEntry) -> None:
        """Write one batch."""
        for entry in batch.photos:
            if self._part is None:
                self._part = _Part(self._folder, self._parts)
            graded = entry.graded
            fries = fries_of_photo(batch.name, graded, self._standard.scale)
            self._part.add(self._plate(batch, entry), [(graded.sha256, *row) for row in fries])
            if self._part.plates == PLATES_A_FILE:
                self._end(self._part)

    def finish(self) -> None:
        """Put the last files in place; what a longer run left behind them goes."""
        if self._part is not None:
            self._end(self._part)
        for name in _TABLES:
            for part in (self._folder / name).glob("part-*.parquet"):
                if int(part.stem.removeprefix("part-")) >= self._parts:
                    part.unlink()

    def _end(self, part: "_Part") -> None:
        part.place()
        self._part = None
        self._parts += 1

    def _plate(self, batch: BatchEntry, entry: PhotoEntry) -> tuple[Any, ...]:
        graded, standard = entry.graded, self._standard
        verdict, plate, standing = graded.verdict, graded.plate, graded.standing
        figures = plate_figures(plate.fries, standard, verdict) if plate is not None and plate.fries else NO_FIGURES
        told: dict[str, Any] = {
            "batch": batch.name,
            "photo": graded.name,
            "source": entry.source,
            "sha256": graded.sha256,
            "standard": standard.name,
            "standard_version": str(standard.version),
            "standard_sha256": standard_sha256(standard),
            "stage": standard.stage,
            "method_version": graded.method_version,
            "question": "" if verdict is None else verdict.terms.question.value,
            "outcome": REFUSED if verdict is None else verdict.outcome.value,
            "batch_outcome": None if batch.verdict is None else batch.verdict.outcome.value,
            "reasons": " ".join(reason.code for reason in graded.reasons),
            "card_serial": "" if graded.serial is None else str(graded.serial),
            "colour_level": None if standing is None else standing.colour.value,
            **asdict(figures),
        }
        return tuple(told[name] for name in _TABLES["plates"])


class _Part:
    """One file of each table, not yet in place; fries are written by the thousand."""

    def __init__(self, folder: Path, turn: int) -> None:
        self.plates = 0
        self._places = {name: folder / name / f"part-{turn:05}.parquet" for name in _TABLES}
        self._rows: dict[str, list[Sequence[Any]]] = {name: [] for name in _TABLES}
        self._open = ExitStack()
        self._write = {
            name: self._open.enter_context(parquet_table(_half(place), _TABLES[name]))
            for name, place in self._places.items()
        }

    def add(self, plate: Sequence[Any], fries: Sequence[Sequence[Any]]) -> None:
        self.plates += 1
        self._rows["plates"].append(plate)
        self._rows["fries"] += fries
        if len(self._rows["fries"]) >= ROWS_AT_ONCE:
            self._flush()

    def place(self) -> None:
        self._flush()
        self._open.close()
        for place in self._places.values():
            with _half(place).open("r+b") as file:  # Windows syncs only what may be written
                os.fsync(file.fileno())
            _half(place).replace(place)

    def drop(self) -> None:
        self._open.close()
        for place in self._places.values():
            _half(place).unlink(missing_ok=True)

    def _flush(self) -> None:
        for name, rows in self._rows.items():
            if rows:
                self._write[name](rows)
        self._rows = {name: [] for name in _TABLES}


def _half(place: Path) -> Path:
    return place.with_name(f".{place.name}.part")
