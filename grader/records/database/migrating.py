"""Bringing a database to this edition's tables, whichever edition made it; and guarding its rows.

All of an upgrade is one transaction, on SQLite as on PostgreSQL: cut short, it leaves the database as it was.
"""

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection

from grader.records.database.errors import RecordsUnusable
from grader.records.database.guards import drop_guards, set_guards

LOCK = 7_463_201_188
"""PostgreSQL's advisory lock for upgrades: any number that no other program on that database uses."""


def config_for(connection: Connection | None) -> Config:
    """Alembic's settings, for migrations that ship inside the package."""
    config = Config()
    config.set_main_option("script_location", "grader.records.database:migrations")
    config.attributes["connection"] = connection
    return config


def versions() -> tuple[str, ...]:
    """All versions of the tables that there ever were, the first first."""
    scripts = ScriptDirectory.from_config(config_for(None))
    return tuple(one.revision for one in reversed(list(scripts.walk_revisions())))


def version_of(connection: Connection) -> str | None:
    """Which version a database has; None where it is empty."""
    return MigrationContext.configure(connection).get_current_revision()


def upgrade(connection: Connection, *, to: str = "head") -> bool:
    """Bring a database to a version, within the connection's own transaction; whether there was anything to do.

    Raises
    ------
    RecordsUnusable
        A later edition of the program made it.
    """
    if connection.dialect.name == "postgresql":
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({LOCK})")
    there, known = version_of(connection), versions()
    if there is not None and there not in known:
        hint = "Use the newest edition of the program; nothing was changed."
        raise RecordsUnusable(f"A later edition of this program made these records (version {there}).", hint=hint)
    if there == (known[-1] if to == "head" else to):
        return False
    drop_guards(connection)
    command.upgrade(config_for(connection), to)
    set_guards(connection)
    return True
