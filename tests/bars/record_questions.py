"""What the pages ask of the records, as often and as variously as people do, and how long each answer takes."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import partial

import numpy as np
from sqlalchemy import select

from grader.records.database import House, LotFacts, Setting, keep_graded
from grader.records.database.engines import WRITES
from grader.records.database.plate_tables import HouseStandard
from grader.records.database.reading import Wanted, batches_page, chart_plates, plates_page
from tests.bars.many_plates import FRYERS, KITCHENS, LOTS, SHIFTS, Filled, fill
from tests.bars.records import Asked, ask, graded_plate, house_standard, photo_bytes

Calls = Sequence[Callable[[], Sequence[object]]]

PATTERNS = 20
ASKED = 40
"""Of each kind, all different."""


def fill_house(house: House, *, plates: int) -> Filled:
    """A few plates kept by the front door, and as many more as asked like them; then its own housekeeping."""
    setting = Setting(kitchen="First", zone="Europe/Lisbon", lot=LotFacts(supplier="First", number="1"), by="AB")
    for number in range(PATTERNS):
        data = photo_bytes(number, 1000)
        keep_graded(house, graded_plate(number, data), data, standard=house_standard(), setting=setting)
    with house.engine.execution_options(**{WRITES: True}).begin() as connection:
        filled = fill(connection, plates=plates)
    if house.engine.dialect.name == "postgresql":
        with house.engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.exec_driver_sql("VACUUM ANALYZE")  # its own housekeeping comes by within minutes
    return filled


def ask_all(house: House, filled: Filled, *, seed: int = 1) -> tuple[Asked, ...]:
    """Every question of the pages, each for other kitchens, fryers, lots and times."""
    rng = np.random.default_rng(seed)
    with house.reading() as connection:
        sha256 = connection.scalars(select(HouseStandard.sha256)).one()
    end = datetime.combine(filled.last_day, datetime.max.time(), UTC)
    chart = partial(chart_plates, house, standard_sha256=sha256)
    kinds: dict[str, Calls] = {
        "chart, one kitchen, 90 days": [partial(chart, one) for one in _wanted(rng, end, days=90)],
        "chart, one fryer, a year": [partial(chart, one) for one in _wanted(rng, end, days=365, fryer=True)],
        "chart, one shift, a year": [partial(chart, one) for one in _wanted(rng, end, days=365, shift=True)],
        "chart, one lot": [partial(chart, Wanted(lot=f"Lot {at}")) for at in rng.integers(0, LOTS, ASKED)],
        "chart, one kitchen, all its days": [partial(chart, Wanted(kitchen=_kitchen(rng))) for _ in range(ASKED)],
        "plates, the newest": [partial(plates_page, house, Wanted()) for _ in range(ASKED)],
        "plates, further pages": _plates_further(house, rng, end),
        "plates, one kitchen, failed": _plates_failed(house, rng),
        "plates, one lot": [
            partial(plates_page, house, Wanted(lot=f"Lot {at}")) for at in rng.integers(0, LOTS, ASKED)
        ],
        "batches, the newest": [partial(batches_page, house, Wanted()) for _ in range(ASKED)],
        "batches, one kitchen": [partial(batches_page, house, Wanted(kitchen=_kitchen(rng))) for _ in range(ASKED)],
        "batches, one kitchen, failed": _batches_failed(house, rng),
    }
    return tuple(ask(house.engine, name, calls) for name, calls in kinds.items())


def _kitchen(rng: np.random.Generator) -> str:
    return f"Kitchen {rng.integers(0, KITCHENS)}"


def _wanted(
    rng: np.random.Generator, end: datetime, *, days: int, fryer: bool = False, shift: bool = False
) -> Iterator[Wanted]:
    for _ in range(ASKED):
        until = end - timedelta(days=int(rng.integers(0, 60)))
        wanted = Wanted(kitchen=_kitchen(rng), since=until - timedelta(days=days), until=until)
        if fryer:
            wanted = replace(wanted, fryer=f"Fryer {rng.integers(0, FRYERS)}")
        yield replace(wanted, shift=str(rng.choice(SHIFTS))) if shift else wanted


def _plates_further(house: House, rng: np.random.Generator, end: datetime) -> Calls:
    moments = [end - timedelta(hours=int(hours)) for hours in rng.integers(0, 24 * 300, ASKED)]
    return [partial(plates_page, house, Wanted(), before=(moment, 2**31 - 1)) for moment in moments]


def _plates_failed(house: House, rng: np.random.Generator) -> Calls:
    return [partial(plates_page, house, Wanted(kitchen=_kitchen(rng), outcome="fail")) for _ in range(ASKED)]


def _batches_failed(house: House, rng: np.random.Generator) -> Calls:
    return [partial(batches_page, house, Wanted(kitchen=_kitchen(rng), outcome="fail")) for _ in range(ASKED)]
