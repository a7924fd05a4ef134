"""Plates of bars laid flat or over each other: what an end that meets a fry is taken for."""

import numpy as np
import pytest
from scipy.stats import binom

from grader.fries.geometry import StripGeometry, measure_strip
from grader.fries.lying import lie_over_each_other, meets, perhaps_raised
from grader.fries.numbered import numbered
from grader.fries.outline import Outline, trace_outlines
from grader.fries.whole_outline import trace_whole_outlines
from tests.fries.solids import Bar, camera_of, camera_over, label_of

SEEN_BY = camera_over(tilt_deg=4, towards_deg=60)
CAMERA = camera_of(SEEN_BY)
LONG = Bar(middle=(74, 20), length=110)
STOPS_AT_IT = Bar(middle=(60, 52.5), length=55, heading_deg=90)


def strips(bars: list[Bar]) -> list[tuple[Outline, StripGeometry]]:
    outlines = trace_outlines(label_of(bars, SEEN_BY), reach_px=5)
    return [
        (outline, measure_strip(outline, CAMERA, ground_mm=0, ground_u_mm=0.2, width_mm=9.5))
        for outline in outlines.values()
    ]


def meeting(bars: list[Bar]) -> list[bool]:
    """Of both ends of each bar, whether it meets another."""
    return [meets(outline, end) for outline, strip in strips(bars) for end in strip.ends]


def test_an_end_square_against_a_side_meets_it_and_a_corner_does_not() -> None:
    assert sum(meeting([LONG, STOPS_AT_IT])) == 1
    assert not any(meeting([LONG, Bar(middle=(66, 47), length=55, heading_deg=50)]))
    assert not any(meeting([LONG, Bar(middle=(74, 29.5), length=90)]))


def test_one_end_of_many_meets_by_chance_of_few_it_lies_below() -> None:
    free = [Bar(middle=(40 + 12 * k, 110), length=40, heading_deg=90) for k in range(8)]
    assert not lie_over_each_other(strips([LONG, STOPS_AT_IT, *free]))
    assert lie_over_each_other(strips([LONG, STOPS_AT_IT]))
    assert not lie_over_each_other([])


def test_a_fry_seen_on_both_sides_of_another_lies_below_it() -> None:
    below, above = Bar(middle=(74, 52), length=90, heading_deg=90), Bar(middle=(74, 52), length=110, ground_mm=9.5)
    free = [Bar(middle=(140 + 12 * k, 52), length=40, heading_deg=90) for k in range(6)]
    bars = [below, above, *free]
    outlines = trace_whole_outlines(numbered(label_of(bars, SEEN_BY)), reach_px=5)
    seen = [
        (outline, measure_strip(outline, CAMERA, ground_mm=0, ground_u_mm=0.2, width_mm=9.5))
        for outline in outlines.values()
    ]
    assert len(seen) == len(bars)
    assert lie_over_each_other(seen)
    assert not lie_over_each_other(seen[1:])


@pytest.mark.parametrize("ends", [10, 40, 120])
def test_from_that_share_on_crossing_is_the_likelier(ends: int) -> None:
    """The binomial distribution, from scipy: 3 % of ends meet where fries lie flat, 28 % where they cross."""
    few, many = int(0.11 * ends), int(np.ceil(0.13 * ends))
    assert binom.pmf(few, ends, 0.03) > binom.pmf(few, ends, 0.28)
    assert binom.pmf(many, ends, 0.03) < binom.pmf(many, ends, 0.28)


def test_what_may_lie_on_another_fry_is_less_sure_by_its_height_and_by_its_outline() -> None:
    strip = strips([LONG])[0][1]
    raised = perhaps_raised(strip, CAMERA)
    more = np.sqrt(raised.length_u_mm**2 - strip.length_u_mm**2)
    # A bar 4 mm nearer to a camera some 300 mm up looks longer by 4 in 300; its outline may be 2 mm off besides.
    assert more == pytest.approx(np.hypot(strip.length_mm * 4 / 300, 2.0), rel=0.05)
    assert raised.width_u_mm > strip.width_u_mm
    assert raised.length_mm == strip.length_mm
