"""What charts and pages ask of the records: plates as charts see them, the newest plates, the newest batches.

Every reader sees the newest row of each thing. No question reads fries: what it needs of them stands on the gradings.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, cast

from sqlalchemy import ColumnElement, Connection, Row, Select, Text, exists, func, or_, select
from sqlalchemy import cast as sql_cast
from sqlalchemy.orm import aliased

from grader.consistency.model import PlateSummary
from grader.records.database.columns import Correctable
from grader.records.database.house import House
from grader.records.database.house_tables import Fryer, Kitchen, Lot, Shift, Station, Supplier
from grader.records.database.kept_shares import KeptShares
from grader.records.database.newest import newest, thing_id
from grader.records.database.plate_tables import REFUSED, Batch, BatchDecision, Grading, HouseStandard, Plate
from grader.standard.model import FINISHED, StageName

PAGE = 50
"""Rows of a page."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """Which plates are asked for; what is empty or None doesn't narrow. Times are UTC, `until` itself left out."""

    kitchen: str = ""
    fryer: str = ""
    shift: str = ""
    lot: str = ""
    since: datetime | None = None
    until: datetime | None = None
    outcome: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateLine:
    """One plate in a list: what its newest grading found; `grading_id` finds its fries."""

    plate_id: int
    grading_id: int
    batch: str
    kitchen: str
    taken_at: datetime
    zone: str
    photo_sha256: str
    outcome: str
    fries: int
    place_mean: float | None
    method_version: str
    standard: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchLine:
    """One batch in a list, with its newest decision; `outcome` and `headline` are empty where there is none yet."""

    batch_id: int
    name: str
    kitchen: str
    shift: str
    lot: str
    day: date
    plates: int
    outcome: str
    headline: str


def chart_plates(
    house: House,
    wanted: Wanted,
    *,
    standard_sha256: str,
    stage: StageName = FINISHED,
    at_most: int = 1500,
) -> tuple[PlateSummary, ...]:
    """Plates as charts see them, by one standard and stage, the earliest first; of many the latest `at_most`.

    Of each plate it is the newest grading; plates that could not be judged are left out.
    """
    with house.reading() as connection:
        asked = chart_query(connection, wanted, standard_sha256=standard_sha256, stage=stage)
        rows = connection.execute(asked.limit(at_most)).all()
        names = _Names(connection, rows)
        return tuple(_summary(row, names) for row in reversed(rows))


def chart_query(
    connection: Connection, wanted: Wanted, *, standard_sha256: str, stage: StageName
) -> Select[*tuple[Any, ...]]:
    """The question that `chart_plates` asks, the latest first."""
    standard = HouseStandard
    later = aliased(Grading)
    overtaken = exists().where(
        later.plate_id == Grading.plate_id,
        later.standard_id == Grading.standard_id,
        later.stage == Grading.stage,
        later.id > Grading.id,
    )
    return (
        _of_plates(wanted, connection)
        .add_columns(standard.name.label("standard_name"), standard.version.label("standard_version"), standard.sha256)
        .join(standard, standard.id == Grading.standard_id)
        .where(standard.sha256 == standard_sha256, Grading.stage == stage, Grading.outcome != REFUSED, ~overtaken)
        .order_by(Plate.taken_at.desc(), Plate.id.desc())
    )


def plates_page(house: House, wanted: Wanted, *, before: tuple[datetime, int] | None = None) -> tuple[PlateLine, ...]:
    """The newest plates first, a page of them: those before a moment and plate, which the last of a page gives."""
    with house.reading() as connection:
        rows = connection.execute(plates_query(connection, wanted, before=before)).all()
        names = _Names(connection, rows)
        return tuple(
            PlateLine(
                plate_id=row.plate,
                grading_id=row.grading_id,
                batch=row.batch_name,
                kitchen=names.of(Kitchen, row.kitchen_id),
                taken_at=row.taken_at,
                zone=row.zone,
                photo_sha256=row.photo_sha256,
                outcome=row.outcome,
                fries=row.fries,
                place_mean=row.place_mean,
                method_version=row.method_version,
                standard=f"{row.standard_name}, version {row.standard_version}",
            )
            for row in rows
        )


