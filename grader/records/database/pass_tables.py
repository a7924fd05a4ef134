"""What is told at the pass beside a photo: checks of a plate by hand, a cook's own call of its colour, sample times."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from grader.records.database.columns import Base, Correctable
from grader.records.database.house_tables import once
from grader.records.json_values import Json


class PlateCheck(Correctable, Base, kw_only=True):
    """What a person saw or weighed of a plate, beside its photo; what is missing wasn't told.

    Attributes
    ----------
    seasoned
        Salt, herbs or sauce were on it, so its colour was withheld.
    lifted_s
        Seconds between the basket's lift and the photo.
    window_from_s, window_until_s
        The house's window after the lift, as it was then: from when until when a plate is to be photographed.
    held_s
        Seconds that the fries were held before the photo.
    bend
        "bends" or "snaps"; empty where nobody tried.
    crisp, limp_after_5_min
        As a person found it.
    mass_g
        Of the fries on the plate, by the portion scale.
    sample_at
        The drawn sample time that it was taken for.
    """

    __tablename__ = "plate_check"
    __table_args__ = (
        CheckConstraint("bend IN ('', 'bends', 'snaps')", name="bend"),
        once("uq_plate_check_plate_id", "plate_id"),
    )

    plate_id: Mapped[int] = mapped_column(ForeignKey("plate.id"))
    seasoned: Mapped[bool] = mapped_column(default=False)
    lifted_s: Mapped[float | None] = mapped_column(default=None)
    window_from_s: Mapped[float | None] = mapped_column(default=None)
    window_until_s: Mapped[float | None] = mapped_column(default=None)
    held_s: Mapped[float | None] = mapped_column(default=None)
    bend: Mapped[str] = mapped_column(default="")
    crisp: Mapped[bool | None] = mapped_column(default=None)
    limp_after_5_min: Mapped[bool | None] = mapped_column(default=None)
    mass_g: Mapped[float | None] = mapped_column(default=None)
    sample_at: Mapped[datetime | None] = mapped_column(default=None)


class ColourCall(Correctable, Base, kw_only=True):
    """What a cook (`by_id`) called a plate's colour before the verdict showed, and what the method made of it.

    `again` says that the plate came back unannounced; an empty `method` that it found no colour.
    """

    __tablename__ = "colour_call"
    __table_args__ = (
        CheckConstraint("called IN ('pale', 'right', 'dark')", name="called"),
        CheckConstraint("method IN ('', 'pale', 'right', 'dark')", name="method"),
        Index("ix_colour_call_by_id_at", "by_id", "at"),
    )

    at: Mapped[datetime]
    photo_sha256: Mapped[str] = mapped_column(ForeignKey("photo.sha256"), index=True)
    called: Mapped[str]
    method: Mapped[str]
    again: Mapped[bool]


class SampleTimes(Correctable, Base, kw_only=True):
    """The times at which a shift is to be sampled, as they were drawn: `plan` has "times" (UTC), "from" and "until"."""

    __tablename__ = "sample_times"
    __table_args__ = (once("uq_sample_times_kitchen_id_day_shift", "kitchen_id", "day", "shift"),)

    kitchen_id: Mapped[int] = mapped_column(ForeignKey("kitchen.id"))
    day: Mapped[date]
    shift: Mapped[str]
    plan: Mapped[Json]
