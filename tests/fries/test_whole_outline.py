import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.arrays import FloatArray, LabelArray
from grader.fries.numbered import numbered
from grader.fries.outline import Outline, trace_outlines
from grader.fries.whole_outline import trace_whole_outlines

LENGTH, WIDTH = 300.0, 36.0


def bar(angle_deg: float, *, gap: tuple[float, float] | None, other: int = 2) -> LabelArray:
    """A bar through the middle of a picture; what lies between the two places of `gap` along it is another fry."""
    y, x = np.mgrid[0:420, 0:420] - 210.0
    c, s = np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))
    along, across = c * x + s * y, -s * x + c * y
    labels = np.zeros((420, 420), np.uint16)
    labels[(np.abs(along) < LENGTH / 2) & (np.abs(across) < WIDTH / 2)] = 1
    if gap is not None:
        labels[(along > gap[0]) & (along < gap[1]) & (np.abs(across) < 80)] = other
    return labels


def area(points: FloatArray) -> float:
    return float(cv2.contourArea(points.astype(np.float32)))


def traced(labels: LabelArray) -> Outline:
    return trace_whole_outlines(numbered(labels), reach_px=4.0)[1]


def test_fries_in_one_part_are_traced_as_ever() -> None:
    labels = bar(20, gap=(100, 200))
    usual, whole = trace_outlines(labels, reach_px=4.0), trace_whole_outlines(numbered(labels), reach_px=4.0)
    assert usual.keys() == whole.keys()
    for number, outline in usual.items():
        np.testing.assert_array_equal(outline.points_px, whole[number].points_px)
        np.testing.assert_array_equal(outline.other, whole[number].other)


@given(angle=st.floats(0, 180), start=st.floats(-90, 20), wide=st.floats(20, 70))
def test_one_way_around_both_parts_holds_what_is_hidden_too(angle: float, start: float, wide: float) -> None:
    """A bar with another over it has the outline of the bar alone: its area, and its reach in every direction."""
    alone, crossed = traced(bar(angle, gap=None)), traced(bar(angle, gap=(start, start + wide)))
    assert area(crossed.points_px) == pytest.approx(area(alone.points_px), rel=0.03)
    for turn in np.radians(np.arange(0, 180, 15)):
        way = np.array([np.cos(turn), np.sin(turn)])
        assert np.ptp(crossed.points_px @ way) == pytest.approx(np.ptp(alone.points_px @ way), abs=2.0)


def test_the_edges_that_face_the_hidden_part_are_no_part_of_it() -> None:
    outline = traced(bar(0, gap=(-20, 20)))
    x = outline.points_px[:, 0] - 210
    y = outline.points_px[:, 1] - 210
    assert not ((np.abs(x) < 25) & (np.abs(y) < WIDTH / 2 - 6)).any()
    assert np.hypot(*outline.outward.T) == pytest.approx(np.ones(len(x)))


def test_three_parts_make_one_way_around() -> None:
    labels = bar(30, gap=(-90, -50))
    labels[bar(30, gap=(40, 80), other=3) == 3] = 3
    assert area(traced(labels).points_px) == pytest.approx(area(traced(bar(30, gap=None)).points_px), rel=0.03)


def test_another_fry_is_still_met_and_dust_is_no_part() -> None:
    labels = bar(0, gap=(110, 150))
    labels[20:24, 20:24] = 1
    outline = traced(labels)
    assert outline.points_px.min() > 30
    assert set(outline.other.tolist()) == {0, 2}
