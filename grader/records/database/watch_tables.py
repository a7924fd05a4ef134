"""What charts need beside plates: events, photographs of the card alone, and baselines that were frozen."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from grader.records.database.columns import Base, Correctable
from grader.records.json_values import Json


class Event(Correctable, Base, kw_only=True):
    """Something after which fries may differ, in a kitchen, perhaps at one fryer or with one lot."""

    __tablename__ = "event"
    __table_args__ = (
        CheckConstraint("kind IN ('new lot', 'new crop', 'oil changed', 'fryer serviced', 'other')", name="kind"),
        Index("ix_event_kitchen_id_at", "kitchen_id", "at"),
    )

    kitchen_id: Mapped[int] = mapped_column(ForeignKey("kitchen.id"))
    kind: Mapped[str]
    at: Mapped[datetime]
    words: Mapped[str] = mapped_column(default="")
    fryer_id: Mapped[int | None] = mapped_column(ForeignKey("fryer.id"), default=None)
    lot_id: Mapped[int | None] = mapped_column(ForeignKey("lot.id"), default=None)


class ControlPhoto(Correctable, Base, kw_only=True):
    """A photograph of the card alone, once a shift: `readings` show phone, print and light drifting."""

    __tablename__ = "control_photo"
    __table_args__ = (Index("ix_control_photo_kitchen_id_taken_at", "kitchen_id", "taken_at"),)

    kitchen_id: Mapped[int] = mapped_column(ForeignKey("kitchen.id"))
    photo_sha256: Mapped[str] = mapped_column(ForeignKey("photo.sha256"))
    taken_at: Mapped[datetime]
    card_serial: Mapped[str]
    readings: Mapped[Json]
    shift_id: Mapped[int | None] = mapped_column(ForeignKey("shift.id"), default=None)


class Baseline(Correctable, Base, kw_only=True):
    """What a chart is held against, chosen and frozen: `chart` says which chart, `figures` what was frozen."""

    __tablename__ = "baseline"
    __table_args__ = (Index("ix_baseline_chart", "chart"),)

    chart: Mapped[str]
    from_at: Mapped[datetime]
    to_at: Mapped[datetime]
    figures: Mapped[Json]
