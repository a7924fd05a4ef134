"""What a correction can't say: what keeping refuses too, what has not come yet, what another thing is already."""

from collections.abc import Mapping
from dataclasses import fields
from datetime import UTC, datetime, timedelta
from typing import Any, get_args

from sqlalchemy import ColumnElement, Connection, Table, select

from grader.line.sheet import LineSheet, read_sheet
from grader.records.database.columns import Correctable
from grader.records.database.errors import RecordsRefused
from grader.records.database.house_tables import Shift
from grader.records.database.line_sheets import check_cause
from grader.records.database.newest import newest, thing_id
from grader.records.database.plate_checks import PlateFacts, check_facts
from grader.records.database.setting import TakenFrom, check_told

_NEEDED = ("name", "number")
"""What things are called; the database asks only that it isn't missing."""
_FURTHEST_AHEAD = timedelta(hours=14)
"""No clock on Earth is further ahead of UTC."""
_BATCH_IS = ("kitchen_id", "day", "name", "station_id", "fryer_id", "shift_id", "lot_id")
"""What a batch's sign is made of."""


def check_values(table: Table, new: Mapping[str, Any], *, now: datetime) -> None:
    """Refuse new values that couldn't have been kept, and days and moments of photos that are after `now`.

    Raises
    ------
    RecordsRefused, SheetError
        With what is wrong.
    """
    named = {name: new[name] for name in (*_NEEDED, "shift") if name in new}
    check_told(named, needed=_NEEDED, solids=new.get("solids_percent"))
    if table.name == "plate_check":
        check_facts(PlateFacts(**{one.name: new[one.name] for one in fields(PlateFacts) if one.name in new}))
    if table.name == "line_sheet":
        read_sheet({one.name: new[one.name] for one in fields(LineSheet) if one.name in new})
        check_cause(new.get("cause_found", ""))
    _check_taken(new, now.astimezone(UTC))


def _check_taken(new: Mapping[str, Any], now: datetime) -> None:
    sources = get_args(TakenFrom)
    source, taken_at = new.get("taken_from", sources[0]), new.get("taken_at", now)
    today = (now + _FURTHEST_AHEAD).date()
    days = {name: new.get(name) or today for name in ("day", "received")}
    wrong = [] if source in sources else [f"taken_from is {', '.join(sources[:-1])} or {sources[-1]}"]
    wrong += [f"{taken_at.isoformat()} has not come yet"] if taken_at > now else []
    wrong += [f"{name} {day.isoformat()} has not come yet" for name, day in days.items() if day > today]
    if wrong:
        raise RecordsRefused(f"This can't be so: {'; '.join(wrong)}.", hint="Nothing was changed. Say it otherwise.")


def check_only_one(
    connection: Connection, rows: type[Correctable], table: Table, thing: int, row: Mapping[str, Any]
) -> None:
    """Refuse a row that says of this thing what tells another one from all others.

    Raises
    ------
    RecordsRefused
        With the other's id.
    """
    columns = identity(table)
    same = [_same(connection, rows, name, row[name]) for name in columns]
    other = connection.scalar(select(thing_id(rows)).where(newest(rows), thing_id(rows) != thing, *same).limit(1))
    if columns and other is not None:
        instead = (
            f"Move the plates there: python -m grader records correct plate ID --set batch_id={other}"
            if table.name == "batch"
            else f"See: python -m grader records show {table.name} {other}"
        )
        told = f"That is {table.name} {other} already; there can't be two."
        raise RecordsRefused(told, hint=f"Nothing was changed. {instead}")


def identity(table: Table) -> tuple[str, ...]:
    """The columns that tell a thing from all others of its kind; none where two may be alike."""
    if table.name == "batch":
        return _BATCH_IS
    return next((tuple(index.columns.keys()) for index in table.indexes if index.unique), ())


def _same(connection: Connection, rows: type[Correctable], name: str, value: Any) -> ColumnElement[bool]:
    column: ColumnElement[Any] = getattr(rows, name)
    if name != "shift_id" or value is None:
        return column.is_not_distinct_from(value)
    # A shift is of one day: that of a batch whose day is corrected is another row than that of the batch it is beside.
    shift = connection.scalar(select(Shift.name).where(newest(Shift), thing_id(Shift) == value))
    return column.in_(select(thing_id(Shift)).where(newest(Shift), Shift.name == shift))
