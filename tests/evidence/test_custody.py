"""Two clocks of a photo, told beside each other without guessing."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from grader.evidence.custody import clock_words, two_clocks

LISBON = ZoneInfo("Europe/Lisbon")
ARRIVED = datetime(2026, 10, 6, 11, 12, tzinfo=UTC)


def test_a_cameras_time_is_read_by_the_kitchens_zone_unless_it_names_its_own() -> None:
    local = two_clocks("2026-10-06T12:10:00", LISBON, ARRIVED)
    assert local.camera == datetime(2026, 10, 6, 11, 10, tzinfo=UTC)
    assert not local.zone_told
    told = two_clocks("2026-10-06T12:10:00+02:00", LISBON, ARRIVED)
    assert told.camera == datetime(2026, 10, 6, 10, 10, tzinfo=UTC)
    assert told.later == timedelta(hours=1, minutes=2)


@pytest.mark.parametrize(
    ("camera", "words"),
    [
        ("2026-10-06T12:10:00", "The clocks agree."),
        ("2026-10-06T11:00:00", "72 minutes after it was taken; what happened in between, no clock tells."),
        ("2026-10-06T06:12:00", "6 hours after"),
        ("2026-10-01T12:12:00", "5 days after"),
        ("2026-10-06T13:12:00", "60 minutes before it was taken: one of them is wrong."),
        (None, "The file says nothing of when it was taken."),
    ],
)
def test_both_clocks_are_compared_in_words(camera: str | None, words: str) -> None:
    told = clock_words(two_clocks(camera, LISBON, ARRIVED))
    assert words in told
    assert "2026-10-06 11:12:00 UTC" in told
    assert "edit" not in told
