"""Real plates graded by one worker, by two, by a cluster: the same results to the last bit."""

import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import func, select
from typer.testing import CliRunner

from grader.cli.commands import app
from grader.cli.exits import Exit
from grader.records.database import open_house
from grader.records.database.plate_tables import BatchDecision, Fry, Grading, Plate
from tests.bars.databases import Kind, new_database
from tests.running.clusters import TestCluster, cluster
from tests.running.folders import results

PLATES = Path(__file__).parents[1] / "plates"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two plates of one batch, one of another, and a file that is no photo."""
    top = tmp_path_factory.mktemp("plates")
    for name in ("lunch/ink064.jpg", "lunch/ink065.jpg", "dinner/plain100.jpg"):
        (top / name).parent.mkdir(exist_ok=True)
        (top / name).write_bytes((PLATES / Path(name).name).read_bytes())
    (top / "dinner" / "torn.jpg").write_bytes(b"no photo")
    return top


def grade(folder: Path, out: Path, *options: str) -> dict[str, bytes]:
    told = CliRunner().invoke(app, ["grade", str(folder), "--out", str(out), *options])
    assert told.exit_code == Exit.DONE, told.output
    assert "torn.jpg was refused" in told.stdout
    return results(out)


@pytest.fixture(scope="module")
def by_one(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    return grade(folder, tmp_path_factory.mktemp("one"), "--workers", "1")


def test_two_workers_find_what_one_does(folder: Path, by_one: dict[str, bytes], tmp_path: Path) -> None:
    assert grade(folder, tmp_path / "two", "--workers", "2") == by_one


@pytest.fixture(scope="module")
def two(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestCluster]:
    with cluster(tmp_path_factory.mktemp("cluster"), workers=2) as running:
        yield running


@pytest.mark.slow
def test_a_cluster_finds_what_one_worker_does(
    folder: Path, by_one: dict[str, bytes], two: TestCluster, tmp_path: Path
) -> None:
    assert grade(folder, tmp_path / "out", "--cluster", two.address) == by_one


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_a_cluster_fills_tables_and_records_as_one_worker_does(
    folder: Path, two: TestCluster, tmp_path: Path, kind: Kind
) -> None:
    found = []
    for who in (("--workers", "1"), ("--cluster", two.address)):
        place = tmp_path / who[0].strip("-")
        place.mkdir()
        with new_database(kind, place) as url:
            keep = ("--kitchen", "Harbour", "--zone", "Europe/Lisbon", "--records", url)
            store = ("--photo-store", str(place / "photos"))
            told = grade(folder, place / "out", "--parquet", *keep, *store, *who)
            found.append((told, _kept(url, place)))
    assert found[0] == found[1]
    assert {"plates/part-00000.parquet", "fries/part-00000.parquet"} <= set(found[0][0])


def _kept(url: str, place: Path) -> list[object]:
    """What the records hold, but for when it was kept."""
    house = open_house(url, photos=str(place / "photos"))
    with house.reading() as connection:
        counts = [connection.scalar(select(func.count()).select_from(one)) for one in (Plate, Fry, BatchDecision)]
        figures = (Grading.outcome, Grading.fries, Grading.place_mean, Grading.length_mean_mm, Grading.sign)
        rows = connection.execute(select(*figures).order_by(Grading.id)).all()
    house.close()
    return [counts, [tuple(row) for row in rows]]


@pytest.mark.slow
def test_a_worker_killed_midway_loses_and_doubles_nothing(
    folder: Path, by_one: dict[str, bytes], tmp_path: Path
) -> None:
    with cluster(tmp_path, workers=2) as running:
        command = [sys.executable, "-m", "grader", "grade", str(folder), "--out", str(tmp_path / "out")]
        with subprocess.Popen([*command, "--cluster", running.address], stdout=subprocess.DEVNULL) as run:
            journal = tmp_path / "out" / ".finished.jsonl"
            while run.poll() is None and not (journal.exists() and journal.stat().st_size):
                time.sleep(0.05)
            running.workers[0].kill()
        assert run.returncode == Exit.DONE
    assert results(tmp_path / "out") == by_one


def test_what_keeps_a_cluster_from_working_is_told(folder: Path, tmp_path: Path) -> None:
    def told(*options: str) -> str:
        result = CliRunner().invoke(app, ["grade", str(folder), "--out", str(tmp_path / "out"), *options])
        assert result.exit_code == Exit.FAULTY_INPUT
        assert not (tmp_path / "out").exists()
        return result.stderr

    assert "No scheduler answers" in told("--cluster", "tcp://127.0.0.1:9")
    assert "can't both" in told("--cluster", "tcp://127.0.0.1:9", "--workers", "2")
