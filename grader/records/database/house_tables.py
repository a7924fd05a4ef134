"""Where fries come from: kitchens with their stations, fryers and shifts, suppliers with their lots, people."""

from datetime import date, datetime

from sqlalchemy import ForeignKey, Index, text
from sqlalchemy.orm import Mapped, mapped_column

from grader.records.database.columns import Base, Correctable

FIRST_ONLY = text("corrects_id IS NULL")
"""Of the rows of one thing only the first: names are given once, a correction may keep them."""


def once(name: str, *columns: str) -> Index:
    """No two things have the same values here."""
    return Index(name, *columns, unique=True, sqlite_where=FIRST_ONLY, postgresql_where=FIRST_ONLY)


class Person(Base, kw_only=True):
    """Who did something, by initials alone."""

    __tablename__ = "person"

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    initials: Mapped[str] = mapped_column(unique=True)
    kept_at: Mapped[datetime]


class Kitchen(Correctable, Base, kw_only=True):
    """A kitchen; `zone` is its IANA time zone ("Europe/Lisbon"), by which its clocks are read."""

    __tablename__ = "kitchen"
    __table_args__ = (once("uq_kitchen_name", "name"),)

    name: Mapped[str]
    zone: Mapped[str]


class Station(Correctable, Base, kw_only=True):
    """A place in a kitchen where fries are finished or handed over."""

    __tablename__ = "station"
    __table_args__ = (once("uq_station_kitchen_id_name", "kitchen_id", "name"),)

    kitchen_id: Mapped[int] = mapped_column(ForeignKey("kitchen.id"))
    name: Mapped[str]


class Fryer(Correctable, Base, kw_only=True):
    """A fryer of a kitchen."""

    __tablename__ = "fryer"
    __table_args__ = (once("uq_fryer_kitchen_id_name", "kitchen_id", "name"),)

    kitchen_id: Mapped[int] = mapped_column(ForeignKey("kitchen.id"))
    name: Mapped[str]


class Shift(Correctable, Base, kw_only=True):
    """One shift of a kitchen on one day, by the kitchen's calendar."""

    __tablename__ = "shift"
    __table_args__ = (once("uq_shift_kitchen_id_day_name", "kitchen_id", "day", "name"),)

    kitchen_id: Mapped[int] = mapped_column(ForeignKey("kitchen.id"))
    day: Mapped[date]
    name: Mapped[str]


class Supplier(Correctable, Base, kw_only=True):
    """Who delivers potatoes or strips."""

    __tablename__ = "supplier"
    __table_args__ = (once("uq_supplier_name", "name"),)

    name: Mapped[str]


class Lot(Correctable, Base, kw_only=True):
    """A lot as its supplier numbers it, with what is known of it; an empty or missing field isn't known.

    `storage` is how and how long it was stored, in words; `count_size` tubers a sack or carton, as the trade says it;
    `solids_percent` its dry matter by mass.
    """

    __tablename__ = "lot"
    __table_args__ = (once("uq_lot_supplier_id_number", "supplier_id", "number"),)

    supplier_id: Mapped[int] = mapped_column(ForeignKey("supplier.id"))
    number: Mapped[str]
    variety: Mapped[str] = mapped_column(default="")
    storage: Mapped[str] = mapped_column(default="")
    received: Mapped[date | None] = mapped_column(default=None)
    count_size: Mapped[str] = mapped_column(default="")
    solids_percent: Mapped[float | None] = mapped_column(default=None)
