"""Databases for one test: a SQLite file, or a new database on the PostgreSQL server that the environment names."""

import os
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Literal

import pytest
from sqlalchemy import create_engine, make_url

POSTGRES_VARIABLE = "FRY_GRADER_TEST_POSTGRES"
Kind = Literal["sqlite", "postgresql"]


@contextmanager
def new_database(kind: Kind, folder: Path) -> Iterator[str]:
    """The address of a database that is nobody else's, gone afterwards; skips where there is no server, but in CI."""
    if kind == "sqlite":
        yield f"sqlite:///{folder / 'records.sqlite3'}"
        return
    server = os.environ.get(POSTGRES_VARIABLE)
    if server is None:
        assert not os.environ.get("CI"), f"in CI {POSTGRES_VARIABLE} must name a server"
        pytest.skip(f"no PostgreSQL server: {POSTGRES_VARIABLE} names none")
    address = make_url(server).set(drivername="postgresql+psycopg")
    name = f"fry_grader_test_{uuid.uuid4().hex[:12]}"
    engine = create_engine(address, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.exec_driver_sql(f"CREATE DATABASE {name}")
    try:
        yield address.set(database=name).render_as_string(hide_password=False)
    finally:
        with engine.connect() as connection:
            connection.exec_driver_sql(f"DROP DATABASE {name} WITH (FORCE)")
        engine.dispose()
