"""Kitchens, shifts, lots and their kind, found by their names or added; two who add one at once get the same."""

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import ColumnElement, Connection, Select, insert, select
from sqlalchemy.dialects import postgresql, sqlite

from grader.records.database.columns import Base, Correctable
from grader.records.database.errors import RecordsRefused
from grader.records.database.house_tables import Fryer, Kitchen, Lot, Person, Shift, Station, Supplier
from grader.records.database.newest import newest, overtaken, thing_id
from grader.records.database.plate_tables import Batch
from grader.records.database.setting import LotFacts, Setting, zone_called


@dataclass(frozen=True, slots=True, kw_only=True)
class Writer:
    """One transaction that adds rows: its connection, the moment that its rows bear, whose initials."""

    connection: Connection
    now: datetime
    by_id: int | None

    @property
    def signed(self) -> dict[str, Any]:
        """What each row of a correctable thing says of its keeping."""
        return {"kept_at": self.now, "by_id": self.by_id, "why": "", "withdrawn": False, "corrects_id": None}


def writer(connection: Connection, *, now: datetime, by: str) -> Writer:
    """A writer in somebody's name; without initials, in nobody's."""
    if not by:
        return Writer(connection=connection, now=now, by_id=None)
    add_once(connection, Person, {"initials": by, "kept_at": now})
    by_id = connection.scalar(select(Person.id).where(Person.initials == by))
    return Writer(connection=connection, now=now, by_id=by_id)


def add_once(connection: Connection, table: type[Base], values: Mapping[str, Any]) -> bool:
    """Add a row unless one that excludes it is there; whether it was added."""
    rows = sqlite.insert(table) if connection.dialect.name == "sqlite" else postgresql.insert(table)
    added = rows.values(**values).on_conflict_do_nothing().returning(*table.__mapper__.primary_key)
    return connection.execute(added).first() is not None


def find_or_add(write: Writer, table: type[Correctable], key: Mapping[str, Any], rest: Mapping[str, Any]) -> int:
    """The id of the thing with these values, by its newest row; added where there is none.

    Raises
    ------
    RecordsRefused
        One of that name was corrected to another name, or withdrawn.
    """
    found = _find(write.connection, table, key)
    if found is None:
        add_once(write.connection, _as_base(table), {**write.signed, **rest, **key})
        found = _find(write.connection, table, key)
    if found is None:
        raise _no_longer(write.connection, table, key)
    return found


def _find(connection: Connection, table: type[Correctable], key: Mapping[str, Any]) -> int | None:
    asked = select(thing_id(table)).where(newest(table), *_these(table, key)).order_by(table.id).limit(1)
    return connection.scalar(asked)


def _kept_first(table: type[Correctable], key: Mapping[str, Any]) -> Select[Any]:
    """The thing that was kept with these values, whatever became of it since."""
    return select(table.id).where(table.corrects_id.is_(None), *_these(table, key))


def _these(table: type[Correctable], key: Mapping[str, Any]) -> list[ColumnElement[bool]]:
    return [getattr(table, column) == value for column, value in key.items()]


def _no_longer(connection: Connection, table: type[Correctable], key: Mapping[str, Any]) -> RecordsRefused:
    """Why the thing that was kept with these values first has them no longer."""
    first = connection.scalars(_kept_first(table, key)).one()
    newest_row = select(table.withdrawn).where(thing_id(table) == first, ~overtaken(table))
    named = ", ".join(str(value) for column, value in key.items() if not column.endswith("_id"))
    kind = _as_base(table).__tablename__
    if connection.scalars(newest_row).one():
        hint = f"Take it up again: python -m grader records correct {kind} {first}."
        return RecordsRefused(f'{table.__name__} "{named}" was withdrawn.', hint=hint)
    hint = f"Use its newer name: python -m grader records show {kind} {first}."
    return RecordsRefused(f'{table.__name__} "{named}" was corrected to another name.', hint=hint)


def _as_base(table: type[Correctable]) -> type[Base]:
    if not issubclass(table, Base):
        raise TypeError(table)
    return table


def kitchen_of(write: Writer, setting: Setting) -> tuple[int, ZoneInfo]:
    """The kitchen that is meant, and its time zone; one that isn't known yet is added.

    Raises
    ------
    RecordsRefused
        It isn't known and has no zone, or another zone than is kept; or it was withdrawn.
    """
    known = known_kitchen(write.connection, setting)
    if known is not None:
        return known
    zone = zone_of_new(write.connection, setting)
    return find_or_add(write, Kitchen, {"name": setting.kitchen}, {"zone": setting.zone}), zone


def zone_of_new(connection: Connection, setting: Setting) -> ZoneInfo:
    """The time zone of a kitchen that isn't known yet.

    Raises
    ------
    RecordsRefused
        It has none, or none that there is; or it was known before, and withdrawn or corrected to another name.
    """
    named = {"name": setting.kitchen}
    if connection.scalar(_kept_first(Kitchen, named)) is not None:
        raise _no_longer(connection, Kitchen, named)
    if not setting.zone:
        hint = 'Say where its clocks are: --zone "Europe/Lisbon", say. It is asked for once.'
        raise RecordsRefused(f"The kitchen {setting.kitchen} isn't known yet.", hint=hint)
    return zone_called(setting.zone)


