"""Checks of a plate by hand, kept beside its photo: told at once or later, each adds to what was told before."""

from dataclasses import asdict, dataclass, fields
from datetime import UTC, datetime, timedelta
from typing import Any, Literal

from sqlalchemy import Connection, insert, select

from grader.records.database.errors import RecordsRefused
from grader.records.database.house import House
from grader.records.database.house_tables import Kitchen
from grader.records.database.newest import newest, thing_id
from grader.records.database.pass_tables import PlateCheck
from grader.records.database.plate_tables import Batch, Plate
from grader.records.database.things import writer

Bend = Literal["", "bends", "snaps"]
_MASS_AT_MOST_G = 10_000
_SECONDS_AT_MOST = 86_400


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateFacts:
    """What was told of a plate, as `PlateCheck` says; what is None or empty wasn't told."""

    seasoned: bool = False
    lifted_s: float | None = None
    window_from_s: float | None = None
    window_until_s: float | None = None
    held_s: float | None = None
    bend: Bend = ""
    crisp: bool | None = None
    limp_after_5_min: bool | None = None
    mass_g: float | None = None
    sample_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SampledMass:
    """The plates of a time: how many, and of those that were weighed how many and their mass."""

    plates: int
    weighed: int
    weighed_g: float


def keep_facts(house: House, plate_id: int, facts: PlateFacts, *, by: str = "") -> PlateFacts:
    """Keep what was told of a plate, added to what was told before; gives all of it.

    Raises
    ------
    RecordsRefused
        A mass or a time that can't be.
    RecordsUnusable
        The database can't be written.
    """
    check_facts(facts)

    def keep(connection: Connection) -> PlateFacts:
        write = writer(connection, now=datetime.now(UTC), by=by)
        first, before = _told(connection, plate_id)
        told = _added(before, facts)
        if told != before or first is None:
            why = {} if first is None else {"corrects_id": first, "why": "told later"}
            row = {**write.signed, **asdict(told), "plate_id": plate_id, **why}
            connection.execute(insert(PlateCheck).values(**row))
        return told

    return house.write(keep)


def facts_of(house: House, plate_id: int) -> PlateFacts:
    """All that was told of a plate; nothing where nobody told anything."""
    with house.reading() as connection:
        return _told(connection, plate_id)[1]


def mass_sampled(house: House, kitchen: str, *, until: datetime, days: int = 7) -> SampledMass:
    """What a kitchen's plates of the last days weighed; all its kept plates count, judged or refused."""
    since = until - timedelta(days=days)
    here = select(thing_id(Kitchen)).where(newest(Kitchen), Kitchen.name == kitchen)
    asked = (
        select(thing_id(Plate), PlateCheck.mass_g)
        .join(Batch, thing_id(Batch) == Plate.batch_id)
        .outerjoin(PlateCheck, (PlateCheck.plate_id == thing_id(Plate)) & newest(PlateCheck))
        .where(newest(Plate), newest(Batch), Batch.kitchen_id.in_(here))
        .where(Plate.taken_at >= since, Plate.taken_at < until)
    )
    with house.reading() as connection:
        masses = [mass for _, mass in connection.execute(asked)]
    weighed = [mass for mass in masses if mass is not None]
    return SampledMass(plates=len(masses), weighed=len(weighed), weighed_g=float(sum(weighed)))


def _told(connection: Connection, plate_id: int) -> tuple[int | None, PlateFacts]:
    names = [field.name for field in fields(PlateFacts)]
    asked = select(thing_id(PlateCheck), *(getattr(PlateCheck, name) for name in names))
    row = connection.execute(asked.where(newest(PlateCheck), PlateCheck.plate_id == plate_id)).first()
    if row is None:
        return None, PlateFacts()
    told: dict[str, Any] = dict(zip(names, row[1:], strict=True))
    return int(row[0]), PlateFacts(**told)


def _added(before: PlateFacts, facts: PlateFacts) -> PlateFacts:
    new = {name: value for name, value in asdict(facts).items() if value not in {None, ""} and value is not False}
    new |= {name: value for name in ("crisp", "limp_after_5_min") if (value := getattr(facts, name)) is not None}
    return PlateFacts(**(asdict(before) | new))


def check_facts(facts: PlateFacts) -> None:
    """Refuse what can't be.

    Raises
    ------
    RecordsRefused
        With everything that is wrong.
    """
    wrong = []
    if facts.mass_g is not None and not 0 < facts.mass_g <= _MASS_AT_MOST_G:
        wrong.append(f"a plate of {facts.mass_g:g} g can't be")
    for seconds, what in ((facts.lifted_s, "after the lift"), (facts.held_s, "held")):
        if seconds is not None and not 0 <= seconds <= _SECONDS_AT_MOST:
            wrong.append(f"{seconds:g} s {what} can't be")
    if wrong:
        raise RecordsRefused(f"This can't be kept: {'; '.join(wrong)}.", hint="Nothing of it was kept. Say it anew.")
