"""Killed (SIGKILL) at several moments while it writes: what was acknowledged is there, and nothing is half there.

Plates in the records: `tests/bars/test_consistency_records.py` kills whole imports, at moments drawn from all of them.
"""

import json
from multiprocessing import get_context
from multiprocessing.connection import Connection
from pathlib import Path

import pytest

from grader.evidence.journal import Journal
from grader.records.house_values import HouseValues, house_values, keep_house_values
from grader.records.whole_files import write_whole
from grader.serving.pairing import Pairings, Place
from tests.evidence.cases import START, Clock

KILLED_AFTER = (1, 3, 8)
"""Acknowledged writes: each time the next ones are under way."""


def _chain(folder: Path, told: Connection) -> None:
    journal = Journal(folder=folder, now=Clock())
    for number in range(10_000):
        entry = journal.add("plate", {"photo": f"{number:064d}", "words": "x" * 20_000})
        told.send(entry.link.hash)


def _values(folder: Path, told: Connection) -> None:
    for number in range(10_000):
        keep_house_values(HouseValues(kitchen=f"kitchen {number} " * 2000), folder)
        told.send(str(number))


def _files(folder: Path, told: Connection) -> None:
    for number in range(10_000):
        write_whole(folder / "results.json", json.dumps([number] * 50_000).encode())
        told.send(str(number))


def _phones(folder: Path, told: Connection) -> None:
    pairings = Pairings(folder / "phones.json", clock=lambda: START)
    for _ in range(40):
        place = Place(kitchen="Harbour " * 500, zone="Europe/Lisbon", shift="lunch", until=START.replace(year=2100))
        token = pairings.pair(pairings.new_code(place))
        told.send(token)


def _killed(write: object, folder: Path, after: int) -> list[str]:
    """What was acknowledged before the kill."""
    context = get_context("spawn")
    here, there = context.Pipe(duplex=False)
    process = context.Process(target=write, args=(folder, there))  # type: ignore[arg-type]
    process.start()
    there.close()
    acknowledged = [here.recv() for _ in range(after)]
    process.kill()
    process.join()
    assert process.exitcode == -9
    while here.poll():
        try:
            acknowledged.append(here.recv())
        except EOFError:
            break
    return acknowledged


@pytest.mark.parametrize("after", KILLED_AFTER)
def test_the_chain(tmp_path: Path, after: int) -> None:
    acknowledged = _killed(_chain, tmp_path, after)
    journal = Journal(folder=tmp_path, now=Clock(START.replace(year=2030)))
    hashes = [entry.link.hash for entry in journal.entries()]  # raises where links don't hold
    assert hashes[: len(acknowledged)] == acknowledged
    assert len(hashes) <= len(acknowledged) + 1
    journal.add("plate", {"photo": "f" * 64})
    assert len(journal.entries()) == len(hashes) + 1


@pytest.mark.parametrize("after", KILLED_AFTER)
def test_the_houses_values(tmp_path: Path, after: int) -> None:
    last = int(_killed(_values, tmp_path, after)[-1])
    assert house_values(tmp_path).kitchen in {f"kitchen {number} " * 2000 for number in (last, last + 1)}


@pytest.mark.parametrize("after", KILLED_AFTER)
def test_files_of_results(tmp_path: Path, after: int) -> None:
    last = int(_killed(_files, tmp_path, after)[-1])
    numbers = json.loads((tmp_path / "results.json").read_bytes())
    assert len(numbers) == 50_000
    assert set(numbers) in ({last}, {last + 1})


@pytest.mark.parametrize("after", KILLED_AFTER)
def test_paired_phones(tmp_path: Path, after: int) -> None:
    tokens = _killed(_phones, tmp_path, after)
    pairings = Pairings(tmp_path / "phones.json", clock=lambda: START)
    assert all(pairings.place(token) for token in tokens)
