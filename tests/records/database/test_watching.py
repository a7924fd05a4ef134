"""Events, photographs of the card alone, frozen baselines."""

import hashlib
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from grader.consistency.model import EventKind
from grader.records.database import House, RecordsRefused
from grader.records.database.correcting import correct
from grader.records.database.reading import Wanted
from grader.records.database.watching import (
    ControlToKeep,
    baseline_of,
    clock_of,
    control_photos,
    events_between,
    freeze_baseline,
    keep_control_photo,
    keep_event,
)
from grader.records.kept_files import Signed
from tests.records.database.conftest import SETTING, keep

AT = datetime(2026, 3, 6, 8, 30, tzinfo=UTC)
SIGNED = Signed(by="CD", at=AT, why="chosen with the kitchen")


def test_events_are_read_in_order_by_kitchen_and_time(house: House) -> None:
    keep_event(house, SETTING, EventKind.NEW_LOT, at=AT, words="first of the new crop")
    keep_event(house, replace(SETTING, lot=None), EventKind.OIL_CHANGED, at=AT.replace(day=5))
    keep_event(house, replace(SETTING, kitchen="Hill", fryer="", lot=None), EventKind.OTHER, at=AT)
    oil, lot = events_between(house, Wanted(kitchen="Harbour"))
    assert (oil.kind, oil.fryer, oil.lot) == (EventKind.OIL_CHANGED, "left", "")
    assert (lot.kind, lot.lot, lot.words) == (EventKind.NEW_LOT, "L-7", "first of the new crop")
    assert len(events_between(house, Wanted())) == 3
    assert events_between(house, Wanted(kitchen="Harbour", since=AT)) == (lot,)
    assert events_between(house, Wanted(kitchen="Harbour", until=AT)) == (oil,)


def test_an_event_told_twice_is_kept_once(house: House) -> None:
    first = keep_event(house, SETTING, EventKind.NEW_LOT, at=AT, words="new crop")
    assert keep_event(house, SETTING, EventKind.NEW_LOT, at=AT, words="new crop") == first
    whole_kitchen = replace(SETTING, fryer="", lot=None)
    others = {
        keep_event(house, SETTING, EventKind.NEW_LOT, at=AT, words="another"),
        keep_event(house, SETTING, EventKind.NEW_CROP, at=AT, words="new crop"),
        keep_event(house, SETTING, EventKind.NEW_LOT, at=AT.replace(day=5), words="new crop"),
        keep_event(house, whole_kitchen, EventKind.NEW_LOT, at=AT, words="new crop"),
    }
    assert keep_event(house, whole_kitchen, EventKind.NEW_LOT, at=AT, words="new crop") in others
    assert len(events_between(house, Wanted())) == 1 + len(others) == 5


def test_an_event_that_was_withdrawn_may_be_told_anew(house: House) -> None:
    number = keep_event(house, SETTING, EventKind.SERVICED, at=AT)
    correct(house, "event", number, {}, signed=SIGNED, withdraw=True)
    assert keep_event(house, SETTING, EventKind.SERVICED, at=AT) != number
    assert len(events_between(house, Wanted())) == 1


def test_an_event_that_never_was_is_withdrawn(house: House) -> None:
    number = keep_event(house, SETTING, EventKind.SERVICED, at=AT)
    correct(house, "event", number, {}, signed=SIGNED, withdraw=True)
    assert events_between(house, Wanted()) == ()


def test_the_kitchens_clock_is_read_by_its_zone(house: House) -> None:
    keep(house)
    assert clock_of(house, "Harbour", "2026-07-06T09:30") == datetime(2026, 7, 6, 8, 30, tzinfo=UTC)
    assert clock_of(house, "Harbour", "2026-07-06T09:30+02:00") == datetime(2026, 7, 6, 7, 30, tzinfo=UTC)
    for kitchen, told in (
        ("Harbour", "noon"),
        ("Harbour", "9999-12-31T23:59-14:00"),
        ("Nowhere", "2026-07-06T09:30"),
    ):
        with pytest.raises(RecordsRefused):
            clock_of(house, kitchen, told)


def test_a_photograph_of_the_card_alone_is_kept_once(house: House) -> None:
    data = b"a card"
    control = ControlToKeep(
        data=data,
        sha256=hashlib.sha256(data).hexdigest(),
        name="card.jpg",
        taken_at=AT,
        card_serial="K7Q2X-014-T",
        readings={"paper": [95.0, 0.1, -1.0]},
    )
    assert keep_control_photo(house, control, SETTING) == keep_control_photo(house, control, SETTING)
    (kept,) = control_photos(house, "Harbour")
    assert (kept.taken_at, kept.card_serial, kept.readings) == (AT, "K7Q2X-014-T", {"paper": [95.0, 0.1, -1.0]})
    assert house.photos.get(kept.photo_sha256) == data
    assert control_photos(house, "Hill") == ()


def test_the_newest_baseline_counts_and_needs_a_reason(house: House) -> None:
    assert baseline_of(house, "colour, Harbour") is None
    period = (AT.replace(day=1), AT)
    freeze_baseline(house, "colour, Harbour", {"mean": 2.5}, period=period, signed=SIGNED)
    freeze_baseline(house, "colour, Harbour", {"mean": 2.6}, period=period, signed=replace(SIGNED, why="new fryer"))
    newest = baseline_of(house, "colour, Harbour")
    assert newest is not None
    assert (newest.figures, newest.why, newest.to_at) == ({"mean": 2.6}, "new fryer", AT)
    with pytest.raises(RecordsRefused):
        freeze_baseline(house, "colour, Harbour", {}, period=period, signed=replace(SIGNED, why=""))
