from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from grader.records.agreement import between_cooks, by_week, method_call, with_oneself
from grader.records.database.colour_calls import Called
from tests.records import made_up

MONDAY = datetime(2026, 10, 5, 12, tzinfo=UTC)


def call(by: str, photo: str, called: str, method: str = "right", *, day: int = 0) -> Called:
    return Called(by=by, at=MONDAY + timedelta(days=day), photo_sha256=photo, called=called, method=method, again=False)


def test_the_method_calls_by_the_houses_target() -> None:
    scale = made_up.standard().scale  # 2.0 to 3.3
    assert [method_call(place, scale) for place in (1.9, 2.0, 3.3, 3.4, None)] == [
        "pale",
        "right",
        "right",
        "dark",
        "",
    ]


def test_weeks_are_told_apart_and_together() -> None:
    calls = [call("AB", str(k), "right", day=k) for k in range(8)] + [call("CD", "9", "pale", method="")]
    told = by_week(calls, zone=UTC)
    assert [(one.cook, one.monday, one.told.plates) for one in told] == [
        ("AB", None, 8),
        ("AB", date(2026, 10, 5), 7),
        ("AB", date(2026, 10, 12), 1),
    ]


def test_a_week_begins_by_the_houses_clock() -> None:
    """Half past eight on a Sunday evening in New York is Monday by UTC."""
    sunday = replace(call("AB", "1", "right"), at=datetime(2026, 10, 12, 0, 30, tzinfo=UTC))
    assert [one.monday for one in by_week([sunday], zone=ZoneInfo("America/New_York"))] == [None, date(2026, 10, 5)]
    assert [one.monday for one in by_week([sunday], zone=UTC)] == [None, date(2026, 10, 12)]


def test_cooks_are_compared_on_the_plates_that_both_called() -> None:
    calls = [call("AB", "1", "pale"), call("AB", "1", "right"), call("CD", "1", "right"), call("CD", "2", "dark")]
    (pair,) = between_cooks(calls)
    assert (pair.first, pair.second, pair.told.plates, pair.told.same) == ("AB", "CD", 1, 1)


def test_a_plate_that_came_back_is_held_against_the_call_before() -> None:
    calls = [call("AB", "1", "pale"), call("AB", "2", "dark"), call("AB", "1", "right"), call("AB", "2", "dark")]
    (pair,) = with_oneself(calls)
    assert (pair.told.plates, pair.told.same) == (2, 1)
