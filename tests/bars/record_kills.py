"""Somebody brings plates into the records, and is killed at any moment: what lies there then, and after going on."""

import hashlib
import os
import time
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import numpy as np
from sqlalchemy import Connection, func, select

from grader.grading import METHOD_VERSION, GradedPhoto
from grader.records.database import House, Kept, LotFacts, Setting, open_house
from grader.records.database.house import Done
from grader.records.database.importing import PhotoToImport, import_batch
from grader.records.database.photos import is_whole
from grader.records.database.plate_tables import Batch, BatchDecision, Fry, Grading, GradingRecord, Photo, Plate
from tests.bars.records import graded_plate, house_standard, photo_bytes

PLATES, PLATES_A_BATCH = 18, 3
_KILLS_A_PLACE = 4
"""Then the next keeper may finish, and what lies there is compared."""
_PHOTO_BYTES = 200_000
_OWN = {
    "id",
    "kept_at",
    "by_id",
    "plate_id",
    "batch_id",
    "grading_id",
    "standard_id",
    "kitchen_id",
    "shift_id",
    "taken_at",
}
"""What two runs needn't have alike: the rows' own numbers, and the moment."""


@dataclass(slots=True, kw_only=True)
class Killed:
    """What many killings came to."""

    kills: int = 0
    finished: int = 0
    acknowledged: int = 0
    faults: list[str] = field(default_factory=list)
    """Everything that was torn, lost or different; there should be nothing."""
    plates_at_kill: list[int] = field(default_factory=list)
    """How far each had come: kills all at the start or the end would tell little."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where one run's records lie."""

    url: str
    photos: str
    acknowledged: Path


def kill_many(places: Iterator[Place], *, kills: int, seed: int) -> Killed:
    """Kill keepers at random moments, look at what they left, let others go on and finish; then start afresh."""
    context = get_context("forkserver")
    context.set_forkserver_preload(["tests.bars.record_kills"])
    rng = np.random.default_rng(seed)
    told, place, here = Killed(), next(places), 0
    start = time.monotonic()
    _keep_all(place)
    whole_s = time.monotonic() - start
    wanted = _content(place)
    place = next(places)
    while told.kills < kills:
        keeper = context.Process(target=_keep_all, args=(place,))
        keeper.start()
        if here < _KILLS_A_PLACE:
            keeper.join(float(rng.uniform(0, whole_s)))
        else:
            keeper.join()
        if keeper.is_alive():
            keeper.kill()
            told.kills, here = told.kills + 1, here + 1
        keeper.join()
        told.faults += _look(place, told)
        if keeper.exitcode == 0:
            told.finished += 1
            if _content(place) != wanted:
                told.faults.append(f"run {told.finished} ended otherwise than one that nobody killed")
            place, here = next(places), 0
    return told


def _keep_all(place: Place) -> None:
    """Bring in every batch of a folder, and write down each plate the moment that it is acknowledged."""
    house = open_house(place.url, photos=place.photos)
    acknowledged = os.open(place.acknowledged, os.O_WRONLY | os.O_CREAT | os.O_APPEND)

    class Telling(House):
        def write(self, work: Callable[[Connection], Done]) -> Done:
            done = super().write(work)
            if isinstance(done, Kept):
                os.write(acknowledged, f"{done.grading_id}\n".encode())
            return done

    telling = Telling(engine=house.engine, photos=house.photos)
    for first in range(0, PLATES, PLATES_A_BATCH):
        setting = Setting(kitchen="One", zone="Europe/Lisbon", shift="lunch", batch=f"batch {first}", by="AB", lot=_LOT)
        photos = [_photo(number) for number in range(first, first + PLATES_A_BATCH)]
        imported = import_batch(telling, photos, grade=_grade, standard=house_standard(), setting=setting)
        assert not imported.problems
    os.close(acknowledged)
    house.close()


_LOT = LotFacts(supplier="One", number="7")


def _photo(number: int) -> PhotoToImport:
    data = photo_bytes(number, _PHOTO_BYTES)
    return PhotoToImport(name=str(number), sha256=hashlib.sha256(data).hexdigest(), read=lambda: data)


def _grade(name: str, data: bytes) -> GradedPhoto:
    """Made up, by the version that grades now: an import asks for it."""
    return replace(graded_plate(int(name), data), method_version=METHOD_VERSION)


def _look(place: Place, told: Killed) -> list[str]:
    """Everything that is torn or lost."""
    file = place.acknowledged
    lines = file.read_text().splitlines(keepends=True) if file.exists() else []
    acknowledged = {int(line) for line in lines if line.endswith("\n")}
    house = open_house(place.url, photos=place.photos)
    with house.reading() as connection:
        faults = [*_torn(connection), *_lost(connection, house, acknowledged)]
        told.plates_at_kill.append(connection.scalar(select(func.count()).select_from(Grading)) or 0)
    told.acknowledged += len(acknowledged)
    house.close()
    return faults


def _torn(connection: Connection) -> Iterator[str]:
    if connection.dialect.name == "sqlite":
        yield from (str(row) for row in connection.exec_driver_sql("PRAGMA foreign_key_check"))
        yield from (row[0] for row in connection.exec_driver_sql("PRAGMA integrity_check") if row[0] != "ok")
    fries = select(func.count()).where(Fry.grading_id == Grading.id).scalar_subquery()
    records = select(func.count()).where(GradingRecord.grading_id == Grading.id).scalar_subquery()
    for row in connection.execute(select(Grading.id, Grading.fries, fries, records)):
        if row[1] != row[2] or row[3] != 1:
            yield f"grading {row[0]} has {row[2]} of {row[1]} fries and {row[3]} records"
    for table, plate in ((Plate, Grading.plate_id == Plate.id), (Photo, Plate.photo_sha256 == Photo.sha256)):
        other = Grading if table is Plate else Plate
        alone = connection.scalar(
            select(func.count()).select_from(table).outerjoin(other, plate).where(other.id.is_(None))
        )
        if alone:
            yield f"{alone} rows of {table.__tablename__} stand alone"


def _lost(connection: Connection, house: House, acknowledged: set[int]) -> Iterator[str]:
    there = set(connection.scalars(select(Grading.id)))
    yield from (f"grading {one} was acknowledged and isn't there" for one in acknowledged - there)
    for sha256 in connection.scalars(select(Photo.sha256)):
        if not is_whole(sha256, house.photos.get(sha256)):
            yield f"the bytes of {sha256} are others"


def _content(place: Place) -> dict[str, list[Any]]:
    """All that was kept, without what two runs needn't have alike."""
    house = open_house(place.url, photos=place.photos)
    joined = select(Photo.sha256, Batch.name).join(Plate, Plate.photo_sha256 == Photo.sha256).join(Batch)
    wanted = {
        "gradings": joined.join(Grading).add_columns(*_telling(Grading)),
        "records": joined.join(Grading).join(GradingRecord).add_columns(GradingRecord.record),
        "fries": joined.join(Grading).join(Fry).add_columns(*_telling(Fry)),
        "decisions": select(Batch.name, *_telling(BatchDecision)).join(BatchDecision),
    }
    found: dict[str, list[Any]] = defaultdict(list)
    with house.reading() as connection:
        for name, rows in wanted.items():
            found[name] = sorted(repr(tuple(row)) for row in connection.execute(rows))
        found["photos"] = sorted(house.photos.names())
    house.close()
    return dict(found)


def _telling(table: Any) -> Sequence[Any]:
    left_out = _OWN | ({"sign", "gradings"} if table is BatchDecision else set())
    return [column for column in table.__table__.columns if column.name not in left_out]
