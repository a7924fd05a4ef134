"""Hooks as exact solids: followed along their curl; what turns a corner, or has no length, isn't."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.fries.curved_frame import CurvedFrame, follow_curl
from grader.fries.geometry import StripGeometry, measure_strip
from grader.fries.outline import trace_outlines
from tests.fries.shapes import Hook, label_of_shapes
from tests.fries.solids import Bar, camera_of, camera_over, label_of

SEEN_BY = camera_over(tilt_deg=4, towards_deg=60)
CAMERA = camera_of(SEEN_BY)


def measured(hook: Hook) -> StripGeometry:
    outline = trace_outlines(label_of_shapes([hook], SEEN_BY), reach_px=4)[1]
    return measure_strip(outline, CAMERA, ground_mm=0, ground_u_mm=0.2, width_mm=hook.width)


@pytest.mark.parametrize("turn", [-210, -150, 120, 200])
def test_a_hook_has_its_length_along_the_curl(turn: float) -> None:
    hook = Hook(turn_deg=turn, length=100)
    strip = measured(hook)
    assert isinstance(strip.frame, CurvedFrame)
    assert strip.length_mm == pytest.approx(hook.length, abs=1.0)
    assert strip.straight_mm == pytest.approx(hook.straight_mm, abs=1.0)
    assert strip.width_mm == pytest.approx(hook.width, abs=0.4)
    assert strip.misfit < 0.05


def test_its_ends_are_at_its_ends() -> None:
    hook = Hook(turn_deg=190)
    ends, _ = hook.line()
    true = SEEN_BY.px(np.column_stack([ends[[0, -1]], np.full(2, hook.width / 2)]))
    found = measured(hook).centreline_px[[0, -1]]
    off = [np.linalg.norm(found - way, axis=1).max() for way in (true, true[::-1])]
    assert min(off) < 8  # a pixel is 0.14 mm


def test_a_bar_bent_evenly_keeps_its_parabola() -> None:
    outline = trace_outlines(label_of([Bar(sag_mm=8.0)], SEEN_BY), reach_px=4)[1]
    strip = measure_strip(outline, CAMERA, ground_mm=0, ground_u_mm=0.2, width_mm=9.5)
    assert not isinstance(strip.frame, CurvedFrame)


@settings(max_examples=20)
@given(along=st.floats(0, 90), across=st.floats(-3, 3))
def test_place_and_along_across_undo_each_other(along: float, across: float) -> None:
    angle = np.linspace(0, 2.5, 400)
    frame = CurvedFrame(line=_evenly(40 * np.column_stack([np.cos(angle), np.sin(angle)])), start=2.0)
    back_along, back_across = frame.along_across(frame.place(np.array([along]), np.array([across])))
    assert back_along[0] == pytest.approx(along, abs=0.05)
    assert back_across[0] == pytest.approx(across, abs=0.05)


def _evenly(
    points: np.ndarray[tuple[int, int], np.dtype[np.float64]],
) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    passed = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    at = np.arange(0, passed[-1], 0.2)
    return np.column_stack([np.interp(at, passed, part) for part in points.T])


def test_two_bars_that_meet_at_a_corner_are_no_curl() -> None:
    corner = np.array([[0, 0], [60, 0], [60, 50], [50, 50], [50, 10], [0, 10]], float)
    assert follow_curl(corner) is None


@pytest.mark.parametrize("size", [1.5, 20.0])
def test_what_is_as_long_as_wide_has_no_line(size: float) -> None:
    assert follow_curl(np.array([[0, 0], [size, 0], [size, size], [0, size]], float)) is None
