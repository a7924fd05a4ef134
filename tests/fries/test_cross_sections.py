"""Exact bars on one plate: how thick each is taken to be."""

import pytest

from grader.fries.cross_sections import measure_strips
from grader.fries.geometry import StripGeometry
from grader.fries.outline import trace_outlines
from tests.fries.solids import Bar, camera_of, camera_over, label_of

SEEN_BY = camera_over(tilt_deg=2)
ASIDE = (178.0, 100.0)
"""Far enough from below the camera that a flank shows."""
USUAL = [Bar(middle=(20.0 + 30 * k, 20.0), heading_deg=80, length=60) for k in range(5)]


def strip_of(bar: Bar, others: list[Bar]) -> StripGeometry:
    outlines = trace_outlines(label_of([bar, *others], SEEN_BY), reach_px=4)
    strips = measure_strips(outlines, camera_of(SEEN_BY), ground_mm=0, ground_u_mm=0.2, cut_width_mm=9.5)
    return strips[1]


@pytest.mark.parametrize(("width", "thickness"), [(6.0, 9.5), (12.0, 9.5), (6.0, 12.0)])
def test_a_fry_is_taken_to_be_as_thick_as_the_others_are_wide(width: float, thickness: float) -> None:
    bar = Bar(middle=ASIDE, heading_deg=150, width=width, thickness=thickness, length=70)
    alone, among = strip_of(bar, []), strip_of(bar, USUAL)
    assert abs(among.width_mm - width) < abs(alone.width_mm - width)
    assert abs(among.length_mm - bar.length) < abs(alone.length_mm - bar.length)


def test_as_thick_as_usual_it_is_exact() -> None:
    bar = Bar(middle=ASIDE, heading_deg=150, width=6.0, thickness=9.5, length=70)
    strip = strip_of(bar, USUAL)
    assert strip.width_mm == pytest.approx(6.0, abs=0.3)
    assert strip.length_mm == pytest.approx(70, abs=0.5)


def test_few_fries_tell_nothing_of_each_other() -> None:
    bar = Bar(middle=ASIDE, heading_deg=150, width=6.0)
    assert strip_of(bar, USUAL[:2]).width_mm == pytest.approx(strip_of(bar, []).width_mm, abs=1e-6)
