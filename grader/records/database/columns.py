"""What all tables of the records share: names of constraints, moments in UTC, JSON, and how a correction is told."""

from datetime import UTC, datetime
from typing import Any, ClassVar

from sqlalchemy import JSON, DateTime, Dialect, ForeignKey, MetaData
from sqlalchemy.dialects.postgresql import JSONB
from sqlalchemy.orm import DeclarativeBase, Mapped, MappedAsDataclass, declared_attr, mapped_column
from sqlalchemy.types import TypeDecorator

from grader.records.json_values import Json

NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}
"""Every constraint has a name that follows from what it is about, so that migrations can find it on any database."""


class UtcTime(TypeDecorator[datetime]):
    """A moment, in UTC on disk; a time without a zone is refused, because nobody knows when it was."""

    impl = DateTime(timezone=True)
    cache_ok = True

    @property
    def python_type(self) -> type[datetime]:
        """What a row holds; SQLAlchemy doesn't ask what it decorates."""
        return datetime

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """To UTC."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("A moment without a time zone can't be kept.")
        in_utc = value.astimezone(UTC)
        return in_utc if dialect.name == "postgresql" else in_utc.replace(tzinfo=None)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """With its zone, which SQLite doesn't keep."""
        del dialect
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


JSON_VALUE = JSON(none_as_null=True).with_variant(JSONB(none_as_null=True), "postgresql")


class Base(MappedAsDataclass, DeclarativeBase, kw_only=True):
    """A table of the records."""

    metadata = MetaData(naming_convention=NAMING)
    type_annotation_map: ClassVar[dict[Any, Any]] = {datetime: UtcTime, Json: JSON_VALUE}


class Correctable(MappedAsDataclass, kw_only=True):
    """A row that another may correct: both stay, and readers see the newest.

    Other tables refer to the first row of a thing, `corrects_id` is None there; a correction refers to that one and
    says everything anew, with who, when and why. `withdrawn` says that the thing isn't so at all.
    """

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    kept_at: Mapped[datetime]
    by_id: Mapped[int | None] = mapped_column(ForeignKey("person.id"), default=None)
    why: Mapped[str] = mapped_column(default="")
    withdrawn: Mapped[bool] = mapped_column(default=False)

    @declared_attr
    def corrects_id(cls) -> Mapped[int | None]:  # noqa: N805
        """The first row of the thing that this one corrects."""
        return mapped_column(ForeignKey(f"{cls.__tablename__}.id"), default=None, index=True)  # type: ignore[attr-defined]
