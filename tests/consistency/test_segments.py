"""Stretches between events: what belongs to which, and what waits for its first basket."""

from datetime import UTC, datetime, timedelta

import pytest

from grader.consistency.model import Event, EventKind, PlateSummary
from grader.consistency.segments import Segment, event_words, events_of, segments

START = datetime(2026, 9, 1, 10, tzinfo=UTC)
TIMES = [START + timedelta(hours=hour) for hour in range(6)]


def lot(hours: float, name: str = "", words: str = "", fryer: str = "", kitchen: str = "") -> Event:
    at = START + timedelta(hours=hours)
    return Event(at=at, kind=EventKind.NEW_LOT, lot=name, words=words, fryer=fryer, kitchen=kitchen)


def spans(events: list[Event]) -> list[tuple[int, int, int]]:
    return [(one.start, one.stop, len(one.events)) for one in segments(TIMES, events)]


def test_without_events_there_is_one_stretch() -> None:
    assert segments(TIMES, []) == (Segment(start=0, stop=6),)


def test_an_event_begins_a_stretch_also_at_the_very_moment_of_a_batch() -> None:
    assert spans([lot(2.5)]) == [(0, 3, 0), (3, 6, 1)]
    assert spans([lot(3)]) == [(0, 3, 0), (3, 6, 1)]


def test_events_without_a_batch_between_them_begin_one_stretch_in_their_order() -> None:
    first, second = lot(2.2, "A"), lot(2.8, "B")
    assert segments(TIMES, [second, first])[1] == Segment(start=3, stop=6, events=(first, second))


def test_events_before_the_first_batch_are_of_the_first_stretch() -> None:
    assert spans([lot(-5)]) == [(0, 6, 1)]


def test_an_event_after_the_last_batch_waits() -> None:
    assert spans([lot(9)]) == [(0, 6, 0), (6, 6, 1)]


def test_times_must_ascend() -> None:
    with pytest.raises(ValueError, match="order of time"):
        segments(TIMES[::-1], [])


def test_events_in_words() -> None:
    event = lot(0, "4711", "from the second cellar")
    assert event_words(event) == "new lot 4711 (from the second cellar)"
    assert segments(TIMES, [lot(0, "A"), lot(0, "B")])[0].words == "new lot A + new lot B"


def test_only_events_where_a_plate_was_made_count() -> None:
    plate = PlateSummary(
        plate="1",
        batch="1",
        taken_at=START,
        kitchen="Quay",
        fryer="left",
        standard_name="house",
        standard_version="1",
        standard_sha256="0",
        coloured=0,
        place_mean=None,
        place_shared_u=None,
        place_sd=None,
    )
    here, everywhere = lot(1, fryer="left", kitchen="Quay"), lot(0)
    elsewhere = lot(1, fryer="right", kitchen="Quay"), lot(1, kitchen="Hill")
    assert events_of([plate], [here, *elsewhere, everywhere]) == (everywhere, here)
