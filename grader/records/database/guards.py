"""Guards in the database itself: rows are added, never changed or deleted, whoever tries."""

from sqlalchemy import Connection, inspect

NOT_GUARDED = frozenset({"alembic_version"})
_REFUSAL = "records are never changed or deleted; add a correction"


def set_guards(connection: Connection) -> None:
    """Let the database refuse every UPDATE and DELETE; those that are set already stay."""
    if connection.dialect.name == "sqlite":
        for table in _tables(connection):
            for what in ("UPDATE", "DELETE"):
                connection.exec_driver_sql(
                    f"CREATE TRIGGER IF NOT EXISTS {table}_no_{what.lower()} BEFORE {what} ON {table} "
                    f"BEGIN SELECT RAISE(ABORT, '{_REFUSAL}'); END"
                )
        return
    connection.exec_driver_sql(
        "CREATE OR REPLACE FUNCTION records_refuse_change() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{_REFUSAL}'; END $$"
    )
    for table in _tables(connection):
        connection.exec_driver_sql(
            f"CREATE OR REPLACE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION records_refuse_change()"
        )


def drop_guards(connection: Connection) -> None:
    """Take them away, within an upgrade, which may have to copy rows."""
    if connection.dialect.name == "sqlite":
        for table in _tables(connection):
            for what in ("update", "delete"):
                connection.exec_driver_sql(f"DROP TRIGGER IF EXISTS {table}_no_{what}")
        return
    for table in _tables(connection):
        connection.exec_driver_sql(f"DROP TRIGGER IF EXISTS {table}_no_change ON {table}")


def _tables(connection: Connection) -> list[str]:
    return sorted(set(inspect(connection).get_table_names()) - NOT_GUARDED)


def guards_missing(connection: Connection) -> list[str]:
    """The tables that lack a guard."""
    if connection.dialect.name == "sqlite":
        asked = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        wanted = {table: {f"{table}_no_update", f"{table}_no_delete"} for table in _tables(connection)}
    else:
        asked = "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal"
        wanted = {table: {f"{table}_no_change"} for table in _tables(connection)}
    there = {row[0] for row in connection.exec_driver_sql(asked)}
    return [table for table, guards in wanted.items() if not guards <= there]
