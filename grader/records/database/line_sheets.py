"""Line sheets, kept with their batch: told at once or later, each telling adds to what was told before."""

from collections.abc import Iterable
from dataclasses import asdict, dataclass, fields
from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import Connection, Select, insert, select

from grader.line.causes import JudgedLimit, load_causes
from grader.line.house_notes import HouseNotes, read_notes
from grader.line.sheet import LineSheet, read_sheet, told_fields, usual_of
from grader.records.database.errors import RecordsRefused
from grader.records.database.house import House
from grader.records.database.house_tables import Fryer, Kitchen
from grader.records.database.line_tables import LineSheetRow
from grader.records.database.newest import newest, thing_id
from grader.records.database.plate_tables import Batch, BatchDecision
from grader.records.database.setting import Setting, check_setting
from grader.records.database.things import batch_of, kept_batch_of, kitchen_of, known_kitchen, writer
from grader.records.judged_batches import limits_of_record
from grader.standard.model import StageName

_FIELDS = tuple(field.name for field in fields(LineSheet))
USUAL_OF = 20
"""What a fryer usually does is told by so many of its latest sheets."""
USUAL_FROM = 3
"""With fewer, common practice stands in."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptSheet:
    """The line sheet of a batch, with what the house found beside it, and the cause that it was in the end."""

    batch_id: int
    sheet: LineSheet
    notes: HouseNotes
    cause_found: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchOnLine:
    """A batch by its id: which kitchen and fryer, on which day, in which time zone."""

    batch_id: int
    name: str
    kitchen: str
    zone: str
    fryer: str
    day: date


def batch_for(house: House, setting: Setting, *, now: datetime) -> int:
    """The batch that a setting names, of today by the kitchen's clock unless it names a day.

    It is added where it isn't kept yet, so that a sheet may come before its plates.

    Raises
    ------
    RecordsRefused
        The setting says too little, or contradicts what is kept.
    RecordsUnusable
        The database can't be written.
    """
    check_setting(setting)

    def add(connection: Connection) -> int:
        write = writer(connection, now=now, by=setting.by)
        kitchen_id, zone = kitchen_of(write, setting)
        return batch_of(write, setting, kitchen_id=kitchen_id, day=setting.day or now.astimezone(zone).date())

    return house.write(add)


def kept_batch(house: House, setting: Setting, *, now: datetime) -> int:
    """The same batch for whoever only asks: nothing is added.

    Raises
    ------
    RecordsRefused
        It isn't kept, or the setting says too little.
    """
    check_setting(setting)
    with house.reading() as connection:
        known, found = known_kitchen(connection, setting), None
        if known is not None:
            kitchen_id, zone = known
            day = setting.day or now.astimezone(zone).date()
            found = kept_batch_of(connection, setting, kitchen_id=kitchen_id, day=day)
    if found is None:
        hint = "Tell what was done with it, and it is added. See: python -m grader records show batch"
        raise RecordsRefused(f"No batch {setting.batch} is kept of that kitchen, fryer, shift, lot and day.", hint=hint)
    return found


def keep_sheet(
    house: House,
    batch_id: int,
    sheet: LineSheet,
    notes: HouseNotes | None = None,
    *,
    cause_found: str = "",
    by: str = "",
) -> KeptSheet:
    """Keep what was told of a batch, added to what was told before; gives all of it.

    Raises
    ------
    RecordsRefused
        There is no such batch, or no such cause.
    RecordsUnusable
        The database can't be written.
    """
    check_cause(cause_found)

    def keep(connection: Connection) -> KeptSheet:
        _check_batch(connection, batch_id)
        write = writer(connection, now=datetime.now(UTC), by=by)
        first, before = _told(connection, batch_id)
        told = KeptSheet(
            batch_id=batch_id,
            sheet=read_sheet(told_fields(before.sheet) | told_fields(sheet)),
            notes=read_notes(_known(before.notes) | ({} if notes is None else _known(notes))),
            cause_found=cause_found or before.cause_found,
        )
        if told != before or first is None:
            why = {} if first is None else {"corrects_id": first, "why": "told later"}
            row = {**asdict(told.sheet), "notes": _known(told.notes), "cause_found": told.cause_found, **why}
            words = {name: value or "" for name, value in row.items() if name in _WORDS}
            connection.execute(insert(LineSheetRow).values(**{**write.signed, "batch_id": batch_id, **row, **words}))
        return told

    return house.write(keep)


def check_cause(cause_found: str) -> None:
    """Refuse a cause that there isn't; empty text is none.

    Raises
    ------
    RecordsRefused
        With those that there are.
    """
    if cause_found and cause_found not in (keys := [cause.key for cause in load_causes()]):
        raise RecordsRefused(f"There is no cause {cause_found}.", hint=f"Causes: {', '.join(keys)}.")


def sheet_of(house: House, batch_id: int) -> KeptSheet:
    """All that was told of a batch; empty where nobody told anything."""
    with house.reading() as connection:
        return _told(connection, batch_id)[1]


def last_sheet(house: House, kitchen: str, *, fryer: str = "") -> LineSheet:
    """The newest sheet of a kitchen, or of one of its fryers: what a new one begins with; empty where there is none."""
    with house.reading() as connection:
        rows = connection.execute(_sheets(kitchen, fryer).limit(1)).all()
    return _sheet(rows[0]) if rows else LineSheet()


def usual_sheet(house: House, kitchen: str, *, fryer: str = "", but: int | None = None) -> LineSheet | None:
    """What a kitchen, or one of its fryers, usually does, by its latest sheets; None where there are too few.

    `but` is a batch that is left out: the one that is being looked at.
    """
    asked = _sheets(kitchen, fryer)
    if but is not None:
        asked = asked.where(LineSheetRow.batch_id != but)
    with house.reading() as connection:
        rows = connection.execute(asked.limit(USUAL_OF)).all()
    return usual_of([_sheet(row) for row in rows]) if len(rows) >= USUAL_FROM else None


def batch_on_line(house: House, batch_id: int) -> BatchOnLine:
    """A batch by its id.

    Raises
    ------
    RecordsRefused
        There is none, or its kitchen was withdrawn.
    """
    with house.reading() as connection:
        _check_batch(connection, batch_id)
        asked = (
            select(Batch.name, Batch.day, Batch.kitchen_id, Kitchen.name.label("kitchen"), Kitchen.zone, Batch.fryer_id)
            .outerjoin(Kitchen, (thing_id(Kitchen) == Batch.kitchen_id) & newest(Kitchen))
            .where(newest(Batch), thing_id(Batch) == batch_id)
        )
        row = connection.execute(asked).one()
        if row.kitchen is None:
            hint = f"Take it up again: python -m grader records correct kitchen {row.kitchen_id}."
            raise RecordsRefused(f"The kitchen of batch {batch_id} was withdrawn.", hint=hint)
        named = select(Fryer.name).where(newest(Fryer), thing_id(Fryer) == row.fryer_id)
        fryer = connection.scalar(named) if row.fryer_id else None
    return BatchOnLine(
        batch_id=batch_id, name=row.name, kitchen=row.kitchen, zone=row.zone, fryer=fryer or "", day=row.day
    )


def judged_limits(house: House, batch_id: int) -> tuple[tuple[JudgedLimit, ...], StageName]:
    """The limits of the newest decision on a batch, and the stage of its plates.

    Raises
    ------
    RecordsRefused
        There is no decision on it, or none of its plates could be judged.
    """
    asked = select(BatchDecision.verdict, BatchDecision.stage, BatchDecision.outcome)
    asked = asked.where(BatchDecision.batch_id == batch_id).order_by(BatchDecision.id.desc())
    with house.reading() as connection:
        row = connection.execute(asked).first()
    if row is None or row.verdict is None:
        hint = "Say with --seen what is wrong, or bring its plates into the records."
        raise RecordsRefused(f"The records hold no verdict on batch {batch_id}.", hint=hint)
    stage: StageName = row.stage
    return limits_of_record(row.verdict["limits"]), stage


_WORDS = frozenset({"wash", "drying", "oil_kind", "cooling", "hold"})


def _check_batch(connection: Connection, batch_id: int) -> None:
    if connection.scalar(select(Batch.id).where(newest(Batch), thing_id(Batch) == batch_id)) is None:
        raise RecordsRefused(f"There is no batch {batch_id}.", hint="See: python -m grader records show batch")


def _sheets(kitchen: str, fryer: str) -> Select[tuple[Any, ...]]:
    """The sheets of a kitchen, the newest first."""
    here = select(thing_id(Kitchen)).where(newest(Kitchen), Kitchen.name == kitchen)
    asked = (
        select(*(getattr(LineSheetRow, name) for name in _FIELDS))
        .join(Batch, thing_id(Batch) == LineSheetRow.batch_id)
        .where(newest(LineSheetRow), newest(Batch), Batch.kitchen_id.in_(here))
        .order_by(Batch.day.desc(), LineSheetRow.id.desc())
    )
    if fryer:
        there = select(thing_id(Fryer)).where(newest(Fryer), Fryer.name == fryer, Fryer.kitchen_id.in_(here))
        asked = asked.where(Batch.fryer_id.in_(there))
    return asked


def _sheet(values: Iterable[Any]) -> LineSheet:
    return read_sheet(dict(zip(_FIELDS, values, strict=True)))


def _told(connection: Connection, batch_id: int) -> tuple[int | None, KeptSheet]:
    row = LineSheetRow
    asked = select(*(getattr(row, name) for name in _FIELDS), thing_id(row), row.notes, row.cause_found)
    found = connection.execute(asked.where(newest(row), row.batch_id == batch_id)).first()
    if found is None:
        return None, KeptSheet(batch_id=batch_id, sheet=LineSheet(), notes=HouseNotes(), cause_found="")
    *values, first, notes, cause = found
    return int(first), KeptSheet(batch_id=batch_id, sheet=_sheet(values), notes=read_notes(notes), cause_found=cause)


def _known(notes: HouseNotes) -> dict[str, Any]:
    return {name: value for name, value in asdict(notes).items() if value is not None}