def plates_query(
    connection: Connection, wanted: Wanted, *, before: tuple[datetime, int] | None = None
) -> Select[*tuple[Any, ...]]:
    """The question that `plates_page` asks."""
    later = aliased(Grading)
    asked = (
        _of_plates(wanted, connection)
        .add_columns(HouseStandard.name.label("standard_name"), HouseStandard.version.label("standard_version"))
        .join(HouseStandard, HouseStandard.id == Grading.standard_id)
        .where(~exists().where(later.plate_id == Grading.plate_id, later.id > Grading.id))
        .order_by(Plate.taken_at.desc(), thing_id(Plate).desc())
        .limit(PAGE)
    )
    if before is not None:
        at, plate = before
        asked = asked.where(or_(Plate.taken_at < at, (Plate.taken_at == at) & (thing_id(Plate) < plate)))
    return asked


def batches_page(house: House, wanted: Wanted, *, before: tuple[date, int] | None = None) -> tuple[BatchLine, ...]:
    """The newest batches first, a page of them, with their newest decision; paged as `plates_page` is."""
    with house.reading() as connection:
        rows = connection.execute(batches_query(connection, wanted, before=before)).all()
        ids = [row.batch for row in rows]
        plates = _plates_of(connection, ids)
        decisions = _decisions_of(connection, ids)
        names = _Names(connection, rows)
        return tuple(
            BatchLine(
                batch_id=row.batch,
                name=row.batch_name,
                kitchen=names.of(Kitchen, row.kitchen_id),
                shift=names.of(Shift, row.shift_id),
                lot=names.of(Lot, row.lot_id),
                day=row.day,
                plates=plates.get(row.batch, 0),
                outcome=decisions.get(row.batch, ("", ""))[0],
                headline=decisions.get(row.batch, ("", ""))[1],
            )
            for row in rows
        )


def batches_query(
    connection: Connection, wanted: Wanted, *, before: tuple[date, int] | None = None
) -> Select[*tuple[Any, ...]]:
    """The question that `batches_page` asks first."""
    batch = thing_id(Batch)
    asked = (
        select(batch.label("batch"), *_BATCH, Batch.day)
        .where(newest(Batch), *_here(wanted, connection))
        .order_by(Batch.day.desc(), batch.desc())
        .limit(PAGE)
    )
    if wanted.since is not None:
        asked = asked.where(Batch.day >= wanted.since.date())
    if wanted.until is not None:
        asked = asked.where(Batch.day <= wanted.until.date())
    if wanted.outcome:
        later = aliased(BatchDecision)
        overtaken = exists().where(later.batch_id == BatchDecision.batch_id, later.id > BatchDecision.id)
        decided = exists().where(
            BatchDecision.batch_id == batch,
            BatchDecision.outcome == wanted.outcome,
            ~overtaken.correlate(BatchDecision),
        )
        asked = asked.where(decided)
    if before is not None:
        day, batch_id = before
        asked = asked.where(or_(Batch.day < day, (Batch.day == day) & (batch < batch_id)))
    return asked


_BATCH = (
    Batch.name.label("batch_name"),
    Batch.kitchen_id,
    Batch.station_id,
    Batch.fryer_id,
    Batch.shift_id,
    Batch.lot_id,
)
_FIGURES = (
    Grading.id.label("grading_id"),
    Grading.stage,
    Grading.method_version,
    Grading.outcome,
    Grading.fries,
    Grading.coloured,
    Grading.measured,
    Grading.place_mean,
    Grading.place_sd,
    Grading.place_u,
    Grading.length_mean_mm,
    Grading.length_sd_mm,
    sql_cast(Grading.shares, Text).label("shares"),
)


def _of_plates(wanted: Wanted, connection: Connection) -> Select[*tuple[Any, ...]]:
    """Plates with their batch and gradings, whichever."""
    plate, batch = thing_id(Plate), thing_id(Batch)
    own = (plate.label("plate"), Plate.taken_at, Plate.zone, Plate.photo_sha256, batch.label("batch"))
    asked = (
        select(*own, *_BATCH, *_FIGURES)
        .select_from(Batch)
        .join(Plate, or_(Batch.id == Plate.batch_id, Batch.corrects_id == Plate.batch_id))  # both have an index
        .join(Grading, Grading.plate_id == plate)
        .where(newest(Batch), newest(Plate), *_here(wanted, connection))
    )
    if wanted.since is not None:
        asked = asked.where(Plate.taken_at >= wanted.since)
    if wanted.until is not None:
        asked = asked.where(Plate.taken_at < wanted.until)
    if wanted.outcome:
        asked = asked.where(Grading.outcome == wanted.outcome)
    return asked