def known_kitchen(connection: Connection, setting: Setting) -> tuple[int, ZoneInfo] | None:
    """The kitchen that is meant, and its time zone; None where it isn't known.

    Raises
    ------
    RecordsRefused
        It is kept with another zone.
    """
    wanted = select(thing_id(Kitchen), Kitchen.zone).where(newest(Kitchen), Kitchen.name == setting.kitchen)
    known = connection.execute(wanted).first()
    if known is None:
        return None
    if setting.zone not in {"", known.zone}:
        hint = "Leave the zone out, or correct the kitchen: python -m grader records correct kitchen."
        raise RecordsRefused(f"{setting.kitchen} is kept with the zone {known.zone}, not {setting.zone}.", hint=hint)
    return int(known[0]), zone_called(known.zone)


def batch_of(write: Writer, setting: Setting, *, kitchen_id: int, day: date) -> int:
    """The batch that is meant; it and all that it names are added where they aren't there yet."""
    named = {
        column: find_or_add(write, table, key, {})
        for column, table, key in _names(setting, kitchen_id=kitchen_id, day=day)
    }
    if setting.lot is not None:
        named["lot_id"] = lot_of(write, setting.lot)
    row = _batch_row(setting, named, kitchen_id=kitchen_id, day=day)
    found = _batch_like(write.connection, row)
    if found is None:
        return find_or_add(write, Batch, {"sign": row["sign"]}, row)
    if write.connection.scalar(select(Batch.id).where(newest(Batch), thing_id(Batch) == found)) is None:
        hint = f"Name another batch, or take that one up again: python -m grader records correct batch {found}."
        raise RecordsRefused(f"The batch {setting.batch} of {day.isoformat()} was withdrawn.", hint=hint)
    return found


def kept_batch_of(connection: Connection, setting: Setting, *, kitchen_id: int, day: date) -> int | None:
    """The batch that is meant; None where it, or something that it names, isn't kept."""
    named = {
        column: _find(connection, table, key) for column, table, key in _names(setting, kitchen_id=kitchen_id, day=day)
    }
    if setting.lot is not None:
        supplier = _find(connection, Supplier, {"name": setting.lot.supplier})
        named["lot_id"] = _find(connection, Lot, {"supplier_id": supplier, "number": setting.lot.number})
    if None in named.values():
        return None
    return _batch_like(connection, _batch_row(setting, named, kitchen_id=kitchen_id, day=day))


def _names(setting: Setting, *, kitchen_id: int, day: date) -> Iterator[tuple[str, type[Correctable], dict[str, Any]]]:
    """What a setting names of its kitchen: the batch's column for it, its table, the values by which it is known."""
    here = {"kitchen_id": kitchen_id}
    if setting.station:
        yield "station_id", Station, {**here, "name": setting.station}
    if setting.fryer:
        yield "fryer_id", Fryer, {**here, "name": setting.fryer}
    if setting.shift:
        yield "shift_id", Shift, {**here, "day": day, "name": setting.shift}


def _batch_row(setting: Setting, named: Mapping[str, int | None], *, kitchen_id: int, day: date) -> dict[str, Any]:
    """A batch's row, with the sign that tells it from any other."""
    unnamed = dict.fromkeys(("station_id", "fryer_id", "shift_id", "lot_id"))
    row = {"kitchen_id": kitchen_id, "name": setting.batch, **unnamed, **named}
    return {**row, "day": day, "sign": sign_of({**row, "day": day.isoformat()})}


def _batch_like(connection: Connection, row: Mapping[str, Any]) -> int | None:
    """The one of which this was told first, whatever it was corrected to since; else one that was corrected to this."""
    first = connection.scalar(select(Batch.id).where(Batch.sign == row["sign"], Batch.corrects_id.is_(None)))
    return first or _find(connection, Batch, {name: value for name, value in row.items() if name != "sign"})


def lot_of(write: Writer, facts: LotFacts) -> int:
    """The lot; what is told of it for the first time is added, what contradicts is refused."""
    supplier = find_or_add(write, Supplier, {"name": facts.supplier}, {})
    told = {
        "variety": facts.variety,
        "storage": facts.storage,
        "received": facts.received,
        "count_size": facts.count_size,
        "solids_percent": facts.solids_percent,
    }
    lot = find_or_add(write, Lot, {"supplier_id": supplier, "number": facts.number}, told)
    table = Lot.__table__
    kept = write.connection.execute(select(table).where(newest(Lot), thing_id(Lot) == lot)).mappings().one()
    new = {field: value for field, value in told.items() if value not in {"", None} and value != kept[field]}
    against = [f"{field}: {kept[field]}, not {value}" for field, value in new.items() if kept[field] not in {"", None}]
    if against:
        hint = "Correct the lot if the kept one is wrong: python -m grader records correct lot."
        raise RecordsRefused(f"Lot {facts.number} is kept with {'; '.join(against)}.", hint=hint)
    if new:
        changed = {name: kept[name] for name in kept if name != "id"} | new | write.signed
        changed |= {"corrects_id": lot, "why": f"told later: {', '.join(new)}"}
        write.connection.execute(insert(Lot).values(**changed))
    return lot


def sign_of(value: Any) -> str:
    """What tells one set of values from any other: their SHA-256."""
    text = json.dumps(value, sort_keys=True, ensure_ascii=False, default=str)
    return hashlib.sha256(text.encode()).hexdigest()
