"""What the records are held to: how long keeping and asking takes, and that nothing is lost whatever happens."""

import statistics
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from itertools import count as count_up
from pathlib import Path

import numpy as np
import pytest
from sqlalchemy import Connection, func, select

from grader.records.database import House, LotFacts, Setting, keep_graded, open_house
from grader.records.database.house import Done
from grader.records.database.photos import is_whole
from grader.records.database.plate_tables import Fry, Grading, GradingRecord, Photo, Plate
from tests.bars.databases import Kind, new_database
from tests.bars.record_kills import PLATES, Place, kill_many
from tests.bars.record_questions import ask_all, fill_house
from tests.bars.record_writers import WRITERS, write_at_once
from tests.bars.records import graded_plate, house_standard, median_ms, photo_bytes

pytestmark = pytest.mark.bar

LOT = LotFacts(supplier="One", number="7")
KINDS: tuple[Kind, ...] = ("sqlite", "postgresql")


def count(house: House, table: type) -> int:
    with house.reading() as connection:
        return connection.scalar(select(func.count()).select_from(table)) or 0


@pytest.mark.parametrize("kind", KINDS)
def test_eight_writers_at_once_lose_nothing(kind: Kind, tmp_path: Path) -> None:
    plates, shared = 5, 3
    photos = str(tmp_path / "photos")
    with new_database(kind, tmp_path) as url:
        wrote = write_at_once(url, photos, plates=plates, shared=shared)
        house = open_house(url, photos=photos)
        all_plates = WRITERS * plates + shared
        print(f"{kind}: {WRITERS} writers, {all_plates} plates, {count(house, Fry)} fries, no error")
        assert all(kept.new for one in wrote for kept in one.own)
        for at in range(shared):  # whoever came first added it, and all know it by the same numbers
            assert sum(one.shared[at].new for one in wrote) == 1
            assert len({one.shared[at].grading_id for one in wrote}) == 1
        for table in (Photo, Plate, Grading, GradingRecord):
            assert count(house, table) == all_plates
        assert count(house, Fry) == 60 * all_plates
        with house.reading() as connection:
            kept = connection.scalars(select(Photo.sha256)).all()
        assert all(is_whole(sha256, house.photos.get(sha256)) for sha256 in kept)
        house.close()


def places(kind: Kind, folder: Path) -> Iterator[Place]:
    for turn in count_up(1):
        here = folder / str(turn)
        here.mkdir()
        with new_database(kind, here) as url:
            yield Place(url=url, photos=str(here / "photos"), acknowledged=here / "acknowledged")


def check_killed(kind: Kind, folder: Path, *, kills: int) -> None:
    told = kill_many(places(kind, folder), kills=kills, seed=kills)
    early, middle, late = np.percentile(told.plates_at_kill, [25, 50, 75])
    print(f"{kind}: killed {told.kills} times, quarters at {early:.0f}, {middle:.0f} and {late:.0f} of {PLATES} plates")
    print(f"{told.acknowledged} acknowledged plates looked for, {len(told.faults)} faults, {told.finished} ends alike")
    assert not told.faults
    assert told.acknowledged


@pytest.mark.parametrize("kind", KINDS)
def test_killed_at_a_few_moments_nothing_is_torn_or_lost(kind: Kind, tmp_path: Path) -> None:
    check_killed(kind, tmp_path, kills=6)


@pytest.mark.slow
@pytest.mark.by_hand
@pytest.mark.parametrize("kind", KINDS)
def test_killed_at_200_moments_nothing_is_torn_or_lost(kind: Kind, tmp_path: Path) -> None:
    check_killed(kind, tmp_path, kills=200)


@dataclass(frozen=True, slots=True, kw_only=True)
class Inserted:
    """Medians: of the transaction alone, and of keeping as a whole, with the photo."""

    rows_ms: float
    whole_ms: float


def insert_plates(house: House, *, plates: int = 60) -> Inserted:
    """Keep plates of 60 fries with photos of 2 MB, the first ones untimed."""
    standard, rows_ms = house_standard(), []

    class Timed(House):
        def write(self, work: Callable[[Connection], Done]) -> Done:
            start = time.perf_counter()
            done = super().write(work)
            rows_ms.append((time.perf_counter() - start) * 1000)
            return done

    timed = Timed(engine=house.engine, photos=house.photos)
    photos = [photo_bytes(number) for number in range(plates)]
    graded = [graded_plate(number, data) for number, data in enumerate(photos)]

    def keep(number: int) -> object:
        setting = Setting(kitchen="One", zone="Europe/Lisbon", fryer="left", shift="lunch", lot=LOT, by="AB")
        return keep_graded(timed, graded[number], photos[number], standard=standard, setting=setting)

    for number in range(10):
        keep(number)
    rows_ms.clear()
    whole_ms = median_ms([partial(keep, number) for number in range(10, plates)])
    return Inserted(rows_ms=statistics.median(rows_ms), whole_ms=whole_ms)


@pytest.mark.slow
@pytest.mark.by_hand
@pytest.mark.parametrize(("kind", "at_most_ms"), [("sqlite", 20), ("postgresql", 30)])
def test_a_plate_of_60_fries_is_inserted_quickly(kind: Kind, at_most_ms: float, tmp_path: Path) -> None:
    with new_database(kind, tmp_path) as url:
        house = open_house(url, photos=str(tmp_path / "photos"))
        took = insert_plates(house)
        house.close()
    print(f"{kind}: a plate of 60 fries takes {took.rows_ms:.1f} ms (median of 50; bar {at_most_ms} ms)")
    print(f"with what is reckoned before it and a photo of 2 MB flushed to disk {took.whole_ms:.1f} ms")
    assert took.rows_ms < at_most_ms


def check_asked(kind: Kind, folder: Path, *, plates: int, at_most_ms: float) -> None:
    with new_database(kind, folder) as url:
        house = open_house(url, photos=str(folder / "photos"))
        filled = fill_house(house, plates=plates)
        asked = ask_all(house, filled)
        house.close()
    print(f"{kind}: {filled.plates} plates, {filled.batches} batches, {filled.fries} fries; bar {at_most_ms:g} ms")
    for one in asked:
        print(f"{one.line}\n{one.plan}")
    assert max(one.high_ms for one in asked) < at_most_ms


@pytest.mark.slow
@pytest.mark.by_hand
def test_pages_are_answered_quickly_from_100_000_plates_in_postgresql(tmp_path: Path) -> None:
    check_asked("postgresql", tmp_path, plates=100_000, at_most_ms=300)


@pytest.mark.slow
@pytest.mark.by_hand
def test_pages_are_answered_quickly_from_20_000_plates_in_sqlite(tmp_path: Path) -> None:
    check_asked("sqlite", tmp_path, plates=20_000, at_most_ms=200)
