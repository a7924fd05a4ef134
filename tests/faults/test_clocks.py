"""Clocks that are set: forward, backward, by hours or by years."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import select

from grader.evidence.chain import ChainBroken
from grader.evidence.journal import Journal
from grader.records.database import House, keep_graded, keeping, open_house
from grader.records.database.batch_plates import plates_of_batch
from grader.records.database.plate_tables import Grading
from grader.serving.pairing import CODE_LASTS, Pairings, Place
from tests.bars.records import graded_plate, house_standard, photo_bytes
from tests.records.database.conftest import FRIES, SETTING

NOON = datetime(2026, 11, 2, 12, tzinfo=UTC)


@dataclass
class Clock:
    """Shows what it was set to."""

    at: datetime = NOON

    def __call__(self) -> datetime:
        return self.at


def test_a_chain_never_runs_backward_and_goes_on_when_the_clock_is_right_again(tmp_path: Path) -> None:
    clock = Clock()
    journal = Journal(folder=tmp_path, now=clock)
    journal.add("plate", {"photo": "0" * 64})
    clock.at = NOON - timedelta(days=400)
    with pytest.raises(ChainBroken, match="later than now") as caught:
        journal.add("plate", {"photo": "1" * 64})
    assert "clock" in caught.value.hint
    clock.at = NOON + timedelta(seconds=1)
    journal.add("plate", {"photo": "1" * 64})
    assert [entry.body["photo"][0] for entry in journal.entries() if entry.body] == ["0", "1"]


def test_a_chain_whose_clock_once_stood_far_ahead_says_until_when_nothing_can_be_added(tmp_path: Path) -> None:
    clock = Clock(NOON + timedelta(days=3650))
    journal = Journal(folder=tmp_path, now=clock)
    journal.add("plate", {"photo": "0" * 64})
    clock.at = NOON
    with pytest.raises(ChainBroken, match=f"{NOON + timedelta(days=3650):%Y-%m-%d}"):
        journal.add("plate", {"photo": "1" * 64})
    assert len(journal.entries()) == 1


@pytest.mark.parametrize("jump", [timedelta(days=-400), timedelta(hours=-1), timedelta(hours=1), timedelta(days=400)])
def test_no_code_pairs_twice_whatever_the_clock_does(jump: timedelta) -> None:
    clock = Clock()
    pairings = Pairings(clock=clock)
    code = pairings.new_code(_place())
    assert pairings.pair(code)
    clock.at += jump
    assert pairings.pair(code) is None


def test_a_clock_set_forward_ends_codes_and_shifts_and_set_back_revives_no_code() -> None:
    clock = Clock()
    pairings = Pairings(clock=clock)
    token, code = pairings.pair(pairings.new_code(_place())), pairings.new_code(_place())
    assert token is not None
    clock.at += CODE_LASTS + timedelta(seconds=1)
    assert pairings.pair(code) is None
    clock.at = NOON
    assert pairings.pair(code) is None  # it was forgotten, not only too old
    assert pairings.place(token) is not None
    clock.at += timedelta(days=2)
    assert pairings.place(token) is None


def _place() -> Place:
    return Place(kitchen="Harbour", zone="Europe/Lisbon", shift="lunch", until=NOON + timedelta(hours=8))


def test_the_newest_grading_is_the_last_kept_though_the_clock_was_set_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    house = open_house(f"sqlite:///{tmp_path / 'records.sqlite3'}")
    for method, at in (("1", NOON), ("2", NOON - timedelta(days=30))):
        _set(monkeypatch, at)
        _keep(house, method)
    with house.reading() as connection:
        kept = connection.execute(select(Grading.method_version, Grading.kept_at).order_by(Grading.id)).all()
    seen = plates_of_batch(house, 1)
    house.close()
    assert [(row.method_version, row.kept_at) for row in kept] == [("1", NOON), ("2", NOON - timedelta(days=30))]
    assert len(seen) == 1


def _keep(house: House, method: str) -> None:
    data = photo_bytes(1, 5000)
    graded = replace(graded_plate(1, data, fries=FRIES), method_version=method)
    keep_graded(house, graded, data, standard=house_standard(), setting=SETTING)


def _set(monkeypatch: pytest.MonkeyPatch, at: datetime) -> None:
    class Set(datetime):
        @classmethod
        def now(cls, tz: object = None) -> datetime:  # type: ignore[override]
            assert tz is UTC
            return at

    monkeypatch.setattr(keeping, "datetime", Set)
