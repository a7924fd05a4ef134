"""Years of an invented house's plates put straight into the records' tables, to see how long its pages take then.

A dozen kitchens of two shifts take two batches of three plates each shift. Every plate is a copy of one that the front
door kept before, with figures of its own where charts look; its fries are copied inside the database.
"""

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from itertools import islice
from typing import Any

import numpy as np
from sqlalchemy import Connection, Table, func, insert, literal, select

from grader.records.database.columns import Base
from grader.records.database.house_tables import Fryer, Kitchen, Lot, Shift, Station, Supplier
from grader.records.database.plate_tables import (
    Batch,
    BatchDecision,
    Fry,
    Grading,
    GradingRecord,
    Photo,
    Plate,
)

Row = dict[str, Any]

KITCHENS, SHIFTS, BATCHES_A_SHIFT, PLATES_A_BATCH = 12, ("lunch", "dinner"), 2, 3
FRYERS, STATIONS, SUPPLIERS, LOTS = 3, 2, 5, 200
FRIES_A_PLATE = 40
FIRST_DAY = date(2024, 1, 1)
CHUNK = 5000


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """How much lies in a database afterwards, with what was there before."""

    plates: int
    batches: int
    fries: int
    last_day: date


def fill(connection: Connection, *, plates: int, seed: int = 1) -> Filled:
    """Add so many plates to records in which the front door kept some already; all in the connection's transaction."""
    patterns = list(connection.scalars(select(Grading.id).where(Grading.outcome != "refused").order_by(Grading.id)))
    batches = -(-plates // PLATES_A_BATCH)
    house = _House(connection, batches)
    first_batch = _next(connection, Batch)
    _add(connection, Batch, (house.batch(first_batch, at) for at in range(batches)))
    first_plate, first_grading = _next(connection, Plate), _next(connection, Grading)
    _add(connection, Photo, (_photo(at) for at in range(plates)))
    _add(connection, Plate, (_plate(first_plate, first_batch, at) for at in range(plates)))
    _add(connection, Grading, _gradings(connection, patterns, first_plate, first_grading, plates, seed))
    _copy(connection, Fry, patterns, first_grading, Fry.number <= FRIES_A_PLATE)
    _copy(connection, GradingRecord, patterns, first_grading, literal(value=True))
    _add(connection, BatchDecision, _decisions(connection, first_batch, first_grading, batches))
    _catch_up(connection)
    return Filled(
        plates=_count(connection, Plate),
        batches=_count(connection, Batch),
        fries=_count(connection, Fry),
        last_day=house.day(batches - 1),
    )


class _House:
    """The house's kitchens and what belongs to them, added first; batches go round them."""

    def __init__(self, connection: Connection, batches: int) -> None:
        self.kitchens = _named(
            connection, Kitchen, [{"name": f"Kitchen {k}", "zone": "Europe/Lisbon"} for k in range(KITCHENS)]
        )
        self.stations = _named(connection, Station, self._each(STATIONS, "Pass"))
        self.fryers = _named(connection, Fryer, self._each(FRYERS, "Fryer"))
        suppliers = _named(connection, Supplier, [{"name": f"Supplier {s}"} for s in range(SUPPLIERS)])
        self.lots = _named(connection, Lot, [_lot(suppliers[at % SUPPLIERS], at) for at in range(LOTS)])
        days = (self.day(batches - 1) - FIRST_DAY).days + 1
        self.shifts = _named(connection, Shift, [self._shift(at) for at in range(days * KITCHENS * len(SHIFTS))])

    def _each(self, count: int, word: str) -> list[Row]:
        return [{"kitchen_id": kitchen, "name": f"{word} {at}"} for kitchen in self.kitchens for at in range(count)]

    def day(self, at: int) -> date:
        """The day of a batch, counted from the first."""
        return FIRST_DAY + timedelta(days=at // (KITCHENS * len(SHIFTS) * BATCHES_A_SHIFT))

    def batch(self, first: int, at: int) -> Row:
        kitchen = at % KITCHENS
        turn = at // KITCHENS % len(SHIFTS)
        day = self.day(at)
        return _corrected_by_none(
            id=first + at,
            sign=f"many {at}",
            kitchen_id=self.kitchens[kitchen],
            day=day,
            name=f"{SHIFTS[turn]} {at}",
            station_id=self.stations[kitchen * STATIONS + at % STATIONS],
            fryer_id=self.fryers[kitchen * FRYERS + at // KITCHENS % FRYERS],
            shift_id=self.shifts[((day - FIRST_DAY).days * len(SHIFTS) + turn) * KITCHENS + kitchen],
            lot_id=self.lots[(day - FIRST_DAY).days * LOTS // 730 % LOTS],
        )

    def _shift(self, at: int) -> Row:
        """Kitchen by kitchen, then their second shift, then the next day: batches go round them in this order."""
        kitchen, turn, days = at % KITCHENS, at // KITCHENS % len(SHIFTS), at // (KITCHENS * len(SHIFTS))
        return {"kitchen_id": self.kitchens[kitchen], "day": FIRST_DAY + timedelta(days=days), "name": SHIFTS[turn]}


def _lot(supplier: int, at: int) -> Row:
    return {
        "supplier_id": supplier,
        "number": f"Lot {at}",
        "variety": "invented",
        "storage": f"{at % 40} weeks at 8 degrees C",
        "received": FIRST_DAY + timedelta(days=at),
        "count_size": "",
        "solids_percent": 20.5,
    }


def _photo(at: int) -> Row:
    name = f"many-{at}.jpg"
    return {"sha256": _sha256(at), "bytes": 3_000_000, "media_type": "image/jpeg", "name": name, "kept_at": _moment(at)}


def _plate(first: int, first_batch: int, at: int) -> Row:
    return _corrected_by_none(
        id=first + at,
        batch_id=first_batch + at // PLATES_A_BATCH,
        photo_sha256=_sha256(at),
        taken_at=_moment(at),
        taken_from="photo",
        zone="Europe/Lisbon",
    )


def _gradings(
    connection: Connection, patterns: Sequence[int], first_plate: int, first_grading: int, plates: int, seed: int
) -> Iterator[Row]:
    """Places that wander a little, from plate to plate and over the months."""
    rng = np.random.default_rng(seed)
    rows = [dict(row) for row in connection.execute(select(Grading.__table__).order_by(Grading.id)).mappings()]
    by_id = {row["id"]: row for row in rows}
    places = 3.8 + 0.15 * rng.normal(size=plates) + 0.2 * np.sin(np.arange(plates) / 3000)
    for at in range(plates):
        yield {
            **by_id[_pattern_of(patterns, first_grading + at)],
            "id": first_grading + at,
            "sign": f"many {at}",
            "plate_id": first_plate + at,
            "kept_at": _moment(at),
            "fries": FRIES_A_PLATE,
            "place_mean": float(places[at]),
        }


def _decisions(connection: Connection, first_batch: int, first_grading: int, batches: int) -> Iterator[Row]:
    grading = connection.execute(select(Grading.__table__, GradingRecord.record).join(GradingRecord)).mappings().first()
    assert grading is not None
    copied = ("standard_id", "stage", "method_version", "question", "outcome", "by_id")
    for at in range(batches):
        yield {
            **{name: grading[name] for name in copied},
            "sign": f"many {at}",
            "batch_id": first_batch + at,
            "headline": grading["record"]["verdict"]["headline"],
            "kept_at": _moment(at * PLATES_A_BATCH),
            "gradings": {"ids": [first_grading + at * PLATES_A_BATCH + one for one in range(PLATES_A_BATCH)]},
            "verdict": grading["record"]["verdict"],
        }


def _pattern_of(patterns: Sequence[int], grading: int) -> int:
    return patterns[grading % len(patterns)]


def _copy(connection: Connection, table: type[Base], patterns: Sequence[int], first: int, which: Any) -> None:
    """Rows of the patterns' gradings again, for every grading from `first` on."""
    source = _table(table)
    others = [column for column in source.columns if column.name != "grading_id"]
    for at, pattern in enumerate(patterns):
        rows = (
            select(Grading.id, *others)
            .join(source, source.c.grading_id == pattern)
            .where(Grading.id >= first, Grading.id % len(patterns) == at, which)
        )
        connection.execute(insert(source).from_select(["grading_id", *(column.name for column in others)], rows))


def _named(connection: Connection, table: type[Base], rows: list[Row]) -> list[int]:
    """Add rows of something that has a name; their ids."""
    first = _next(connection, table)
    numbered = [_corrected_by_none(id=first + at, **row) for at, row in enumerate(rows)]
    _add(connection, table, iter(numbered))
    return [row["id"] for row in numbered]


def _corrected_by_none(**row: Any) -> Row:
    kept: Row = {"kept_at": _moment(0), "by_id": None, "why": "", "withdrawn": False, "corrects_id": None}
    return kept | row


def _add(connection: Connection, table: type[Base], rows: Iterator[Row]) -> None:
    while chunk := list(islice(rows, CHUNK)):
        connection.execute(insert(_table(table)), chunk)


def _table(table: type[Base]) -> Table:
    found = table.__table__
    assert isinstance(found, Table)
    return found


def _next(connection: Connection, table: type[Base]) -> int:
    return (connection.scalar(select(func.max(_table(table).c.id))) or 0) + 1


def _count(connection: Connection, table: type[Base]) -> int:
    return connection.scalar(select(func.count()).select_from(_table(table))) or 0


def _moment(at: int) -> datetime:
    """When a plate was photographed: some minutes after the one before it, evenly over its day."""
    a_day = KITCHENS * len(SHIFTS) * BATCHES_A_SHIFT * PLATES_A_BATCH
    start = datetime.combine(FIRST_DAY, datetime.min.time(), UTC) + timedelta(hours=11)
    return start + timedelta(days=at // a_day, minutes=at % a_day * 600 // a_day)


def _sha256(at: int) -> str:
    return hashlib.sha256(f"many {at}".encode()).hexdigest()


def _catch_up(connection: Connection) -> None:
    """Ids were given here, so PostgreSQL's own counters are told where to go on."""
    if connection.dialect.name != "postgresql":
        return
    for table in (Kitchen, Station, Fryer, Supplier, Lot, Shift, Batch, Plate, Grading):
        counter = func.pg_get_serial_sequence(table.__tablename__, "id")
        connection.execute(select(func.setval(counter, func.max(_table(table).c.id))))
