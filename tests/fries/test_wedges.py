"""Wedges as exact solids: told by their outline, and measured at their own heights."""

import numpy as np
import pytest

from grader.fries.cross_sections import measure_strips
from grader.fries.geometry import StripGeometry
from grader.fries.outline import trace_outlines
from grader.fries.wedges import wedge_edges
from tests.fries.shapes import Wedge, label_of_shapes
from tests.fries.solids import Bar, camera_of, camera_over, label_of

SEEN_BY = camera_over(tilt_deg=3, towards_deg=20)
CAMERA = camera_of(SEEN_BY)
WEDGES = [
    Wedge(middle=(60, 10), heading_deg=5),
    Wedge(middle=(74, 52), apex_deg=55, length=75),
    Wedge(middle=(90, 95), apex_deg=85, heading_deg=-8),
]


def strips_of(labels: np.ndarray[tuple[int, int], np.dtype[np.uint16]], cut_mm: float) -> list[StripGeometry]:
    outlines = trace_outlines(labels, reach_px=4)
    return list(measure_strips(outlines, CAMERA, ground_mm=0, ground_u_mm=0.2, cut_width_mm=cut_mm).values())


def test_wedges_are_as_long_as_from_tip_to_tip_and_as_wide_as_in_the_middle_of_all_places() -> None:
    for wedge, strip in zip(WEDGES, strips_of(label_of_shapes([*WEDGES], SEEN_BY), 19.0), strict=True):
        assert strip.length_mm == pytest.approx(wedge.length, abs=1.0)
        assert strip.width_mm == pytest.approx(wedge.width_mm, abs=1.3)


def test_taken_for_bars_they_would_be_too_short() -> None:
    strips = strips_of(label_of_shapes([*WEDGES], SEEN_BY), 19.0)
    assert all(edges is not None for edges in wedge_edges(strips))
    bars = strips_of(label_of([Bar(middle=(74, 20 + 22 * k)) for k in range(4)], SEEN_BY), 9.5)
    assert wedge_edges(bars) == [None] * 4


def test_no_fries_no_wedges() -> None:
    assert wedge_edges([]) == []
