"""What the records are held to, measured: the time that keeping and asking takes, and how databases go about it."""

import hashlib
import statistics
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np
from sqlalchemy import Connection, Engine, event, make_url, text
from sqlalchemy.engine import URL

from grader.arrays import frozen
from grader.decision import judge_plate
from grader.fries.model import Fry, Plate
from grader.grading import GradedPhoto
from grader.standard import Standard, load_shipped
from tests.records import made_up

PHOTO_BYTES = 2_000_000


def house_standard() -> Standard:
    """The one that the plates are judged by."""
    return load_shipped()["strips-9.5mm-skin-on"]


def photo_bytes(number: int, size: int = PHOTO_BYTES) -> bytes:
    """Bytes as a photo's: no two alike, and none that a store could pack. They are no picture."""
    return np.random.default_rng(number).bytes(size)


def graded_plate(number: int, data: bytes, *, fries: int = 60) -> GradedPhoto:
    """A plate of so many fries, made up and judged; `number` says which."""
    plate, verdict = _judged(number % _KINDS, fries)
    sha256 = hashlib.sha256(data).hexdigest()
    return replace(made_up.graded(f"plate-{number}.jpg"), sha256=sha256, plate=plate, verdict=verdict)


_KINDS, _A_DARK_ONE_IN = 20, 10


@cache
def _judged(kind: int, fries: int) -> tuple[Plate, Any]:
    """Judging takes longer than keeping, so there are only so many kinds of plates."""
    rng = np.random.default_rng(kind)
    lightness = 48.0 if kind % _A_DARK_ONE_IN == 0 else 66.0
    drawn = tuple(_fry(number, lightness, rng) for number in range(1, fries + 1))
    plate = Plate(fries=drawn, labels=frozen(np.zeros((0, 0), np.uint16)), heaped=False)
    return plate, judge_plate(drawn, house_standard())


def _fry(number: int, lightness: float, rng: np.random.Generator) -> Fry:
    lab = np.array((lightness, 5.0, 34.0)) + rng.normal(size=3) * (3.0, 2.0, 2.0)
    return made_up.fry(number, y=100.0, length_px=float(rng.normal(340, 50)), lab=(lab[0], lab[1], lab[2]))


def median_ms(calls: Sequence[Callable[[], object]]) -> float:
    """The median time of calls that were not timed before."""
    return statistics.median(_times_ms(calls))


def _times_ms(calls: Sequence[Callable[[], object]]) -> list[float]:
    times = []
    for call in calls:
        start = time.perf_counter()
        call()
        times.append((time.perf_counter() - start) * 1000)
    return times


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One kind of query: how long it took over all its askings, what it gave, and how the database did the slowest."""

    name: str
    median_ms: float
    high_ms: float
    rows: int
    asked: int
    plan: str

    @property
    def line(self) -> str:
        """In one line."""
        took = f"median {self.median_ms:.1f} ms, 95th percentile {self.high_ms:.1f} ms"
        return f"{self.name}: {took} of {self.asked}, up to {self.rows} rows"


def ask(engine: Engine, name: str, calls: Sequence[Callable[[], Sequence[object]]]) -> Asked:
    """Ask once to warm up, then time every call and have the slowest explained."""
    for call in calls:
        call()
    times, rows = [], []
    for call in calls:
        start = time.perf_counter()
        rows.append(len(call()))
        times.append((time.perf_counter() - start) * 1000)
    slowest = calls[int(np.argmax(times))]
    return Asked(
        name=name,
        median_ms=statistics.median(times),
        high_ms=float(np.percentile(times, 95)),
        rows=max(rows),
        asked=len(calls),
        plan=_plan(engine, slowest),
    )


def _plan(engine: Engine, call: Callable[[], object]) -> str:
    """How the database answers every statement of a call, in its own words."""
    with _statements(engine) as told:
        call()
    explain = "EXPLAIN QUERY PLAN" if engine.dialect.name == "sqlite" else "EXPLAIN (ANALYZE, BUFFERS, TIMING OFF)"
    lines: list[str] = []
    with engine.connect() as connection:
        for statement, parameters in told:
            rows = connection.exec_driver_sql(f"{explain} {statement}", parameters)
            lines += [str(row[-1]) for row in rows]
    return "\n".join(f"    {line}" for line in lines)


@contextmanager
def _statements(engine: Engine) -> Iterator[list[tuple[str, Any]]]:
    told: list[tuple[str, Any]] = []

    def listen(_connection: object, _cursor: object, statement: str, parameters: Any, *_rest: object) -> None:
        if statement.lstrip().upper().startswith(("SELECT", "WITH")):
            told.append((statement, parameters))

    event.listen(engine, "before_cursor_execute", listen)
    try:
        yield told
    finally:
        event.remove(engine, "before_cursor_execute", listen)


def size_mb(connection: Connection) -> float:
    """What the database takes on disk, photos apart."""
    if connection.dialect.name == "postgresql":
        found = connection.scalar(text("SELECT pg_database_size(current_database())"))
    else:
        pages, page = (
            connection.exec_driver_sql(f"PRAGMA {name}").scalar_one() for name in ("page_count", "page_size")
        )
        found = pages * page
    return float(found or 0) / 1e6


def database_beside(url: str, name: str) -> URL:
    """The address of another database on the same server."""
    return make_url(url).set(database=name)
