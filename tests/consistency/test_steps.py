"""The step at an event, its interval, and the first basket after it."""

from datetime import UTC, datetime

import numpy as np
import pytest

from grader.consistency.model import Event, EventKind
from grader.consistency.segments import Segment
from grader.consistency.steps import event_steps

LOT = Event(at=datetime(2026, 9, 1, tzinfo=UTC), kind=EventKind.NEW_LOT)


def two(before: int, after: int) -> list[Segment]:
    return [Segment(start=0, stop=before), Segment(start=before, stop=before + after, events=(LOT,))]


def test_intervals_hold_the_truth_as_often_as_they_say() -> None:
    rng = np.random.default_rng(5)
    held = np.zeros((2000, 2), bool)
    for row in held:
        values = rng.standard_normal(20) + np.repeat([0.0, 1.5], 10)
        (told,) = event_steps(values, two(10, 10), relative_variance=np.ones(20))
        assert told.first is not None
        assert told.step is not None
        row[:] = [one.low <= 1.5 <= one.high for one in (told.first, told.step)]
    print(f"95 % intervals: first basket {held[:, 0].mean():.3f}, step {held[:, 1].mean():.3f}")
    assert held.mean(axis=0) == pytest.approx([0.95, 0.95], abs=0.015)


def test_only_batches_near_the_event_are_compared() -> None:
    values = np.concatenate([np.full(20, 9.0), np.zeros(5), np.full(5, 1.0), np.full(20, 9.0)])
    values += np.tile([0.01, -0.01], 25)
    (told,) = event_steps(values, two(25, 25), relative_variance=np.ones(50))
    assert told.step is not None
    assert told.step.value == pytest.approx(1, abs=0.02)


def test_before_the_first_basket_a_check_is_asked_for() -> None:
    (told,) = event_steps(np.arange(5.0), two(5, 0), relative_variance=np.ones(5))
    assert told.check_asked
    assert told.first is None
    assert told.step is None
    assert told.first_batch is None


def test_too_few_batches_tell_no_step() -> None:
    (told,) = event_steps(np.array([0.0, 1.0, 5.0]), two(2, 1), relative_variance=np.ones(3))
    assert told.step is None
    assert told.first_batch == 2
    assert not told.check_asked


def test_an_event_before_all_batches_has_nothing_to_compare_with() -> None:
    whole = [Segment(start=0, stop=9, events=(LOT,))]
    (told,) = event_steps(np.arange(9.0), whole, relative_variance=np.ones(9))
    assert told.step is None
    assert not told.check_asked


def test_batches_of_more_plates_count_more() -> None:
    values = np.array([0.0, 0.1, 0.0, 0.1, 0.0, 0.1, 1.0, 9.0])
    variance = np.array([1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1e6])
    (told,) = event_steps(values, two(6, 2), relative_variance=variance)
    assert told.step is not None
    assert told.step.value == pytest.approx(0.95, abs=0.06)
