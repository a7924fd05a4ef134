"""All tables of the records: whoever needs their whole (migrations, export, doctor) takes it from here."""

from grader.records.database import house_tables, line_tables, pass_tables, plate_tables, watch_tables
from grader.records.database.columns import Base, Correctable

__all__ = ["METADATA", "correctable_tables"]

METADATA = Base.metadata


def correctable_tables() -> dict[str, type[Correctable]]:
    """The tables whose rows may be corrected, by name."""
    modules = (house_tables, plate_tables, watch_tables, pass_tables, line_tables)
    found = (one for module in modules for one in vars(module).values() if isinstance(one, type))
    return {str(one.__tablename__): one for one in found if issubclass(one, Correctable) and issubclass(one, Base)}
