"""Strips painted over exact solids, flat or on their narrow side: how thick each is shows on its flank."""

import numpy as np
import pytest

from grader.fries.across import light_across
from grader.fries.cross_sections import measure_as_seen, measure_strips
from grader.fries.flanks import thickness_by_flank
from grader.fries.geometry import StripGeometry
from grader.fries.outline import trace_outlines
from tests.fries.solids import Bar, camera_of, camera_over, fry_paint, label_of, photo_of

SEEN_BY = camera_over(off_mm=(0, -95))
CAMERA = camera_of(SEEN_BY)
GROUND = 0.0, 0.2
USUAL = (9.5, 9.5)


def lying(sections: list[tuple[float, float]]) -> list[Bar]:
    """Bars of widths and thicknesses, all off to one side of the camera."""
    return [
        Bar(middle=(25.0 + 90 * (k % 2), 46.0 + 19 * (k // 2)), length=70, width=width, thickness=thickness)
        for k, (width, thickness) in enumerate(sections)
    ]


def seen(bars: list[Bar]) -> tuple[dict[int, float], dict[int, StripGeometry], dict[int, StripGeometry]]:
    """Thickness by flank, mm; the geometry without it, and with it."""
    labels = label_of(bars, SEEN_BY)
    pixels = photo_of(bars, [fry_paint(number=k) for k in range(len(bars))], SEEN_BY)
    outlines = trace_outlines(labels, reach_px=4)
    strips = measure_strips(outlines, CAMERA, ground_mm=GROUND[0], ground_u_mm=GROUND[1], cut_width_mm=9.5)
    lights = {number: light_across(pixels, labels, number, strip, CAMERA) for number, strip in strips.items()}
    thick = thickness_by_flank(lights, strips)
    return thick, strips, measure_as_seen(pixels, labels, outlines, strips, CAMERA, ground=GROUND)


MIXED = [USUAL, (6.0, 13.0), (13.0, 6.0), USUAL, (6.0, 13.0), (13.0, 6.0), (6.0, 13.0), (13.0, 6.0)]


def test_where_strips_lie_in_all_ways_each_flank_tells_how_thick_its_strip_is() -> None:
    bars = lying(MIXED)
    thick, before, after = seen(bars)
    assert len(thick) >= 5
    for number, value in thick.items():
        assert value == pytest.approx(bars[number - 1].thickness, abs=2.5)

    def off(strips: dict[int, StripGeometry]) -> float:
        return float(np.mean([abs(strips[n].width_mm - bar.width) for n, bar in enumerate(bars, start=1)]))

    assert off(after) < 0.7 * off(before)


def test_where_all_were_cut_alike_rough_readings_change_nothing() -> None:
    thick, before, after = seen(lying([USUAL] * 8))
    assert thick == {}
    assert {n: strip.width_mm for n, strip in after.items()} == {n: strip.width_mm for n, strip in before.items()}


def test_few_flanks_tell_nothing() -> None:
    assert seen(lying(MIXED[:4]))[0] == {}
