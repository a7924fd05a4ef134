"""What is told at the pass: checks of plates by hand, cooks' calls of colour, drawn sample times."""

from typing import Any

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "v0003"
down_revision = "v0002"

MOMENT = sa.DateTime(timezone=True)
JSON = sa.JSON(none_as_null=True).with_variant(postgresql.JSONB(none_as_null=True), "postgresql")
FIRST = sa.text("corrects_id IS NULL")


def _correctable(table: str) -> list[Any]:
    return [
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kept_at", MOMENT, nullable=False),
        sa.Column("by_id", sa.Integer(), nullable=True),
        sa.Column("why", sa.String(), nullable=False),
        sa.Column("withdrawn", sa.Boolean(), nullable=False),
        sa.Column("corrects_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["by_id"], ["person.id"], name=f"fk_{table}_by_id"),
        sa.ForeignKeyConstraint(["corrects_id"], [f"{table}.id"], name=f"fk_{table}_corrects_id"),
        sa.PrimaryKeyConstraint("id", name=f"pk_{table}"),
    ]


def _once(name: str, table: str, columns: list[str]) -> None:
    op.create_index(name, table, columns, unique=True, sqlite_where=FIRST, postgresql_where=FIRST)


def upgrade() -> None:
    """Three tables."""
    op.create_table(
        "plate_check",
        sa.Column("plate_id", sa.Integer(), nullable=False),
        sa.Column("seasoned", sa.Boolean(), nullable=False),
        sa.Column("lifted_s", sa.Double(), nullable=True),
        sa.Column("held_s", sa.Double(), nullable=True),
        sa.Column("bend", sa.String(), nullable=False),
        sa.Column("crisp", sa.Boolean(), nullable=True),
        sa.Column("limp_after_5_min", sa.Boolean(), nullable=True),
        sa.Column("mass_g", sa.Double(), nullable=True),
        sa.Column("sample_at", MOMENT, nullable=True),
        *_correctable("plate_check"),
        sa.CheckConstraint("bend IN ('', 'bends', 'snaps')", name="ck_plate_check_bend"),
        sa.ForeignKeyConstraint(["plate_id"], ["plate.id"], name="fk_plate_check_plate_id"),
    )
    op.create_index("ix_plate_check_corrects_id", "plate_check", ["corrects_id"])
    _once("uq_plate_check_plate_id", "plate_check", ["plate_id"])
    op.create_table(
        "colour_call",
        sa.Column("at", MOMENT, nullable=False),
        sa.Column("photo_sha256", sa.String(), nullable=False),
        sa.Column("called", sa.String(), nullable=False),
        sa.Column("method", sa.String(), nullable=False),
        sa.Column("again", sa.Boolean(), nullable=False),
        *_correctable("colour_call"),
        sa.CheckConstraint("called IN ('pale', 'right', 'dark')", name="ck_colour_call_called"),
        sa.CheckConstraint("method IN ('', 'pale', 'right', 'dark')", name="ck_colour_call_method"),
        sa.ForeignKeyConstraint(["photo_sha256"], ["photo.sha256"], name="fk_colour_call_photo_sha256"),
    )
    op.create_index("ix_colour_call_corrects_id", "colour_call", ["corrects_id"])
    op.create_index("ix_colour_call_by_id_at", "colour_call", ["by_id", "at"])
    op.create_index("ix_colour_call_photo_sha256", "colour_call", ["photo_sha256"])
    op.create_table(
        "sample_times",
        sa.Column("kitchen_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("shift", sa.String(), nullable=False),
        sa.Column("plan", JSON, nullable=False),
        *_correctable("sample_times"),
        sa.ForeignKeyConstraint(["kitchen_id"], ["kitchen.id"], name="fk_sample_times_kitchen_id"),
    )
    op.create_index("ix_sample_times_corrects_id", "sample_times", ["corrects_id"])
    _once("uq_sample_times_kitchen_id_day_shift", "sample_times", ["kitchen_id", "day", "shift"])
