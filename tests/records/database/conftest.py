"""Records for one test, on SQLite and on PostgreSQL, and plates to keep in them."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from grader.records.database import House, Kept, LotFacts, Setting, keep_graded, open_house
from tests.bars.databases import Kind, new_database
from tests.bars.records import graded_plate, house_standard, photo_bytes

FRIES = 12
LOT = LotFacts(supplier="Invented Growers", number="L-7")
SETTING = Setting(
    kitchen="Harbour",
    zone="Europe/Lisbon",
    fryer="left",
    shift="lunch",
    lot=LOT,
    batch="first",
    day=date(2026, 3, 5),
    by="AB",
)


@pytest.fixture(params=["sqlite", "postgresql"])
def kind(request: pytest.FixtureRequest) -> Kind:
    """Which kind of database a test runs on: all that ask for it run on both."""
    chosen: Kind = request.param
    return chosen


@pytest.fixture
def url(kind: Kind, tmp_path: Path) -> Iterator[str]:
    """The address of a database in which nothing is yet."""
    with new_database(kind, tmp_path) as address:
        yield address


@pytest.fixture
def house(url: str, tmp_path: Path) -> Iterator[House]:
    """Records in which nothing is kept yet."""
    opened = open_house(url, photos=str(tmp_path / "photos"))
    yield opened
    opened.close()


@pytest.fixture
def files(tmp_path: Path) -> Iterator[House]:
    """The same on SQLite only, for what has to do with its file."""
    opened = open_house(f"sqlite:///{tmp_path / 'house' / 'records.sqlite3'}")
    yield opened
    opened.close()


def keep(house: House, number: int = 1, **other: Any) -> Kept:
    """Keep a made-up plate of a dozen fries; `other` changes the setting."""
    data = photo_bytes(number, 5000)
    graded = graded_plate(number, data, fries=FRIES)
    return keep_graded(house, graded, data, standard=house_standard(), setting=replace(SETTING, **other))
