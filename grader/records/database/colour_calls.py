"""Cooks' own calls of colour, kept before the verdict shows; and what they and the method called the same plates."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from sqlalchemy import Connection, insert, select

from grader.records.database.house import House
from grader.records.database.house_tables import Person
from grader.records.database.newest import newest
from grader.records.database.pass_tables import ColourCall
from grader.records.database.things import writer

CALLS = ("pale", "right", "dark")
"""What a colour may be called, from one end to the other."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Called:
    """A call of `CALLS`: whose, of which photo, what the method made of it (empty: no colour), whether it came back."""

    by: str
    at: datetime
    photo_sha256: str
    called: str
    method: str
    again: bool


def keep_call(house: House, call: Called) -> None:
    """Keep a cook's call; the photo must be in the records.

    Raises
    ------
    RecordsUnusable
        The database can't be written.
    """

    def keep(connection: Connection) -> None:
        write = writer(connection, now=datetime.now(UTC), by=call.by)
        told = {"at": call.at, "photo_sha256": call.photo_sha256, "called": call.called}
        row = {**write.signed, **told, "method": call.method, "again": call.again}
        connection.execute(insert(ColourCall).values(**row))

    house.write(keep)


def calls_since(house: House, since: datetime) -> Sequence[Called]:
    """All calls since a moment, the earliest first."""
    table = ColourCall
    asked = (
        select(Person.initials, table.at, table.photo_sha256, table.called, table.method, table.again)
        .join(Person, Person.id == table.by_id)
        .where(newest(table), table.at >= since)
        .order_by(table.at, table.id)
    )
    with house.reading() as connection:
        return tuple(
            Called(by=by, at=at, photo_sha256=photo, called=called, method=method, again=again)
            for by, at, photo, called, method, again in connection.execute(asked)
        )