def _here(wanted: Wanted, connection: Connection) -> list[ColumnElement[bool]]:
    """What narrows batches; a name that isn't known leaves none."""
    conditions: list[ColumnElement[bool]] = []
    for table, column, name, words in (
        (Kitchen, Batch.kitchen_id, Kitchen.name, wanted.kitchen),
        (Fryer, Batch.fryer_id, Fryer.name, wanted.fryer),
        (Shift, Batch.shift_id, Shift.name, wanted.shift),
        (Lot, Batch.lot_id, Lot.number, wanted.lot),
    ):
        if words and table is Shift:  # one a day: far too many to list
            conditions.append(column.in_(select(thing_id(Shift)).where(newest(Shift), name == words)))
        elif words:
            ids = connection.scalars(select(thing_id(table)).where(newest(table), name == words)).all()
            conditions.append(column.in_(ids))
    return conditions


def _plates_of(connection: Connection, batches: Sequence[int]) -> dict[int, int]:
    """How many plates each batch has."""
    counted = select(Plate.batch_id, func.count()).where(newest(Plate), Plate.batch_id.in_(batches))
    return dict(connection.execute(counted.group_by(Plate.batch_id)).all())


def _decisions_of(connection: Connection, batches: Sequence[int]) -> dict[int, tuple[str, str]]:
    """The newest decision on each batch: outcome and headline."""
    decision = BatchDecision
    told = select(decision.batch_id, decision.outcome, decision.headline).where(decision.batch_id.in_(batches))
    return {row.batch_id: (row.outcome, row.headline) for row in connection.execute(told.order_by(decision.id))}


_NAMED: Mapping[str, tuple[type[Correctable], Any]] = {
    "kitchen_id": (Kitchen, Kitchen.name),
    "station_id": (Station, Station.name),
    "fryer_id": (Fryer, Fryer.name),
    "shift_id": (Shift, Shift.name),
    "lot_id": (Lot, Lot.number),
}


class _Names:
    """What the things that rows refer to are called now; asked for once each table."""

    def __init__(self, connection: Connection, rows: Iterable[Row[*tuple[Any, ...]]]) -> None:
        found = [row._mapping for row in rows]  # noqa: SLF001 - SQLAlchemy's public name for it
        self._names: dict[type[Correctable], dict[int, str]] = {}
        for column, (table, name) in _NAMED.items():
            ids = {row[column] for row in found if row.get(column) is not None}
            self._names[table] = names_of(connection, table, name, ids)
        lots = self._names[Lot]
        self.supplier_of = names_of(connection, Lot, Lot.supplier_id, set(lots))
        self._names[Supplier] = names_of(connection, Supplier, Supplier.name, set(self.supplier_of.values()))

    def of(self, table: type[Correctable], key: int | None) -> str:
        """Empty where there is none."""
        return "" if key is None else self._names[table].get(key, "")

    def supplier(self, lot_id: int | None) -> str:
        """Of a lot."""
        return "" if lot_id is None else self.of(Supplier, self.supplier_of.get(lot_id))


def names_of(connection: Connection, table: type[Correctable], column: Any, ids: set[int]) -> dict[int, Any]:
    """What the newest rows of some things say in a column, by the things' ids."""
    if not ids:
        return {}
    told = select(thing_id(table), column).where(newest(table), or_(table.id.in_(ids), table.corrects_id.in_(ids)))
    return dict(connection.execute(told).all())


def _summary(row: Row[*tuple[Any, ...]], names: _Names) -> PlateSummary:
    return PlateSummary(
        plate=str(row.plate),
        batch=str(row.batch),
        taken_at=row.taken_at,
        kitchen=names.of(Kitchen, row.kitchen_id),
        station=names.of(Station, row.station_id),
        fryer=names.of(Fryer, row.fryer_id),
        shift=names.of(Shift, row.shift_id),
        lot=names.of(Lot, row.lot_id),
        supplier=names.supplier(row.lot_id),
        stage=cast("StageName", row.stage),
        standard_name=row.standard_name,
        standard_version=row.standard_version,
        standard_sha256=row.sha256,
        coloured=row.coloured,
        place_mean=row.place_mean,
        place_shared_u=row.place_u,
        place_sd=row.place_sd,
        measured=row.measured,
        length_mean_mm=row.length_mean_mm,
        length_sd_mm=row.length_sd_mm,
        shares=KeptShares(row.shares),
    )
