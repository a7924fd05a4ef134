"""Run by alembic: migrates the connection that it is handed, inside that connection's own transaction."""

from alembic import context

from grader.records.database.tables import METADATA

connection = context.config.attributes["connection"]
context.configure(
    connection=connection,
    target_metadata=METADATA,
    render_as_batch=True,  # SQLite changes a table by copying it
    compare_type=True,
    compare_server_default=True,
)
context.run_migrations()
