"""The bow as a share of the straight length, on exact bent bars; and that its stated doubt holds."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.arrays import LabelArray
from grader.fries.bow import bow_share, measure_bow
from grader.fries.geometry import measure_strip
from grader.fries.model import Measured
from grader.fries.outline import trace_outlines
from grader.fries.outline_ways import outline_ways
from tests.card.scenes import Pinhole
from tests.fries.solids import Bar, camera_of, camera_over, label_of
from tests.fries.torn import Tear, slanted, torn_label


def true_share(bar: Bar) -> float:
    """Of the parabola that the bar follows: how far it leaves the line between its ends, over that line's length."""
    points = bar.centreline()[0]
    chord = points[-1] - points[0]
    straight = np.hypot(*chord)
    off = points - points[0]
    return float(np.max(np.abs(chord[0] * off[:, 1] - chord[1] * off[:, 0])) / straight**2)


def bow_of(labels: LabelArray, seen_by: Pinhole) -> tuple[Measured, float]:
    """The bow of what is labelled 1, and its straight length, mm."""
    outline = trace_outlines(labels, reach_px=3)[1]
    strip = measure_strip(outline, camera_of(seen_by), ground_mm=0.0, ground_u_mm=0.2, width_mm=9.5)
    return measure_bow(outline_ways(outline, strip, camera_of(seen_by)), strip), strip.straight_mm


@settings(max_examples=25)
@given(
    tilt=st.floats(0, 15),
    towards=st.floats(0, 360),
    heading=st.floats(0, 180),
    length=st.floats(40, 110),
    share=st.floats(0, 0.16),
)
def test_it_is_read_within_twice_its_doubt(
    tilt: float, towards: float, heading: float, length: float, share: float
) -> None:
    bar = Bar(heading_deg=heading, length=length, sag_mm=share * length)
    seen_by = camera_over(tilt_deg=tilt, towards_deg=towards)
    bow, straight_mm = bow_of(label_of([bar], seen_by), seen_by)
    assert bow.value / straight_mm == pytest.approx(true_share(bar), abs=2 * bow.u / straight_mm)


def test_a_piece_too_short_has_no_share() -> None:
    def share(length: float) -> Measured | None:
        seen_by = camera_over()
        outline = trace_outlines(label_of([Bar(length=length)], seen_by), reach_px=3)[1]
        strip = measure_strip(outline, camera_of(seen_by), ground_mm=0.0, ground_u_mm=0.2, width_mm=9.5)
        return bow_share(measure_bow(outline_ways(outline, strip, camera_of(seen_by)), strip), strip)

    assert share(26.0) is None
    long = share(32.0)
    assert long is not None
    assert long.value < 0.02


@pytest.mark.parametrize("degrees", [20, 35])
@pytest.mark.parametrize("length", [38.0, 50.0, 80.0])
def test_slanted_ends_are_no_bow(degrees: float, length: float) -> None:
    """A straight piece whose ends are cut at opposite slants, like a trapezium: one side is shorter than the other."""
    bar, seen_by = Bar(length=length + 12, power=np.inf), camera_over()
    tear = slanted(9.5, degrees)
    labels = torn_label(bar, tear, seen_by)
    turned = replace(bar, heading_deg=180.0)  # the other end, cut the other way about
    other = torn_label(turned, Tear(across_mm=tear.across_mm, depth_mm=tear.depth_mm[::-1]), seen_by)
    bow, straight_mm = bow_of(np.where((labels > 0) & (other > 0), 1, 0).astype(np.uint16), seen_by)
    assert bow.value / straight_mm < 0.03
    assert bow.value < 2 * bow.u
