"""What was done with a batch on the fry line, and what the house found beside it."""

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from grader.records.database.columns import Base, Correctable
from grader.records.database.house_tables import once
from grader.records.json_values import Json


class LineSheetRow(Correctable, Base, kw_only=True):
    """The line sheet of a batch, field by field as `line.sheet.LineSheet` has it; what is empty or missing wasn't told.

    Attributes
    ----------
    notes
        What the house found beside it, as `line.house_notes.HouseNotes` has it; only what was told.
    cause_found
        Which cause it was in the end, by its key in calibration/causes.toml; empty where nobody told.
    """

    __tablename__ = "line_sheet"
    __table_args__ = (once("uq_line_sheet_batch_id", "batch_id"),)

    batch_id: Mapped[int] = mapped_column(ForeignKey("batch.id"))
    wash: Mapped[str] = mapped_column(default="")
    cut_mm: Mapped[float | None] = mapped_column(default=None)
    soak_h: Mapped[float | None] = mapped_column(default=None)
    water_changes: Mapped[float | None] = mapped_column(default=None)
    vinegar_ml_l: Mapped[float | None] = mapped_column(default=None)
    air_min: Mapped[float | None] = mapped_column(default=None)
    drying: Mapped[str] = mapped_column(default="")
    load_kg: Mapped[float | None] = mapped_column(default=None)
    oil_kind: Mapped[str] = mapped_column(default="")
    oil_l: Mapped[float | None] = mapped_column(default=None)
    oil_age_days: Mapped[float | None] = mapped_column(default=None)
    blanch_c: Mapped[float | None] = mapped_column(default=None)
    blanch_s: Mapped[float | None] = mapped_column(default=None)
    cooling: Mapped[str] = mapped_column(default="")
    cooling_min: Mapped[float | None] = mapped_column(default=None)
    finish_c: Mapped[float | None] = mapped_column(default=None)
    finish_s: Mapped[float | None] = mapped_column(default=None)
    oil_lowest_c: Mapped[float | None] = mapped_column(default=None)
    salt_g_kg: Mapped[float | None] = mapped_column(default=None)
    hold: Mapped[str] = mapped_column(default="")
    hold_min: Mapped[float | None] = mapped_column(default=None)
    notes: Mapped[Json] = mapped_column(default_factory=dict)
    cause_found: Mapped[str] = mapped_column(default="")
