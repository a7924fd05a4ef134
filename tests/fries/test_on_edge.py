"""Strips painted over exact solids, flat and on an edge, photographed: told, and without a width."""

import numpy as np
import pytest

from grader.arrays import ByteArray, LabelArray
from grader.fries.across import light_across
from grader.fries.cross_sections import measure_strips
from grader.fries.on_edge import strips_on_edge
from grader.fries.outline import trace_outlines
from tests.fries.solids import GOLDEN, Bar, camera_of, camera_over, encoded, label_of, light_of

SEEN_BY = camera_over(tilt_deg=3, towards_deg=40)
CAMERA = camera_of(SEEN_BY)
FLAT = [Bar(middle=(74.0, -25.0 + 22.0 * k), length=75) for k in range(4)]
ON_EDGE = 5
PLACES = [(74.0, 62.0), (74.0, 95.0), (140.0, 80.0), (10.0, 100.0)]


def painted(bars: list[Bar], labels: LabelArray, *, faces: tuple[float, float], ridge: float) -> ByteArray:
    """The last bar with two faces, lit as given, and a ridge between them; the others even."""
    light = np.full((*SEEN_BY.size[::-1], 3), 0.75)
    light[labels > 0] = light_of(GOLDEN)
    bar = bars[-1]
    rows, columns = np.nonzero(labels == len(bars))
    top = bar.outline_across()[:, 1].max()
    ends = np.column_stack([bar.centreline()[0][[0, -1]], [top, top]])
    first, last = SEEN_BY.px(ends)
    way = (last - first) / np.linalg.norm(last - first)
    across = way[0] * (rows - first[1]) - way[1] * (columns - first[0])
    lit = np.where(across < 0, *faces)
    lit = np.where(np.abs(across) < 4, ridge, lit)
    light[rows, columns] = lit[:, None] * light_of(GOLDEN)
    return encoded(light)


def told(bar: Bar, *, faces: tuple[float, float] = (1.0, 0.8), ridge: float = 1.15) -> dict[int, float]:
    """Number and width of each that is taken to lie on an edge."""
    bars = [*FLAT, bar]
    labels = label_of(bars, SEEN_BY)
    outlines = trace_outlines(labels, reach_px=4)
    strips = measure_strips(outlines, CAMERA, ground_mm=0, ground_u_mm=0.2, cut_width_mm=9.5)
    pixels = painted(bars, labels, faces=faces, ridge=ridge)
    lights = {number: light_across(pixels, labels, number, strip, CAMERA) for number, strip in strips.items()}
    found = strips_on_edge(lights, outlines, strips, CAMERA, ground=(0.0, 0.2))
    return {number: strip.width_mm for number, strip in found.items()}


@pytest.mark.parametrize("middle", PLACES)
def test_a_strip_on_its_edge_is_told_and_is_as_wide_as_across_its_corners(middle: tuple[float, float]) -> None:
    bar = Bar(middle=middle, rolled_deg=45, heading_deg=5, length=75)
    across = np.ptp(bar.outline_across()[:, 0])
    assert told(bar) == {ON_EDGE: pytest.approx(across, abs=0.5)}


@pytest.mark.parametrize("middle", PLACES)
def test_flat_strips_are_not(middle: tuple[float, float]) -> None:
    flat = Bar(middle=middle, heading_deg=5, length=75)
    assert told(flat, faces=(1.0, 1.0), ridge=1.0) == {}
    assert told(flat) == {}  # a streak along its middle: it is no wider than the others


def test_a_wide_flat_strip_of_one_even_face_is_not() -> None:
    assert told(Bar(middle=(74.0, 62.0), width=13.5, length=75), faces=(1.0, 1.0), ridge=1.0) == {}


def test_an_empty_plate_has_none() -> None:
    assert strips_on_edge({}, {}, {}, CAMERA, ground=(0.0, 0.2)) == {}
