"""The records as files for other programs: plates, fries, decisions, events; CSV, Parquet or JSON.

Rows are read and written by the thousand, so that millions of fries need no more memory than a few.
"""

import json
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, fields
from datetime import date, datetime
from enum import StrEnum
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Select, select

from grader.csv_text import csv_text
from grader.records.database.figures import PlateFigures
from grader.records.database.fry_rows import TABLE_NAMES
from grader.records.database.house import House
from grader.records.database.house_tables import Fryer, Kitchen, Lot, Person, Shift, Station, Supplier
from grader.records.database.newest import newest, overtaken, thing_id
from grader.records.database.plate_tables import Batch, BatchDecision, Fry, Grading, HouseStandard, Photo, Plate
from grader.records.database.watch_tables import Event
from grader.records.summary import COLUMNS
from grader.records.whole_files import placing

ROWS_AT_ONCE = 20_000


class Kind(StrEnum):
    """What kind of file."""

    CSV = "csv"
    PARQUET = "parquet"
    JSON = "json"


@dataclass(frozen=True, slots=True, kw_only=True)
class Exported:
    """One file that was written, and how many rows are in it."""

    file: Path
    rows: int


Cells = Sequence[Any]
Write = Callable[[Sequence[Cells]], None]


def export(house: House, folder: Path, kind: Kind) -> tuple[Exported, ...]:
    """Write all records into a folder, a file a table, as readers see them: corrected, what was withdrawn left out.

    All gradings of a plate are there, each with its method; fries name their grading. Files are in place when all are
    whole: one that fails leaves those of an earlier export as they were.

    Raises
    ------
    OSError
        They can't be written.
    """
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    with ExitStack() as whole, house.reading() as connection:
        streamed = connection.execution_options(yield_per=ROWS_AT_ONCE)
        for name, asked in _tables(connection).items():
            file, count = folder / f"{name}.{kind.value}", 0
            columns = {column.name: _python_type(column.type) for column in asked.selected_columns}
            half = whole.enter_context(placing(file))
            with _WRITERS[kind](half, columns) as write, streamed.execute(asked) as found:
                for rows in found.partitions():
                    write(rows)
                    count += len(rows)
            written.append(Exported(file=file, rows=count))
    return tuple(written)


def _tables(connection: Connection) -> dict[str, Select[*tuple[Any, ...]]]:
    return {"plates": _plates(), "fries": _fries(), "decisions": _decisions(connection), "events": _events()}


def _plates() -> Select[*tuple[Any, ...]]:
    figures = [getattr(Grading, field.name) for field in fields(PlateFigures)]
    return (
        select(
            Grading.id.label("grading"),
            thing_id(Plate).label("plate"),
            thing_id(Batch).label("batch"),
            Batch.name.label("batch_name"),
            Batch.day,
            Kitchen.name.label("kitchen"),
            Station.name.label("station"),
            Fryer.name.label("fryer"),
            Shift.name.label("shift"),
            Lot.number.label("lot"),
            Supplier.name.label("supplier"),
            Photo.name.label("photo"),
            Plate.photo_sha256,
            Plate.taken_at,
            Plate.taken_from,
            Plate.zone,
            HouseStandard.name.label("standard"),
            HouseStandard.version.label("standard_version"),
            HouseStandard.sha256.label("standard_sha256"),
            Grading.stage,
            Grading.method_version,
            Grading.question,
            Grading.outcome,
            Grading.mended,
            Grading.card_serial,
            Grading.card_values,
            Grading.kept_at,
            Person.initials.label("by"),
            *figures,
        )
        .select_from(Grading)
        .join(Plate, (thing_id(Plate) == Grading.plate_id) & newest(Plate))
        .join(Batch, (thing_id(Batch) == Plate.batch_id) & newest(Batch))
        .join(Kitchen, (thing_id(Kitchen) == Batch.kitchen_id) & newest(Kitchen))
        .outerjoin(Station, (thing_id(Station) == Batch.station_id) & newest(Station))
        .outerjoin(Fryer, (thing_id(Fryer) == Batch.fryer_id) & newest(Fryer))
        .outerjoin(Shift, (thing_id(Shift) == Batch.shift_id) & newest(Shift))
        .outerjoin(Lot, (thing_id(Lot) == Batch.lot_id) & newest(Lot))
        .outerjoin(Supplier, (thing_id(Supplier) == Lot.supplier_id) & newest(Supplier))
        .outerjoin(Person, Person.id == Grading.by_id)
        .join(Photo, Photo.sha256 == Plate.photo_sha256)
        .join(HouseStandard, HouseStandard.id == Grading.standard_id)
        .order_by(Grading.id)
    )


def _fries() -> Select[*tuple[Any, ...]]:
    """The columns of `fries.csv`, with the grading before them."""
    of_fry = {name: getattr(Fry, table).label(name) for name, table in TABLE_NAMES.items()}
    told = {"batch": Batch.name.label("batch"), "photo": Photo.name.label("photo"), **of_fry}
    return (
        select(Fry.grading_id.label("grading"), *(told[name] for name in COLUMNS))
        .select_from(Fry)
        .join(Grading, Grading.id == Fry.grading_id)
        .join(Plate, (thing_id(Plate) == Grading.plate_id) & newest(Plate))
        .join(Batch, (thing_id(Batch) == Plate.batch_id) & newest(Batch))
        .join(Photo, Photo.sha256 == Plate.photo_sha256)
        .order_by(Fry.grading_id, Fry.number)
    )


