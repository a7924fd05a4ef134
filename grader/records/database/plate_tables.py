"""What was graded: batches, plates and their photos, each grading of a plate with its fries, and decisions."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from grader.records.database.columns import Base, Correctable
from grader.records.database.house_tables import once
from grader.records.json_values import Json

REFUSED = "refused"
"""Besides the outcomes of a verdict: there is none, because no photo could be judged."""


class HouseStandard(Base, kw_only=True):
    """A house standard, known by the SHA-256 of its values; `text` is its file, so that it can be read again."""

    __tablename__ = "house_standard"

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    sha256: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    version: Mapped[str]
    text: Mapped[str]
    kept_at: Mapped[datetime]


class Photo(Base, kw_only=True):
    """A photo's file, known by its SHA-256; its bytes lie in the photo store."""

    __tablename__ = "photo"

    sha256: Mapped[str] = mapped_column(primary_key=True)
    bytes: Mapped[int]
    media_type: Mapped[str]
    name: Mapped[str]
    kept_at: Mapped[datetime]


class PhotoForgotten(Base, kw_only=True):
    """That a photo's bytes were deleted, by which rule; what was read from it stays."""

    __tablename__ = "photo_forgotten"

    sha256: Mapped[str] = mapped_column(ForeignKey("photo.sha256"), primary_key=True)
    at: Mapped[datetime]
    by_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    why: Mapped[str]


class Batch(Correctable, Base, kw_only=True):
    """Plates that are judged together: one cooking of one lot.

    `day` is by the kitchen's calendar. `sign` tells batches apart: it is made of all below it.
    """

    __tablename__ = "batch"
    __table_args__ = (
        once("uq_batch_sign", "sign"),
        Index("ix_batch_kitchen_id_day", "kitchen_id", "day"),
        Index("ix_batch_day", "day"),
    )

    sign: Mapped[str]
    kitchen_id: Mapped[int] = mapped_column(ForeignKey("kitchen.id"))
    day: Mapped[date]
    name: Mapped[str]
    station_id: Mapped[int | None] = mapped_column(ForeignKey("station.id"), default=None)
    fryer_id: Mapped[int | None] = mapped_column(ForeignKey("fryer.id"), default=None)
    shift_id: Mapped[int | None] = mapped_column(ForeignKey("shift.id"), default=None)
    lot_id: Mapped[int | None] = mapped_column(ForeignKey("lot.id"), default=None, index=True)


class Plate(Correctable, Base, kw_only=True):
    """A plate: one photo, of one batch.

    `taken_from` says where its moment comes from ("photo", "file", "keeping"), `zone` by which zone a clock was read.
    """

    __tablename__ = "plate"
    __table_args__ = (once("uq_plate_photo_sha256", "photo_sha256"), Index("ix_plate_taken_at", "taken_at"))

    batch_id: Mapped[int] = mapped_column(ForeignKey("batch.id"), index=True)
    photo_sha256: Mapped[str] = mapped_column(ForeignKey("photo.sha256"), index=True)
    taken_at: Mapped[datetime]
    taken_from: Mapped[str]
    zone: Mapped[str]


class Grading(Base, kw_only=True):
    """One grading of a plate: by which method and standard, what came out, and what charts need of its fries.

    Attributes
    ----------
    sign
        Tells gradings apart: plate, method, standard, stage, question, the card's values, mends.
    card_serial, card_values
        Of the card in the photo; of which measurement its colours are. Empty where not known.
    fries, off_scale, coloured, measured
        Fries found; with a colour that is like no step; with a place on the scale; with a length.
    place_mean, place_sd, place_u
        Of the fries' places on the scale: mean, standard deviation between fries, and what they share of their doubt.
    lab_l, lab_a, lab_b
        Means of the fries' colours.
    length_mean_mm, length_sd_mm
        Length as the standard means it.
    shares
        By the limits' keys: [fries that fall under it, by the project's estimate; fries that could be counted].
    """

    __tablename__ = "grading"
    __table_args__ = (
        CheckConstraint("outcome IN ('pass', 'fail', 'undecided', 'refused')", name="outcome"),
        Index("ix_grading_plate_id_standard_id", "plate_id", "standard_id"),
    )

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    sign: Mapped[str] = mapped_column(unique=True)
    plate_id: Mapped[int] = mapped_column(ForeignKey("plate.id"))
    standard_id: Mapped[int] = mapped_column(ForeignKey("house_standard.id"))
    stage: Mapped[str]
    method_version: Mapped[str]
    question: Mapped[str]
    outcome: Mapped[str]
    kept_at: Mapped[datetime]
    by_id: Mapped[int | None] = mapped_column(ForeignKey("person.id"))
    card_serial: Mapped[str]
    card_values: Mapped[str]
    mended: Mapped[bool]
    fries: Mapped[int]
    off_scale: Mapped[int]
    coloured: Mapped[int]
    measured: Mapped[int]
    place_mean: Mapped[float | None]
    place_sd: Mapped[float | None]
    place_u: Mapped[float | None]
    lab_l: Mapped[float | None]
    lab_a: Mapped[float | None]
    lab_b: Mapped[float | None]
    length_mean_mm: Mapped[float | None]
    length_sd_mm: Mapped[float | None]
    shares: Mapped[Json]


