"""What was done with a batch on the fry line: the line sheet."""

from typing import Any

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "v0004"
down_revision = "v0003"

JSON = sa.JSON(none_as_null=True).with_variant(postgresql.JSONB(none_as_null=True), "postgresql")
FIRST = sa.text("corrects_id IS NULL")


def _figure(name: str) -> sa.Column[Any]:
    return sa.Column(name, sa.Double(), nullable=True)


def _word(name: str) -> sa.Column[Any]:
    return sa.Column(name, sa.String(), nullable=False)


def upgrade() -> None:
    """One table."""
    op.create_table(
        "line_sheet",
        sa.Column("batch_id", sa.Integer(), nullable=False),
        _word("wash"),
        _figure("cut_mm"),
        _figure("soak_h"),
        _figure("water_changes"),
        _figure("vinegar_ml_l"),
        _figure("air_min"),
        _word("drying"),
        _figure("load_kg"),
        _word("oil_kind"),
        _figure("oil_l"),
        _figure("oil_age_days"),
        _figure("blanch_c"),
        _figure("blanch_s"),
        _word("cooling"),
        _figure("cooling_min"),
        _figure("finish_c"),
        _figure("finish_s"),
        _figure("oil_lowest_c"),
        _figure("salt_g_kg"),
        _word("hold"),
        _figure("hold_min"),
        sa.Column("notes", JSON, nullable=False),
        _word("cause_found"),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kept_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("by_id", sa.Integer(), nullable=True),
        _word("why"),
        sa.Column("withdrawn", sa.Boolean(), nullable=False),
        sa.Column("corrects_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["batch_id"], ["batch.id"], name="fk_line_sheet_batch_id"),
        sa.ForeignKeyConstraint(["by_id"], ["person.id"], name="fk_line_sheet_by_id"),
        sa.ForeignKeyConstraint(["corrects_id"], ["line_sheet.id"], name="fk_line_sheet_corrects_id"),
        sa.PrimaryKeyConstraint("id", name="pk_line_sheet"),
    )
    op.create_index("ix_line_sheet_corrects_id", "line_sheet", ["corrects_id"])
    op.create_index(
        "uq_line_sheet_batch_id",
        "line_sheet",
        ["batch_id"],
        unique=True,
        sqlite_where=FIRST,
        postgresql_where=FIRST,
    )
