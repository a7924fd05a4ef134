"""Exact bars photographed by an exact camera, measured from their silhouettes."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.fries.geometry import StripGeometry, measure_strip
from grader.fries.outline import Outline, trace_outlines
from tests.card.scenes import Pinhole
from tests.fries.solids import Bar, camera_of, camera_over, label_of

EDGE_MM = 0.3
"""A pixel is 0.14 mm here."""
FAR_MM = 0.3
"""Two pixels, also far aside."""
TILTED = camera_over(tilt_deg=12, towards_deg=60, turned_deg=30)


def outline_of(bar: Bar, seen_by: Pinhole) -> Outline:
    return trace_outlines(label_of([bar], seen_by), reach_px=3)[1]


def measured(
    bar: Bar,
    seen_by: Pinhole,
    *,
    ground_u_mm: float = 0.2,
    guess_mm: float = 9.5,
    ground_mm: float | None = None,
    focal_35mm: float | None = 26.0,
) -> StripGeometry:
    return measure_strip(
        outline_of(bar, seen_by),
        camera_of(seen_by, focal_35mm=focal_35mm),
        ground_mm=bar.ground_mm if ground_mm is None else ground_mm,
        ground_u_mm=ground_u_mm,
        width_mm=guess_mm,
    )


@pytest.mark.parametrize("heading", [0, 37, 90, 155])
@pytest.mark.parametrize("middle", [(74, 52), (-40, 20), (190, 120), (60, -50)])
def test_a_straight_bar_has_its_length_and_width_wherever_it_lies(middle: tuple[float, float], heading: float) -> None:
    bar = Bar(middle=middle, heading_deg=heading, power=7.0)
    strip = measured(bar, camera_over(tilt_deg=4, towards_deg=200))
    assert strip.length_mm == pytest.approx(bar.length, abs=FAR_MM)
    assert strip.straight_mm == pytest.approx(strip.length_mm, abs=0.1)
    assert strip.width_mm == pytest.approx(bar.width, abs=FAR_MM)


@pytest.mark.parametrize("heading", [0, 37, 90, 155])
@pytest.mark.parametrize("middle", [(74, 52), (-40, 20), (190, 120), (60, -50)])
def test_a_bar_without_rounded_edges_is_measured_within_twice_its_doubt(
    middle: tuple[float, float], heading: float
) -> None:
    bar = Bar(middle=middle, heading_deg=heading, power=np.inf)
    strip = measured(bar, camera_over(tilt_deg=4, towards_deg=200))
    assert strip.length_mm == pytest.approx(bar.length, abs=2 * strip.length_u_mm)
    assert strip.width_mm == pytest.approx(bar.width, abs=2 * strip.width_u_mm)


@pytest.mark.parametrize("heading", [0, 37, 90, 155])
def test_straight_below_the_camera_it_is_exact_to_a_pixel_or_two(heading: float) -> None:
    strip = measured(Bar(heading_deg=heading), camera_over())
    assert strip.length_mm == pytest.approx(80, abs=EDGE_MM)
    assert strip.width_mm == pytest.approx(9.5, abs=EDGE_MM)


@settings(max_examples=25)
@given(
    tilt=st.floats(0, 15),
    towards=st.floats(0, 360),
    heading=st.floats(0, 180),
    length=st.floats(25, 120),
    sag=st.floats(-9, 9),
    middle=st.tuples(st.floats(20, 130), st.floats(10, 95)),
)
def test_a_bent_bar_has_its_length_under_any_tilt(
    tilt: float, towards: float, heading: float, length: float, sag: float, middle: tuple[float, float]
) -> None:
    bar = Bar(middle=middle, heading_deg=heading, length=length, sag_mm=sag * (length / 100) ** 2)
    strip = measured(bar, camera_over(tilt_deg=tilt, towards_deg=towards))
    assert strip.length_mm == pytest.approx(bar.length, abs=FAR_MM + 0.002 * length)
    assert strip.width_mm == pytest.approx(bar.width, abs=FAR_MM)
    ends = bar.centreline()[0][[0, -1]]
    assert strip.straight_mm == pytest.approx(float(np.linalg.norm(ends[1] - ends[0])), abs=FAR_MM + 0.002 * length)


@pytest.mark.parametrize("sag", [-7.0, 0.0, 4.0])
def test_the_bow_is_how_far_the_middle_leaves_the_straight_line(sag: float) -> None:
    bar = Bar(sag_mm=sag, length=95, heading_deg=30)
    first, last = bar.centreline()[0][[0, -1]]
    to_the_middle = np.linalg.norm((first + last) / 2 - np.array(bar.middle))
    assert measured(bar, TILTED).bow_mm == pytest.approx(to_the_middle, abs=0.35)


@pytest.mark.parametrize(("width", "guess"), [(6.5, 9.5), (12.0, 9.5), (9.5, 6.5)])
def test_the_first_guess_of_the_width_does_not_matter(width: float, guess: float) -> None:
    bar = Bar(width=width, thickness=width, heading_deg=70)
    strip = measured(bar, TILTED, guess_mm=guess)
    assert strip.width_mm == pytest.approx(width, abs=EDGE_MM)
    assert strip.length_mm == pytest.approx(bar.length, abs=EDGE_MM)


def test_on_a_plate_over_the_card_the_height_given_keeps_the_length() -> None:
    seen_by = camera_over(tilt_deg=8, towards_deg=30)
    bar = Bar(ground_mm=8.0, heading_deg=20, middle=(120, 40))
    assert measured(bar, seen_by).length_mm == pytest.approx(bar.length, abs=EDGE_MM)
    # Forgotten, it would lie 8 mm nearer than thought, and look longer by 8 in 300.
    forgotten = measured(bar, seen_by, ground_mm=0.0).length_mm
    assert forgotten == pytest.approx(bar.length * 300 / 292, abs=3 * EDGE_MM)


@pytest.mark.parametrize("rolled", [20, 45, 70])
@pytest.mark.parametrize("middle", [(74, 52), (180, 110)])
def test_rolled_onto_an_edge_its_length_stays_within_what_is_stated(middle: tuple[float, float], rolled: float) -> None:
    bar = Bar(middle=middle, rolled_deg=rolled, heading_deg=35)
    strip = measured(bar, camera_over(tilt_deg=6, towards_deg=120))
    assert abs(strip.length_mm - bar.length) < 2 * strip.length_u_mm
    assert strip.width_mm >= bar.width - EDGE_MM


@pytest.mark.parametrize(
    ("thickness", "middle"), [(5.0, (74, 52)), (12.0, (74, 52)), (8.5, (150, 80)), (10.5, (150, 80))]
)
def test_a_thickness_that_is_not_its_width_moves_the_length_less_than_is_stated(
    thickness: float, middle: tuple[float, float]
) -> None:
    bar = Bar(thickness=thickness, middle=middle, heading_deg=30)
    strip = measured(bar, camera_over())
    assert abs(strip.length_mm - bar.length) < 2 * strip.length_u_mm


def test_the_doubt_grows_with_that_of_the_ground_and_of_the_focal_length() -> None:
    bar, seen_by = Bar(ground_mm=10.0), camera_over(tilt_deg=10)
    sure = measured(bar, seen_by)
    on_a_plate = measured(bar, seen_by, ground_u_mm=3.0)
    for name in ("length_u_mm", "straight_u_mm", "width_u_mm"):
        assert getattr(on_a_plate, name) > getattr(sure, name) > 0
    # 3 mm of 300 is one in a hundred.
    added = np.sqrt(on_a_plate.length_u_mm**2 - sure.length_u_mm**2)
    assert added == pytest.approx(0.01 * bar.length, rel=0.05)
    assert measured(bar, seen_by, focal_35mm=None).length_u_mm > sure.length_u_mm


def test_the_doubt_of_the_scale_is_part_of_that_of_the_length() -> None:
    bar, seen_by = Bar(length=120), camera_over()
    outline = outline_of(bar, seen_by)
    fine, coarse = (
        measure_strip(outline, camera_of(seen_by, scale_u=u), ground_mm=0, ground_u_mm=0, width_mm=9.5)
        for u in (0.0, 0.02)
    )
    assert np.sqrt(coarse.length_u_mm**2 - fine.length_u_mm**2) == pytest.approx(0.02 * 120, rel=0.02)


def test_twice_as_large_and_twice_as_far_it_is_the_same_picture() -> None:
    seen_by = camera_over(tilt_deg=10, towards_deg=45)
    outline, camera = outline_of(Bar(heading_deg=25), seen_by), camera_of(seen_by)
    twice = replace(camera, translation=2 * camera.translation)
    one = measure_strip(outline, camera, ground_mm=0, ground_u_mm=0.2, width_mm=9.5)
    two = measure_strip(outline, twice, ground_mm=0, ground_u_mm=0.4, width_mm=19.0)
    assert two.length_mm == pytest.approx(2 * one.length_mm, rel=1e-6)
    assert two.width_mm == pytest.approx(2 * one.width_mm, rel=1e-6)
    assert two.area_mm2 == pytest.approx(4 * one.area_mm2, rel=1e-6)


def test_area_centreline_and_ends_are_those_of_the_bar() -> None:
    seen_by = camera_over(tilt_deg=5)
    bar = Bar(heading_deg=15)
    outline = outline_of(bar, seen_by)
    strip = measured(bar, seen_by)
    assert strip.area_mm2 == pytest.approx(bar.length * bar.width, rel=0.04)
    assert strip.middle_height_mm == pytest.approx(bar.thickness / 2, abs=EDGE_MM)
    true_ends = bar.centreline()[0][[0, -1]]
    true_ends_px = seen_by.px(np.column_stack([true_ends, np.full(2, bar.thickness / 2)]))
    found_px = strip.centreline_px[[0, -1]]
    off = [np.linalg.norm(found_px - ends, axis=1).max() for ends in (true_ends_px, true_ends_px[::-1])]
    assert min(off) < 4
    for end, place in zip(strip.ends, found_px, strict=True):
        assert end.any()
        assert np.linalg.norm(outline.points_px[end] - place, axis=1).max() < 0.6 * bar.width / 0.2


@pytest.mark.parametrize("size", [(9.0, 8.0), (2.0, 9.5)])
def test_a_stub_as_long_as_it_is_wide_is_measured_without_a_fault(size: tuple[float, float]) -> None:
    length, width = size
    strip = measured(Bar(length=length, width=width), camera_over())
    assert np.isfinite([strip.length_mm, strip.width_mm, strip.length_u_mm]).all()
    assert max(strip.length_mm, strip.width_mm) == pytest.approx(max(size), abs=1.5)
