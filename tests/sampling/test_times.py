"""Drawn sample times: one in each part of the shift, nowhere chosen, as spread as theory says."""

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.sampling.times import PlanImpossibleError, draw_times, shift_on

START = datetime(2026, 10, 6, 17, 0, tzinfo=UTC)
LISBON = ZoneInfo("Europe/Lisbon")


@given(st.integers(1, 48), st.integers(60, 600), st.integers(0, 2**32 - 1))
def test_one_moment_in_each_equal_part(samples: int, minutes: int, seed: int) -> None:
    times = draw_times(START, START + timedelta(minutes=minutes), samples, np.random.default_rng(seed))
    part = timedelta(minutes=minutes) / samples
    assert len(times) == samples
    for k, at in enumerate(times):
        assert START + k * part - timedelta(seconds=1) < at < START + (k + 1) * part


def test_moments_are_uniform_in_their_part_and_each_draw_is_another() -> None:
    # A uniform draw's mean is the middle of its part, its variance the square of the part's length over twelve.
    rng = np.random.default_rng(1)
    drawn = np.array(
        [
            [(at - START).total_seconds() for at in draw_times(START, START + timedelta(hours=4), 4, rng)]
            for _ in range(4000)
        ]
    )
    assert drawn.mean(axis=0) == pytest.approx([1800, 5400, 9000, 12600], abs=4 * 1039 / np.sqrt(4000))
    assert drawn.std(axis=0) == pytest.approx([3600 / np.sqrt(12)] * 4, rel=0.05)
    assert np.abs(np.corrcoef(drawn.T)[np.triu_indices(4, 1)]).max() < 0.07


@pytest.mark.parametrize(("minutes", "samples"), [(240, 0), (240, 49), (3, 4), (-60, 2)])
def test_what_cannot_be_drawn_says_so(minutes: int, samples: int) -> None:
    with pytest.raises(PlanImpossibleError) as told:
        draw_times(START, START + timedelta(minutes=minutes), samples, np.random.default_rng(0))
    assert told.value.hint


@pytest.mark.parametrize(("month", "day", "hours"), [(10, 24, 9), (3, 28, 7)])
def test_a_night_on_which_clocks_change_is_sampled_as_long_as_it_lasts(month: int, day: int, hours: int) -> None:
    """Clocks change at 01:00 UTC on the last Sunday of March and of October (Directive 2000/84/EC, from memory)."""
    start = datetime(2026, month, day, 22, tzinfo=LISBON)
    for seed in range(50):
        times = draw_times(start, start + timedelta(hours=8), hours, np.random.default_rng(seed))
        passed = [(at.astimezone(UTC) - start.astimezone(UTC)) / timedelta(hours=1) for at in times]
        assert [int(one) for one in passed] == list(range(hours))


@pytest.mark.parametrize(
    ("now", "begins", "ends", "day", "hours"),
    [
        ((12, 0), (17, 0), (22, 0), 6, 5),
        ((23, 0), (22, 0), (2, 0), 6, 4),
        ((0, 30), (22, 0), (2, 0), 5, 4),
        ((2, 0), (22, 0), (2, 0), 6, 4),
        ((3, 0), (6, 0), (6, 0), 5, 24),
    ],
)
def test_after_midnight_the_shift_that_runs_is_the_one_of_the_day_before(
    now: tuple[int, int], begins: tuple[int, int], ends: tuple[int, int], day: int, hours: int
) -> None:
    start, end = shift_on(datetime(2026, 10, 6, *now, tzinfo=LISBON), time(*begins), time(*ends))
    assert start == datetime(2026, 10, day, *begins, tzinfo=LISBON)
    assert end - start == timedelta(hours=hours)
