"""Events, photographs of the card alone and frozen baselines: kept, and read as charts want them."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, insert, select

from grader.consistency.model import Event as ChartEvent
from grader.consistency.model import EventKind
from grader.records.database.errors import RecordsRefused
from grader.records.database.house import House
from grader.records.database.house_tables import Fryer, Kitchen, Lot, Person
from grader.records.database.keeping import media_type
from grader.records.database.newest import newest, thing_id
from grader.records.database.plate_tables import Photo
from grader.records.database.reading import Wanted, names_of
from grader.records.database.setting import Setting, check_setting, zone_called
from grader.records.database.things import Writer, add_once, find_or_add, kitchen_of, lot_of, writer
from grader.records.database.watch_tables import Baseline, ControlPhoto, Event
from grader.records.json_values import Json
from grader.records.kept_files import Signed


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptBaseline:
    """A baseline as it was frozen: what it was made of, its figures, who froze it when and why."""

    chart: str
    from_at: datetime
    to_at: datetime
    figures: Mapping[str, Any]
    frozen_at: datetime
    by: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ControlToKeep:
    """A photograph of the card alone, its bytes with their SHA-256, and what was read of it."""

    data: bytes
    sha256: str
    name: str
    taken_at: datetime
    card_serial: str
    readings: Json


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptControl:
    """A photograph of the card alone: when, which card, what was read of it."""

    taken_at: datetime
    card_serial: str
    photo_sha256: str
    readings: Mapping[str, Any]


def keep_event(house: House, setting: Setting, kind: EventKind, *, at: datetime, words: str = "") -> int:
    """Keep an event of a kitchen, at a fryer or with a lot where the setting names them; its id.

    One that is alike in all of it is the same event, told twice (a second tap on the button), and is kept once.

    Raises
    ------
    RecordsRefused
        The setting says too little, or contradicts what is kept.
    RecordsUnusable
        The database can't be written.
    """
    check_setting(setting)

    def keep(connection: Connection) -> int:
        write = writer(connection, now=datetime.now(UTC), by=setting.by)
        kitchen_id, _ = kitchen_of(write, setting)
        named = {"kitchen_id": kitchen_id, "name": setting.fryer}
        fryer = find_or_add(write, Fryer, named, {}) if setting.fryer else None
        lot = None if setting.lot is None else lot_of(write, setting.lot)
        where = {"kitchen_id": kitchen_id, "fryer_id": fryer, "lot_id": lot}
        return find_or_add(write, Event, {**where, "kind": kind.value, "at": at, "words": words}, {})

    return house.write(keep)


def clock_of(house: House, kitchen: str, told: str) -> datetime:
    """A moment as a person of that kitchen writes it, by the kitchen's own clock unless it names an offset.

    Raises
    ------
    RecordsRefused
        It can't be read, or the kitchen isn't known.
    """
    with house.reading() as connection:
        zone = connection.scalar(select(Kitchen.zone).where(newest(Kitchen), Kitchen.name == kitchen))
    if zone is None:
        hint = "Bring in one of its plates first, or see: python -m grader records show kitchen"
        raise RecordsRefused(f"The kitchen {kitchen} isn't known.", hint=hint)
    try:
        moment = datetime.fromisoformat(told)
        return (moment if moment.tzinfo else moment.replace(tzinfo=zone_called(zone))).astimezone(UTC)
    except (ValueError, OverflowError) as error:  # the latter for the first and last days that there are
        raise RecordsRefused(f'"{told}" is no time.', hint="Write it as 2026-10-06T09:30.") from error


def events_between(house: House, wanted: Wanted) -> tuple[ChartEvent, ...]:
    """The events of a kitchen (of all where none is named) within a time, the earliest first."""
    asked = select(Event).where(newest(Event)).order_by(Event.at)
    if wanted.since is not None:
        asked = asked.where(Event.at >= wanted.since)
    if wanted.until is not None:
        asked = asked.where(Event.at < wanted.until)
    with house.reading() as connection:
        if wanted.kitchen:
            here = select(thing_id(Kitchen)).where(newest(Kitchen), Kitchen.name == wanted.kitchen)
            asked = asked.where(Event.kitchen_id.in_(here))
        rows = connection.execute(asked).all()
        kitchens = names_of(connection, Kitchen, Kitchen.name, {row.kitchen_id for row in rows})
        fryers = names_of(connection, Fryer, Fryer.name, {row.fryer_id for row in rows} - {None})
        lots = names_of(connection, Lot, Lot.number, {row.lot_id for row in rows} - {None})
    return tuple(
        ChartEvent(
            at=row.at,
            kind=EventKind(row.kind),
            kitchen=kitchens.get(row.kitchen_id, ""),
            fryer=fryers.get(row.fryer_id, ""),
            lot=lots.get(row.lot_id, ""),
            words=row.words,
        )
        for row in rows
    )


def keep_control_photo(house: House, control: ControlToKeep, setting: Setting) -> int:
    """Keep a photograph of the card alone and what was read of it, the photo first; its id.

    Raises
    ------
    RecordsRefused, RecordsUnusable, OSError
        As for `keep_graded`.
    """
    check_setting(setting)
    house.photos.put(control.sha256, control.data)

    def keep(connection: Connection) -> int:
        write = writer(connection, now=datetime.now(UTC), by=setting.by)
        kitchen_id, _ = kitchen_of(write, setting)
        sha256, kind = control.sha256, media_type(control.data)
        photo = {"sha256": sha256, "bytes": len(control.data), "media_type": kind, "name": control.name}
        add_once(connection, Photo, {**photo, "kept_at": write.now})
        same = select(ControlPhoto.id).where(ControlPhoto.photo_sha256 == sha256, ControlPhoto.corrects_id.is_(None))
        kept = connection.scalar(same)
        told = {
            "kitchen_id": kitchen_id,
            "photo_sha256": sha256,
            "taken_at": control.taken_at,
            "card_serial": control.card_serial,
            "readings": control.readings,
            "shift_id": None,
        }
        return kept or _added(write, ControlPhoto, told)

    return house.write(keep)


def control_photos(house: House, kitchen: str) -> tuple[KeptControl, ...]:
    """All photographs of the card alone that a kitchen took, the earliest first."""
    here = select(thing_id(Kitchen)).where(newest(Kitchen), Kitchen.name == kitchen)
    table = ControlPhoto
    asked = select(table.taken_at, table.card_serial, table.photo_sha256, table.readings)
    asked = asked.where(newest(table), table.kitchen_id.in_(here)).order_by(table.taken_at)
    with house.reading() as connection:
        return tuple(KeptControl(**row) for row in connection.execute(asked).mappings())


def freeze_baseline(
    house: House, chart: str, figures: Json, *, period: tuple[datetime, datetime], signed: Signed
) -> int:
    """Freeze what a chart is held against from now on; earlier baselines stay, and the newest counts. Its id.

    Raises
    ------
    RecordsRefused
        Initials or the reason are missing.
    RecordsUnusable
        The database can't be written.
    """
    if not signed.by.strip() or not signed.why.strip():
        raise RecordsRefused("A baseline needs initials and a reason.", hint="Nothing was frozen.")

    def keep(connection: Connection) -> int:
        write = writer(connection, now=signed.at, by=signed.by)
        told = {"chart": chart, "from_at": period[0], "to_at": period[1], "figures": figures}
        return _added(write, Baseline, {**told, "why": signed.why})

    return house.write(keep)


def baseline_of(house: House, chart: str) -> KeptBaseline | None:
    """The newest baseline of a chart; None where none was frozen."""
    table = Baseline
    signed = (table.kept_at.label("frozen_at"), Person.initials.label("by"), table.why)
    asked = select(table.chart, table.from_at, table.to_at, table.figures, *signed).join(Person)
    with house.reading() as connection:
        newest_first = asked.where(newest(table), table.chart == chart).order_by(table.id.desc())
        row = connection.execute(newest_first).mappings().first()
    return None if row is None else KeptBaseline(**row)


def _added(write: Writer, table: type[ControlPhoto | Baseline], values: Json) -> int:
    added = insert(table).values(**{**write.signed, **values}).returning(table.id)
    return write.connection.execute(added).scalar_one()
