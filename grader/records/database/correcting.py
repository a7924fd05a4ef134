"""Corrections: a new row that says everything anew, with who, when and why; the earlier ones stay."""

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import CheckConstraint, Connection, Table, insert, or_, select
from sqlalchemy.exc import IntegrityError

from grader.records.database.columns import Base, Correctable
from grader.records.database.correction_checks import check_only_one, check_values, identity
from grader.records.database.errors import RecordsRefused
from grader.records.database.house import House
from grader.records.database.house_tables import Person
from grader.records.database.newest import newest, overtaken, thing_id
from grader.records.database.plate_tables import Batch
from grader.records.database.setting import zone_called
from grader.records.database.tables import correctable_tables
from grader.records.database.things import writer
from grader.records.kept_files import Signed

_NEVER = frozenset(
    {"id", "kept_at", "by_id", "why", "corrects_id", "sign", "photo_sha256", "figures", "readings", "notes", "plan"}
)
"""What a correction can't change: how a row is signed, and what was measured or drawn."""
_LARGEST_WHOLE = 2**31 - 1
"""What a column of whole numbers holds on every database."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Version:
    """One row of a thing: what it says, who kept it, when, why; the first has no reason."""

    values: Mapping[str, Any]
    by: str
    at: datetime
    why: str
    withdrawn: bool


def correct(
    house: House, what: str, thing: int, changes: Mapping[str, str], *, signed: Signed, withdraw: bool = False
) -> int:
    """Add a correction of a thing; the new row's id.

    Parameters
    ----------
    what, thing
        The table ("lot", "plate", "event", ...) and the thing's id, as lists and exports name it.
    changes
        By column, the new value as a person writes it; empty text where it isn't known.
    withdraw
        Say that the thing isn't so at all: readers pass over it from then on.

    Raises
    ------
    RecordsRefused
        There is no such thing or column, a value can't be read or be so, another thing is that already, nothing
        changes, or initials or reason are missing.
    SheetError
        A line sheet can't say that.
    RecordsUnusable
        The database can't be written.
    """
    rows = correctable_tables().get(what)
    if rows is None:
        raise RecordsRefused(f"{what} can't be corrected.", hint=f"These can: {', '.join(correctable_tables())}.")
    if not signed.by.strip() or not signed.why.strip():
        raise RecordsRefused("A correction needs initials and a reason.", hint="Nothing was changed.")

    def add(connection: Connection) -> int:
        write = writer(connection, now=signed.at, by=signed.by)
        before = _newest_row(connection, rows, thing)
        new = _read_changes(_table(rows), changes, before)
        check_values(_table(rows), new, now=signed.at)
        _check_refers(connection, rows, new)
        if not new and withdraw == before["withdrawn"]:
            raise RecordsRefused("This changes nothing.", hint="Nothing was changed.")
        kept = {name: value for name, value in before.items() if name != "id"}
        if not withdraw and (before["withdrawn"] or not new.keys().isdisjoint(identity(_table(rows)))):
            check_only_one(connection, rows, _table(rows), thing, {**kept, **new})
        correction = {**write.signed, "why": signed.why, "withdrawn": withdraw, "corrects_id": thing}
        added = insert(rows).values(**{**kept, **correction, **new}).returning(rows.id)
        return connection.execute(added).scalar_one()

    try:
        return house.write(add)
    except IntegrityError as error:
        can = "; ".join(sorted(_asked(_table(rows))))
        raise RecordsRefused(f"{what} {thing} can't be so. Nothing was changed.", hint=f"It must be: {can}.") from error


def _asked(table: Table) -> Iterator[str]:
    """What the database itself asks of a row's values."""
    checks = (one for one in table.constraints if isinstance(one, CheckConstraint))
    return (str(one.sqltext) for one in checks)


def versions_of(house: House, what: str, thing: int) -> tuple[Version, ...]:
    """All rows of a thing, the first first; none where there is no such thing."""
    rows = correctable_tables()[what]
    told = (
        select(_table(rows), Person.initials)
        .outerjoin(Person, Person.id == rows.by_id)
        .where(or_(rows.id == thing, rows.corrects_id == thing))
        .order_by(rows.id)
    )
    with house.reading() as connection:
        return tuple(
            Version(
                values={name: value for name, value in row.items() if name not in _NEVER | {"initials", "withdrawn"}},
                by=row["initials"] or "",
                at=row["kept_at"],
                why=row["why"],
                withdrawn=row["withdrawn"],
            )
            for row in connection.execute(told).mappings()
        )