class GradingRecord(Base, kw_only=True):
    """What `grade` writes of a photo beside its fries: verdict, terms, reasons, mends, standing, card, picture.

    What can be reckoned from the fries at any time (designations, shares by length) is left out: half of a record.

    Apart from `grading`, because charts read thousands of those and none of these.
    """

    __tablename__ = "grading_record"

    grading_id: Mapped[int] = mapped_column(ForeignKey("grading.id"), primary_key=True)
    record: Mapped[Json]


class Fry(Base, kw_only=True):
    """One fry of a grading, column by column as `fries.csv` has it; a missing figure couldn't be measured."""

    __tablename__ = "fry"
    __table_args__ = {"sqlite_with_rowid": False}  # noqa: RUF012 - SQLAlchemy wants a plain dictionary

    grading_id: Mapped[int] = mapped_column(ForeignKey("grading.id"), primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    whole: Mapped[bool]
    length_mm: Mapped[float | None]
    length_mm_u: Mapped[float | None]
    straight_mm: Mapped[float | None]
    straight_mm_u: Mapped[float | None]
    width_mm: Mapped[float | None]
    width_mm_u: Mapped[float | None]
    lab_l: Mapped[float | None]
    lab_a: Mapped[float | None]
    lab_b: Mapped[float | None]
    lab_l_u: Mapped[float | None]
    lab_a_u: Mapped[float | None]
    lab_b_u: Mapped[float | None]
    scale_place: Mapped[float | None]
    scale_place_u: Mapped[float | None]
    scale_step: Mapped[str | None]
    spread_de: Mapped[float | None]
    dark_end_mm: Mapped[float | None]
    dark_end_mm_u: Mapped[float | None]
    dark_end_dl: Mapped[float | None]
    spots: Mapped[int]
    largest_spot_mm: Mapped[float | None]
    skin_share: Mapped[float | None]
    flags: Mapped[str]
    mended_by: Mapped[str]
    plate_mended_by: Mapped[str]
    bow_share: Mapped[float | None]
    bow_share_u: Mapped[float | None]
    end_gap_1_mm: Mapped[float | None]
    end_gap_2_mm: Mapped[float | None]
    mass_g: Mapped[float | None]
    mass_g_u: Mapped[float | None]


class BatchDecision(Base, kw_only=True):
    """A decision on a whole batch, with every limit; `gradings` are those of its plates, by id."""

    __tablename__ = "batch_decision"
    __table_args__ = (
        CheckConstraint("outcome IN ('pass', 'fail', 'undecided', 'refused')", name="outcome"),
        Index("ix_batch_decision_batch_id", "batch_id"),
    )

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    sign: Mapped[str] = mapped_column(unique=True)
    batch_id: Mapped[int] = mapped_column(ForeignKey("batch.id"))
    standard_id: Mapped[int] = mapped_column(ForeignKey("house_standard.id"))
    stage: Mapped[str]
    method_version: Mapped[str]
    question: Mapped[str]
    outcome: Mapped[str]
    headline: Mapped[str]
    kept_at: Mapped[datetime]
    by_id: Mapped[int | None] = mapped_column(ForeignKey("person.id"))
    gradings: Mapped[Json]
    verdict: Mapped[Json | None]