def _decisions(connection: Connection) -> Select[*tuple[Any, ...]]:
    """A decision stays as it was taken; one over a plate that was withdrawn since is marked."""
    decision = BatchDecision
    return (
        select(
            decision.id.label("decision"),
            decision.batch_id.label("batch"),
            Batch.name.label("batch_name"),
            HouseStandard.sha256.label("standard_sha256"),
            decision.stage,
            decision.method_version,
            decision.question,
            decision.outcome,
            decision.headline,
            decision.kept_at,
            decision.gradings,
            decision.id.in_(_over_withdrawn(connection)).label("over_withdrawn"),
            decision.verdict,
        )
        .select_from(decision)
        .join(Batch, (thing_id(Batch) == decision.batch_id) & newest(Batch))
        .join(HouseStandard, HouseStandard.id == decision.standard_id)
        .order_by(decision.id)
    )


def _over_withdrawn(connection: Connection) -> list[int]:
    """The decisions over plates of which one was withdrawn since."""
    of_plate = (thing_id(Plate) == Grading.plate_id) & ~overtaken(Plate)
    withdrawn = set(connection.scalars(select(Grading.id).join(Plate, of_plate).where(Plate.withdrawn)))
    decisions = connection.execute(select(BatchDecision.id, BatchDecision.gradings)) if withdrawn else ()
    return [decision for decision, gradings in decisions if not withdrawn.isdisjoint(gradings["ids"])]


def _events() -> Select[*tuple[Any, ...]]:
    return (
        select(
            thing_id(Event).label("event"),
            Event.at,
            Event.kind,
            Kitchen.name.label("kitchen"),
            Fryer.name.label("fryer"),
            Lot.number.label("lot"),
            Event.words,
        )
        .select_from(Event)
        .join(Kitchen, (thing_id(Kitchen) == Event.kitchen_id) & newest(Kitchen))
        .outerjoin(Fryer, (thing_id(Fryer) == Event.fryer_id) & newest(Fryer))
        .outerjoin(Lot, (thing_id(Lot) == Event.lot_id) & newest(Lot))
        .where(newest(Event))
        .order_by(Event.at)
    )


def _python_type(of: Any) -> type:
    found = of.python_type
    return found if isinstance(found, type) else object


@contextmanager
def _csv(file: Path, columns: dict[str, type]) -> Iterator[Write]:
    """Commas, UTF-8 with the byte order mark that spreadsheets want; no cell runs."""
    with file.open("w", encoding="utf-8-sig", newline="") as opened:
        opened.write(csv_text([tuple(columns)]))

        def write(rows: Sequence[Cells]) -> None:
            opened.write(csv_text([_cell(value) for value in row] for row in rows))

        yield write


def _cell(value: Any) -> Any:
    match value:
        case bool():
            return "yes" if value else "no"
        case dict() | list():
            return json.dumps(value, ensure_ascii=False)
        case datetime() | date():
            return value.isoformat()
        case _:
            return value


@contextmanager
def _json(file: Path, columns: dict[str, type]) -> Iterator[Write]:
    """One list, an object a row."""
    with file.open("w", encoding="utf-8", newline="\n") as opened:
        opened.write("[")

        def write(rows: Sequence[Cells]) -> None:
            for row in rows:
                before = "\n" if opened.tell() == 1 else ",\n"
                told = dict(zip(columns, row, strict=True))
                opened.write(before + json.dumps(told, ensure_ascii=False, default=_moment))

        yield write
        opened.write("\n]\n")


def _moment(value: Any) -> str:
    return str(value.isoformat())


@contextmanager
def parquet_table(file: Path, columns: dict[str, type]) -> Iterator[Write]:
    """A Parquet file, open for rows: typed columns; moments in UTC, what is no plain value as JSON text."""
    import pyarrow as pa  # noqa: PLC0415 - takes a while to load
    from pyarrow import parquet  # noqa: PLC0415

    kinds = {
        bool: pa.bool_(),
        int: pa.int64(),
        float: pa.float64(),
        str: pa.string(),
        date: pa.date32(),
        datetime: pa.timestamp("us", tz="UTC"),
    }
    schema = pa.schema([(name, kinds.get(of, pa.string())) for name, of in columns.items()])

    def write(rows: Sequence[Cells]) -> None:
        cells = zip(*rows, strict=True)
        arrays = [
            pa.array([_parquet_cell(value) for value in values], type=field.type)
            for field, values in zip(schema, cells, strict=True)
        ]
        opened.write_table(pa.Table.from_arrays(arrays, schema=schema))

    with parquet.ParquetWriter(file, schema, compression="zstd") as opened:
        yield write


def _parquet_cell(value: Any) -> Any:
    return json.dumps(value, ensure_ascii=False) if isinstance(value, dict | list) else value


_WRITERS = {Kind.CSV: _csv, Kind.PARQUET: parquet_table, Kind.JSON: _json}
