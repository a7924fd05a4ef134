"""The first tables."""

from typing import Any

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "v0001"
down_revision = None

MOMENT = sa.DateTime(timezone=True)
JSON = sa.JSON(none_as_null=True).with_variant(postgresql.JSONB(none_as_null=True), "postgresql")
FIRST = sa.text("corrects_id IS NULL")


def _correctable() -> list[sa.Column[Any]]:
    return [
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kept_at", MOMENT, nullable=False),
        sa.Column("by_id", sa.Integer(), nullable=True),
        sa.Column("why", sa.String(), nullable=False),
        sa.Column("withdrawn", sa.Boolean(), nullable=False),
        sa.Column("corrects_id", sa.Integer(), nullable=True),
    ]


def upgrade() -> None:  # noqa: PLR0915 - one version is one list
    """The first tables."""
    op.create_table(
        "house_standard",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("version", sa.String(), nullable=False),
        sa.Column("text", sa.String(), nullable=False),
        sa.Column("kept_at", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_house_standard"),
        sa.UniqueConstraint("sha256", name="uq_house_standard_sha256"),
    )
    op.create_table(
        "person",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("initials", sa.String(), nullable=False),
        sa.Column("kept_at", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_person"),
        sa.UniqueConstraint("initials", name="uq_person_initials"),
    )
    op.create_table(
        "photo",
        sa.Column("sha256", sa.String(), nullable=False),
        sa.Column("bytes", sa.Integer(), nullable=False),
        sa.Column("media_type", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("kept_at", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("sha256", name="pk_photo"),
    )
    op.create_table(
        "baseline",
        sa.Column("chart", sa.String(), nullable=False),
        sa.Column("from_at", MOMENT, nullable=False),
        sa.Column("to_at", MOMENT, nullable=False),
        sa.Column("figures", JSON, nullable=False),
        *_correctable(),
        sa.ForeignKeyConstraint(["by_id"], ["person.id"], name="fk_baseline_by_id"),
        sa.ForeignKeyConstraint(["corrects_id"], ["baseline.id"], name="fk_baseline_corrects_id"),
        sa.PrimaryKeyConstraint("id", name="pk_baseline"),
    )
    op.create_index("ix_baseline_chart", "baseline", ["chart"])
    op.create_index("ix_baseline_corrects_id", "baseline", ["corrects_id"])

    op.create_table(
        "kitchen",
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("zone", sa.String(), nullable=False),
        *_correctable(),
        sa.ForeignKeyConstraint(["by_id"], ["person.id"], name="fk_kitchen_by_id"),
        sa.ForeignKeyConstraint(["corrects_id"], ["kitchen.id"], name="fk_kitchen_corrects_id"),
        sa.PrimaryKeyConstraint("id", name="pk_kitchen"),
    )
    op.create_index("ix_kitchen_corrects_id", "kitchen", ["corrects_id"])
    op.create_index("uq_kitchen_name", "kitchen", ["name"], unique=True, sqlite_where=FIRST, postgresql_where=FIRST)

    op.create_table(
        "photo_forgotten",
        sa.Column("sha256", sa.String(), nullable=False),
        sa.Column("at", MOMENT, nullable=False),
        sa.Column("by_id", sa.Integer(), nullable=False),
        sa.Column("why", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["by_id"], ["person.id"], name="fk_photo_forgotten_by_id"),
        sa.ForeignKeyConstraint(["sha256"], ["photo.sha256"], name="fk_photo_forgotten_sha256"),
        sa.PrimaryKeyConstraint("sha256", name="pk_photo_forgotten"),
    )
    op.create_table(
        "supplier",
        sa.Column("name", sa.String(), nullable=False),
        *_correctable(),
        sa.ForeignKeyConstraint(["by_id"], ["person.id"], name="fk_supplier_by_id"),
        sa.ForeignKeyConstraint(["corrects_id"], ["supplier.id"], name="fk_supplier_corrects_id"),
        sa.PrimaryKeyConstraint("id", name="pk_supplier"),
    )
    op.create_index("ix_supplier_corrects_id", "supplier", ["corrects_id"])
    op.create_index("uq_supplier_name", "supplier", ["name"], unique=True, sqlite_where=FIRST, postgresql_where=FIRST)

    op.create_table(
        "fryer",
        sa.Column("kitchen_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        *_correctable(),
        sa.ForeignKeyConstraint(["by_id"], ["person.id"], name="fk_fryer_by_id"),
        sa.ForeignKeyConstraint(["corrects_id"], ["fryer.id"], name="fk_fryer_corrects_id"),
        sa.ForeignKeyConstraint(["kitchen_id"], ["kitchen.id"], name="fk_fryer_kitchen_id"),
        sa.PrimaryKeyConstraint("id", name="pk_fryer"),
    )
    op.create_index("ix_fryer_corrects_id", "fryer", ["corrects_id"])
    op.create_index(
        "uq_fryer_kitchen_id_name",
        "fryer",
        ["kitchen_id", "name"],
        unique=True,
        sqlite_where=FIRST,
        postgresql_where=FIRST,
    )

    op.create_table(
        "lot",
        sa.Column("supplier_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.String(), nullable=False),
        sa.Column("variety", sa.String(), nullable=False),
        sa.Column("storage", sa.String(), nullable=False),
        sa.Column("received", sa.Date(), nullable=True),
        sa.Column("count_size", sa.String(), nullable=False),
        sa.Column("solids_percent", sa.Double(), nullable=True),
        *_correctable(),
        sa.ForeignKeyConstraint(["by_id"], ["person.id"], name="fk_lot_by_id"),
        sa.ForeignKeyConstraint(["corrects_id"], ["lot.id"], name="fk_lot_corrects_id"),
        sa.ForeignKeyConstraint(["supplier_id"], ["supplier.id"], name="fk_lot_supplier_id"),
        sa.PrimaryKeyConstraint("id", name="pk_lot"),
    )
    op.create_index("ix_lot_corrects_id", "lot", ["corrects_id"])
    op.create_index(
        "uq_lot_supplier_id_number",
        "lot",
        ["supplier_id", "number"],
        unique=True,
        sqlite_where=FIRST,
        postgresql_where=FIRST,
    )

    op.create_table(
        "shift",
        sa.Column("kitchen_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        *_correctable(),
        sa.ForeignKeyConstraint(["by_id"], ["person.id"], name="fk_shift_by_id"),
        sa.ForeignKeyConstraint(["corrects_id"], ["shift.id"], name="fk_shift_corrects_id"),
        sa.ForeignKeyConstraint(["kitchen_id"], ["kitchen.id"], name="fk_shift_kitchen_id"),
        sa.PrimaryKeyConstraint("id", name="pk_shift"),
    )
    op.create_index("ix_shift_corrects_id", "shift", ["corrects_id"])
    op.create_index(
        "uq_shift_kitchen_id_day_name",
        "shift",
        ["kitchen_id", "day", "name"],
        unique=True,
        sqlite_where=FIRST,
        postgresql_where=FIRST,
    )

    op.create_table(
        "station",
        sa.Column("kitchen_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        *_correctable(),
        sa.ForeignKeyConstraint(["by_id"], ["person.id"], name="fk_station_by_id"),
        sa.ForeignKeyConstraint(["corrects_id"], ["station.id"], name="fk_station_corrects_id"),
        sa.ForeignKeyConstraint(["kitchen_id"], ["kitchen.id"], name="fk_station_kitchen_id"),
        sa.PrimaryKeyConstraint("id", name="pk_station"),
    )
    op.create_index("ix_station_corrects_id", "station", ["corrects_id"])
    op.create_index(
        "uq_station_kitchen_id_name",
        "station",
        ["kitchen_id", "name"],
        unique=True,
        sqlite_where=FIRST,
        postgresql_where=FIRST,
    )

    op.create_table(
        "batch",
        sa.Column("sign", sa.String(), nullable=False),
        sa.Column("kitchen_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("station_id", sa.Integer(), nullable=True),
        sa.Column("fryer_id", sa.Integer(), nullable=True),
        sa.Column("shift_id", sa.Integer(), nullable=True),
        sa.Column("lot_id", sa.Integer(), nullable=True),
        *_correctable(),
        sa.ForeignKeyConstraint(["by_id"], ["person.id"], name="fk_batch_by_id"),
        sa.ForeignKeyConstraint(["corrects_id"], ["batch.id"], name="fk_batch_corrects_id"),
        sa.ForeignKeyConstraint(["fryer_id"], ["fryer.id"], name="fk_batch_fryer_id"),
        sa.ForeignKeyConstraint(["kitchen_id"], ["kitchen.id"], name="fk_batch_kitchen_id"),
        sa.ForeignKeyConstraint(["lot_id"], ["lot.id"], name="fk_batch_lot_id"),
        sa.ForeignKeyConstraint(["shift_id"], ["shift.id"], name="fk_batch_shift_id"),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name="fk_batch_station_id"),
        sa.PrimaryKeyConstraint("id", name="pk_batch"),
    )
    op.create_index("ix_batch_corrects_id", "batch", ["corrects_id"])
    op.create_index("ix_batch_day", "batch", ["day"])
    op.create_index("ix_batch_kitchen_id_day", "batch", ["kitchen_id", "day"])
    op.create_index("ix_batch_lot_id", "batch", ["lot_id"])
    op.create_index("uq_batch_sign", "batch", ["sign"], unique=True, sqlite_where=FIRST, postgresql_where=FIRST)

    op.create_table(
        "control_photo",
        sa.Column("kitchen_id", sa.Integer(), nullable=False),
        sa.Column("photo_sha256", sa.String(), nullable=False),
        sa.Column("taken_at", MOMENT, nullable=False),
        sa.Column("card_serial", sa.String(), nullable=False),
        sa.Column("readings", JSON, nullable=False),
        sa.Column("shift_id", sa.Integer(), nullable=True),
        *_correctable(),
        sa.ForeignKeyConstraint(["by_id"], ["person.id"], name="fk_control_photo_by_id"),
        sa.ForeignKeyConstraint(["corrects_id"], ["control_photo.id"], name="fk_control_photo_corrects_id"),
        sa.ForeignKeyConstraint(["kitchen_id"], ["kitchen.id"], name="fk_control_photo_kitchen_id"),
        sa.ForeignKeyConstraint(["photo_sha256"], ["photo.sha256"], name="fk_control_photo_photo_sha256"),
        sa.ForeignKeyConstraint(["shift_id"], ["shift.id"], name="fk_control_photo_shift_id"),
        sa.PrimaryKeyConstraint("id", name="pk_control_photo"),
    )
    op.create_index("ix_control_photo_corrects_id", "control_photo", ["corrects_id"])
    op.create_index("ix_control_photo_kitchen_id_taken_at", "control_photo", ["kitchen_id", "taken_at"])

    op.create_table(
        "event",
        sa.Column("kitchen_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("at", MOMENT, nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("fryer_id", sa.Integer(), nullable=True),
        sa.Column("lot_id", sa.Integer(), nullable=True),
        *_correctable(),
        sa.CheckConstraint(
            "kind IN ('new lot', 'new crop', 'oil changed', 'fryer serviced', 'other')", name="ck_event_kind"
        ),
        sa.ForeignKeyConstraint(["by_id"], ["person.id"], name="fk_event_by_id"),
        sa.ForeignKeyConstraint(["corrects_id"], ["event.id"], name="fk_event_corrects_id"),
        sa.ForeignKeyConstraint(["fryer_id"], ["fryer.id"], name="fk_event_fryer_id"),
        sa.ForeignKeyConstraint(["kitchen_id"], ["kitchen.id"], name="fk_event_kitchen_id"),
        sa.ForeignKeyConstraint(["lot_id"], ["lot.id"], name="fk_event_lot_id"),
        sa.PrimaryKeyConstraint("id", name="pk_event"),
    )
    op.create_index("ix_event_corrects_id", "event", ["corrects_id"])
    op.create_index("ix_event_kitchen_id_at", "event", ["kitchen_id", "at"])

    op.create_table(
        "batch_decision",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sign", sa.String(), nullable=False),
        sa.Column("batch_id", sa.Integer(), nullable=False),
        sa.Column("standard_id", sa.Integer(), nullable=False),
        sa.Column("stage", sa.String(), nullable=False),
        sa.Column("method_version", sa.String(), nullable=False),
        sa.Column("question", sa.String(), nullable=False),
        sa.Column("outcome", sa.String(), nullable=False),
        sa.Column("headline", sa.String(), nullable=False),
        sa.Column("kept_at", MOMENT, nullable=False),
        sa.Column("by_id", sa.Integer(), nullable=True),
        sa.Column("gradings", JSON, nullable=False),
        sa.Column("verdict", JSON, nullable=True),
        sa.CheckConstraint("outcome IN ('pass', 'fail', 'undecided', 'refused')", name="ck_batch_decision_outcome"),
        sa.ForeignKeyConstraint(["batch_id"], ["batch.id"], name="fk_batch_decision_batch_id"),
        sa.ForeignKeyConstraint(["by_id"], ["person.id"], name="fk_batch_decision_by_id"),
        sa.ForeignKeyConstraint(["standard_id"], ["house_standard.id"], name="fk_batch_decision_standard_id"),
        sa.PrimaryKeyConstraint("id", name="pk_batch_decision"),
        sa.UniqueConstraint("sign", name="uq_batch_decision_sign"),
    )
    op.create_index("ix_batch_decision_batch_id", "batch_decision", ["batch_id"])

    op.create_table(
        "plate",
        sa.Column("batch_id", sa.Integer(), nullable=False),
        sa.Column("photo_sha256", sa.String(), nullable=False),
        sa.Column("taken_at", MOMENT, nullable=False),
        sa.Column("taken_from", sa.String(), nullable=False),
        sa.Column("zone", sa.String(), nullable=False),
        *_correctable(),
        sa.ForeignKeyConstraint(["batch_id"], ["batch.id"], name="fk_plate_batch_id"),
        sa.ForeignKeyConstraint(["by_id"], ["person.id"], name="fk_plate_by_id"),
        sa.ForeignKeyConstraint(["corrects_id"], ["plate.id"], name="fk_plate_corrects_id"),
        sa.ForeignKeyConstraint(["photo_sha256"], ["photo.sha256"], name="fk_plate_photo_sha256"),
        sa.PrimaryKeyConstraint("id", name="pk_plate"),
    )
    op.create_index("ix_plate_batch_id", "plate", ["batch_id"])
    op.create_index("ix_plate_corrects_id", "plate", ["corrects_id"])
    op.create_index("ix_plate_photo_sha256", "plate", ["photo_sha256"])
    op.create_index("ix_plate_taken_at", "plate", ["taken_at"])
    op.create_index(
        "uq_plate_photo_sha256", "plate", ["photo_sha256"], unique=True, sqlite_where=FIRST, postgresql_where=FIRST
    )

    op.create_table(
        "grading",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sign", sa.String(), nullable=False),
        sa.Column("plate_id", sa.Integer(), nullable=False),
        sa.Column("standard_id", sa.Integer(), nullable=False),
        sa.Column("stage", sa.String(), nullable=False),
        sa.Column("method_version", sa.String(), nullable=False),
        sa.Column("question", sa.String(), nullable=False),
        sa.Column("outcome", sa.String(), nullable=False),
        sa.Column("kept_at", MOMENT, nullable=False),
        sa.Column("by_id", sa.Integer(), nullable=True),
        sa.Column("card_serial", sa.String(), nullable=False),
        sa.Column("card_values", sa.String(), nullable=False),
        sa.Column("mended", sa.Boolean(), nullable=False),
        sa.Column("fries", sa.Integer(), nullable=False),
        sa.Column("off_scale", sa.Integer(), nullable=False),
        sa.Column("coloured", sa.Integer(), nullable=False),
        sa.Column("measured", sa.Integer(), nullable=False),
        sa.Column("place_mean", sa.Double(), nullable=True),
        sa.Column("place_sd", sa.Double(), nullable=True),
        sa.Column("place_u", sa.Double(), nullable=True),
        sa.Column("lab_l", sa.Double(), nullable=True),
        sa.Column("lab_a", sa.Double(), nullable=True),
        sa.Column("lab_b", sa.Double(), nullable=True),
        sa.Column("length_mean_mm", sa.Double(), nullable=True),
        sa.Column("length_sd_mm", sa.Double(), nullable=True),
        sa.Column("shares", JSON, nullable=False),
        sa.CheckConstraint("outcome IN ('pass', 'fail', 'undecided', 'refused')", name="ck_grading_outcome"),
        sa.ForeignKeyConstraint(["by_id"], ["person.id"], name="fk_grading_by_id"),
        sa.ForeignKeyConstraint(["plate_id"], ["plate.id"], name="fk_grading_plate_id"),
        sa.ForeignKeyConstraint(["standard_id"], ["house_standard.id"], name="fk_grading_standard_id"),
        sa.PrimaryKeyConstraint("id", name="pk_grading"),
        sa.UniqueConstraint("sign", name="uq_grading_sign"),
    )
    op.create_index("ix_grading_outcome_kept_at", "grading", ["outcome", "kept_at"])
    op.create_index("ix_grading_plate_id_standard_id", "grading", ["plate_id", "standard_id"])

    op.create_table(
        "fry",
        sa.Column("grading_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("whole", sa.Boolean(), nullable=False),
        sa.Column("length_mm", sa.Double(), nullable=True),
        sa.Column("length_mm_u", sa.Double(), nullable=True),
        sa.Column("straight_mm", sa.Double(), nullable=True),
        sa.Column("straight_mm_u", sa.Double(), nullable=True),
        sa.Column("width_mm", sa.Double(), nullable=True),
        sa.Column("width_mm_u", sa.Double(), nullable=True),
        sa.Column("lab_l", sa.Double(), nullable=True),
        sa.Column("lab_a", sa.Double(), nullable=True),
        sa.Column("lab_b", sa.Double(), nullable=True),
        sa.Column("lab_l_u", sa.Double(), nullable=True),
        sa.Column("lab_a_u", sa.Double(), nullable=True),
        sa.Column("lab_b_u", sa.Double(), nullable=True),
        sa.Column("scale_place", sa.Double(), nullable=True),
        sa.Column("scale_place_u", sa.Double(), nullable=True),
        sa.Column("scale_step", sa.String(), nullable=True),
        sa.Column("spread_de", sa.Double(), nullable=True),
        sa.Column("dark_end_mm", sa.Double(), nullable=True),
        sa.Column("dark_end_mm_u", sa.Double(), nullable=True),
        sa.Column("dark_end_dl", sa.Double(), nullable=True),
        sa.Column("spots", sa.Integer(), nullable=False),
        sa.Column("largest_spot_mm", sa.Double(), nullable=True),
        sa.Column("skin_share", sa.Double(), nullable=True),
        sa.Column("flags", sa.String(), nullable=False),
        sa.Column("mended_by", sa.String(), nullable=False),
        sa.Column("plate_mended_by", sa.String(), nullable=False),
        sa.Column("bow_share", sa.Double(), nullable=True),
        sa.Column("bow_share_u", sa.Double(), nullable=True),
        sa.Column("end_gap_1_mm", sa.Double(), nullable=True),
        sa.Column("end_gap_2_mm", sa.Double(), nullable=True),
        sa.Column("mass_g", sa.Double(), nullable=True),
        sa.Column("mass_g_u", sa.Double(), nullable=True),
        sa.ForeignKeyConstraint(["grading_id"], ["grading.id"], name="fk_fry_grading_id"),
        sa.PrimaryKeyConstraint("grading_id", "number", name="pk_fry"),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "grading_record",
        sa.Column("grading_id", sa.Integer(), nullable=False),
        sa.Column("record", JSON, nullable=False),
        sa.ForeignKeyConstraint(["grading_id"], ["grading.id"], name="fk_grading_record_grading_id"),
        sa.PrimaryKeyConstraint("grading_id", name="pk_grading_record"),
    )
