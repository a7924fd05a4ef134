"""Drawn sample times: one in each part of the shift, nowhere chosen, as spread as theory says."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.sampling.times import PlanImpossibleError, draw_times

START = datetime(2026, 10, 6, 17, 0, tzinfo=UTC)


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