def _table(rows: type[Correctable]) -> Table:
    if not issubclass(rows, Base) or not isinstance(rows.__table__, Table):
        raise TypeError(rows)
    return rows.__table__


def _newest_row(connection: Connection, rows: type[Correctable], thing: int) -> Mapping[str, Any]:
    asked = select(_table(rows)).where(thing_id(rows) == thing, ~overtaken(rows))
    found = connection.execute(asked).first()
    if found is None:
        name = _table(rows).name
        raise RecordsRefused(f"There is no {name} {thing}.", hint=f"See: python -m grader records show {name}")
    return found._asdict()


def _read_changes(table: Table, changes: Mapping[str, str], before: Mapping[str, Any]) -> dict[str, Any]:
    can = [column.name for column in table.columns if column.name not in _NEVER | {"withdrawn"}]
    unknown = [name for name in changes if name not in can]
    if unknown:
        raise RecordsRefused(
            f"{', '.join(unknown)} can't be corrected in {table.name}.", hint=f"Can: {', '.join(can)}."
        )
    new = {name: _value(table, name, text) for name, text in changes.items()}
    return {name: value for name, value in new.items() if value != before[name]}


def _value(table: Table, name: str, text: str) -> Any:
    """A value as a person writes it, in the column's own kind."""
    column = table.columns[name]
    kind = column.type.python_type
    if not text.strip() and column.nullable:
        return None
    if name == "zone":
        return zone_called(text).key
    try:
        return _READ.get(kind, kind)(text)
    except (KeyError, ValueError, OverflowError) as error:
        how = {
            datetime: "as 2026-10-06T12:10+01:00, with its offset",
            date: "as 2026-10-06",
            int: "as a whole number",
            bool: "as yes or no",
        }
        hint = f"Write it {how.get(kind, 'as a number')}."
        raise RecordsRefused(f'{name} can\'t be "{text}".', hint=hint) from error


def _moment(text: str) -> datetime:
    told = datetime.fromisoformat(text)
    if told.tzinfo is None:
        raise ValueError(text)
    return told.astimezone(UTC).replace(microsecond=0)


def _number(text: str) -> float:
    told = float(text)
    if not math.isfinite(told):
        raise ValueError(text)
    return told


def _whole(text: str) -> int:
    told = int(text)
    if abs(told) > _LARGEST_WHOLE:
        raise ValueError(text)
    return told


_READ: Mapping[type, Callable[[str], Any]] = {
    datetime: _moment,
    date: date.fromisoformat,
    bool: lambda text: {"yes": True, "no": False}[text.strip().lower()],
    float: _number,
    int: _whole,
}


def _check_refers(connection: Connection, rows: type[Correctable], new: Mapping[str, Any]) -> None:
    """What a row refers to must be the first row of a thing: a correction's own id stands for nothing."""
    tables = correctable_tables()
    for name, value in new.items():
        for key in _table(rows).columns[name].foreign_keys:
            other = tables.get(key.column.table.name)
            if other is not None and value is not None:
                _check_first(connection, other, name, value)


def _check_first(connection: Connection, other: type[Correctable], name: str, value: int) -> None:
    first = select(other.id).where(other.id == value, other.corrects_id.is_(None))
    if connection.scalar(first) is None:
        hint = f"See: python -m grader records show {_table(other).name}"
        raise RecordsRefused(f"{name} {value} is no {_table(other).name}.", hint=hint)


def listed(house: House, what: str) -> list[Mapping[str, Any]]:
    """The newest row of every thing of a kind, by its id; left out is what was withdrawn, itself or with its batch."""
    rows = correctable_tables()[what]
    table = _table(rows)
    shown = [column for column in table.columns if column.name not in {"id", "corrects_id", "sign", "withdrawn"}]
    asked = select(thing_id(rows).label("id"), *shown).where(newest(rows)).order_by(thing_id(rows))
    if "batch_id" in table.columns:
        asked = asked.where(table.columns["batch_id"].in_(select(thing_id(Batch)).where(newest(Batch))))
    with house.reading() as connection:
        return [row._asdict() for row in connection.execute(asked)]
