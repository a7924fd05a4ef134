from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from sqlite3 import connect as sqlite_connect

import pytest
from alembic import command
from sqlalchemy import Engine, inspect
from sqlalchemy.exc import DBAPIError

from grader.records.database import RecordsUnusable, open_house
from grader.records.database.engines import WRITES, make_engine, records_url
from grader.records.database.migrating import config_for, upgrade, version_of, versions
from grader.records.database.tables import METADATA
from tests.records.database.conftest import keep


@pytest.fixture
def engine(url: str) -> Iterator[Engine]:
    made = make_engine(records_url(url))
    yield made.execution_options(**{WRITES: True})
    made.dispose()


def test_an_empty_database_is_brought_to_the_tables_of_the_models(engine: Engine) -> None:
    with engine.begin() as connection:
        assert version_of(connection) is None
        assert upgrade(connection)
    with engine.begin() as connection:
        assert version_of(connection) == versions()[-1]
        assert set(inspect(connection).get_table_names()) == {*METADATA.tables, "alembic_version"}
        command.check(config_for(connection))  # raises where models and tables differ
        assert not upgrade(connection)


@pytest.mark.parametrize("old", versions())
def test_every_older_version_is_upgraded(engine: Engine, old: str) -> None:
    with engine.begin() as connection:
        upgrade(connection, to=old)
        assert version_of(connection) == old
        connection.exec_driver_sql("INSERT INTO person (initials, kept_at) VALUES ('AB', '2026-03-05 12:00:00+00:00')")
    with engine.begin() as connection:
        upgrade(connection)
        assert version_of(connection) == versions()[-1]
        command.check(config_for(connection))
        assert connection.exec_driver_sql("SELECT initials FROM person").scalars().all() == ["AB"]
    with pytest.raises(DBAPIError, match="never changed or deleted"), engine.begin() as connection:
        connection.exec_driver_sql("DELETE FROM person")


def test_an_upgrade_that_fails_leaves_the_database_as_it_was(engine: Engine) -> None:
    with engine.begin() as connection:
        connection.exec_driver_sql("CREATE TABLE kitchen (name TEXT)")  # in the way of the migration
    with pytest.raises(DBAPIError), engine.begin() as connection:
        upgrade(connection)
    with engine.begin() as connection:
        assert inspect(connection).get_table_names() == ["kitchen"]


def test_records_of_a_later_edition_are_left_alone(url: str, engine: Engine) -> None:
    with engine.begin() as connection:
        upgrade(connection)
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = 'v9999'")
    with pytest.raises(RecordsUnusable, match="later edition"):
        open_house(url)
    with engine.begin() as connection:
        assert connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar_one() == "v9999"


@pytest.mark.parametrize(
    "statement",
    ["UPDATE grading SET place_mean = 1", "DELETE FROM fry", "DELETE FROM plate", "UPDATE fry SET number = 99"],
)
def test_the_database_itself_refuses_to_change_a_row(url: str, tmp_path: Path, statement: str) -> None:
    with closing(open_house(url, photos=str(tmp_path / "photos"))) as house:
        keep(house)
        with pytest.raises(DBAPIError, match="never changed or deleted"), house.engine.begin() as connection:
            connection.exec_driver_sql(statement)


def test_an_address_that_is_none_says_what_is_wanted() -> None:
    for wrong in ("mysql://a@b/c", "nowhere", "postgresql://me@here:port/records"):
        with pytest.raises(RecordsUnusable, match="sqlite:///FILE"):
            records_url(wrong)


def test_a_file_that_is_no_database_is_told_and_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "notes.txt"
    file.write_bytes(b"buy potatoes " * 500)
    with pytest.raises(RecordsUnusable, match="can't be used"):
        open_house(f"sqlite:///{file}")
    assert file.read_bytes() == b"buy potatoes " * 500


def test_commits_are_flushed_and_readers_wait_for_nobody(files_url: str) -> None:
    house = open_house(files_url)
    with house.reading() as connection:
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar_one() == "wal"
        assert connection.exec_driver_sql("PRAGMA synchronous").scalar_one() == 2  # FULL
        assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar_one() == 1
    house.close()


@pytest.fixture
def files_url(tmp_path: Path) -> str:
    return f"sqlite:///{tmp_path / 'records.sqlite3'}"


def test_a_reader_sees_the_state_before_while_somebody_writes(files_url: str) -> None:
    house = open_house(files_url)
    keep(house, 1)
    assert house.file is not None
    other = sqlite_connect(house.file, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    other.execute("INSERT INTO person (initials, kept_at) VALUES ('ZZ', '2026-01-01')")
    with house.reading() as connection:
        assert connection.exec_driver_sql("SELECT count(*) FROM person").scalar_one() == 1
    other.execute("ROLLBACK")
    other.close()
    house.close()
