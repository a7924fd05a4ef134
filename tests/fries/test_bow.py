"""The bow as a share of the straight length, on exact bent bars; and that its stated doubt holds."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.fries.bow import measure_bow
from grader.fries.geometry import measure_strip
from grader.fries.outline import trace_outlines
from tests.fries.solids import Bar, camera_of, camera_over, label_of


def true_share(bar: Bar) -> float:
    """Of the parabola that the bar follows: how far it leaves the line between its ends, over that line's length."""
    points = bar.centreline()[0]
    chord = points[-1] - points[0]
    straight = np.hypot(*chord)
    off = points - points[0]
    return float(np.max(np.abs(chord[0] * off[:, 1] - chord[1] * off[:, 0])) / straight**2)


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
    outline = trace_outlines(label_of([bar], seen_by), reach_px=3)[1]
    strip = measure_strip(outline, camera_of(seen_by), ground_mm=0.0, ground_u_mm=0.2, width_mm=9.5)
    bow = measure_bow(outline, strip, camera_of(seen_by))
    assert bow.value / strip.straight_mm == pytest.approx(true_share(bar), abs=2 * bow.u / strip.straight_mm)
