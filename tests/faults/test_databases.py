"""The database goes away in the middle of a write, and comes back; or somebody holds it; or another edition has it."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import Connection

from grader.records.database import House, RecordsUnusable, engines, open_house, things
from grader.records.database import keeping as keeping_rows
from grader.records.database.doctor import examine
from grader.records.database.migrating import versions
from grader.records.database.plate_tables import Fry, Grading, Plate
from tests.faults.clusters import Cluster, own_cluster
from tests.records.database.conftest import FRIES, keep
from tests.records.database.test_keeping import count


@pytest.fixture(scope="module")
def cluster() -> Iterator[Cluster]:
    with own_cluster() as made:
        yield made


def test_a_server_that_goes_away_in_the_middle_of_a_write(
    cluster: Cluster, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Half of a plate's rows are sent; then the server dies. Back again, it has none of them, and all the others."""
    with closing(open_house(cluster.url, photos=str(tmp_path / "photos"))) as house:
        keep(house, 0)
        add_once, stopped = things.add_once, list[bool]()

        def add_and_stop(connection: Connection, table: type, row: dict[str, object]) -> bool:
            added = add_once(connection, table, row)
            if table is Grading and not stopped:
                stopped.append(True)
                cluster.stop()
            return added

        monkeypatch.setattr(keeping_rows, "add_once", add_and_stop)
        with pytest.raises(RecordsUnusable) as caught:
            keep(house, 1)
        assert stopped
        assert "try again" in caught.value.hint
        with pytest.raises(RecordsUnusable):
            keep(house, 2)  # it is still away
        cluster.start()
        assert [count(house, table) for table in (Plate, Grading, Fry)] == [1, 1, FRIES]
        assert keep(house, 1).new  # the same program goes on
        assert keep(house, 2).new
        assert not list(examine(house, mend=False))
    cluster.stop()
    with pytest.raises(RecordsUnusable):
        open_house(cluster.url, photos=str(tmp_path / "photos"))
    cluster.start()


@pytest.fixture
def files(tmp_path: Path) -> Iterator[House]:
    with closing(open_house(f"sqlite:///{tmp_path / 'house' / 'records.sqlite3'}")) as house:
        yield house


def test_a_file_that_somebody_else_holds(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engines, "WAIT_S", 0.2)
    with closing(open_house(f"sqlite:///{tmp_path / 'records.sqlite3'}")) as house:
        keep(house, 0)
        with closing(sqlite3.connect(tmp_path / "records.sqlite3", isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            with pytest.raises(RecordsUnusable, match="locked") as caught:
                keep(house, 1)
            assert caught.value.hint
            assert count(house, Plate) == 1  # who reads waits for nobody
            other.execute("ROLLBACK")
        assert keep(house, 1).new


def test_a_file_that_is_taken_away_and_put_back(files: House, tmp_path: Path) -> None:
    """As when a network folder goes: nothing is acknowledged that isn't there afterwards."""
    keep(files, 0)
    files.close()
    there, away = tmp_path / "house", tmp_path / "away"
    there.rename(away)
    with pytest.raises((RecordsUnusable, OSError)):
        keep(files, 1)
    files.close()
    if there.exists():  # what the photo store made anew
        there.rename(tmp_path / "meanwhile")
    away.rename(there)
    assert count(files, Plate) == 1
    assert keep(files, 1).new


def test_two_editions_on_one_database(files: House, tmp_path: Path) -> None:
    """A later edition has brought it further: this one refuses to open it, and changes nothing."""
    keep(files, 0)
    files.close()
    file = tmp_path / "house" / "records.sqlite3"
    with closing(sqlite3.connect(file)) as later:
        later.execute("UPDATE alembic_version SET version_num = 'v9999'")
        later.commit()
    with pytest.raises(RecordsUnusable, match="later edition") as caught:
        open_house(f"sqlite:///{file}")
    assert "newest edition" in caught.value.hint
    with closing(sqlite3.connect(file)) as later:
        assert later.execute("SELECT version_num FROM alembic_version").fetchone() == ("v9999",)
        later.execute("UPDATE alembic_version SET version_num = ?", (versions()[-1],))
        later.commit()
    with closing(open_house(f"sqlite:///{file}")) as again:
        assert count(again, Plate) == 1
