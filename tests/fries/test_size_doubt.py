"""Each source of doubt by itself, against what it comes to by hand."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from grader.card.model import Camera
from grader.card.pose import camera_height_mm, estimate_camera, level_to_pixels
from grader.fries.size_doubt import (
    ends_doubt,
    meeting_doubt,
    shared_doubt,
    sides_doubt,
    thickness_doubt,
    waves_doubt,
    wedge_doubt,
)
from tests.fries.solids import _SHEET_POINTS, camera_of, camera_over

ENDS_MM = np.array([[-60.0, 50.0], [20.0, 50.0]])
SEEN_BY = camera_over(off_mm=(0.0, 0.0))
EXACT = camera_of(SEEN_BY, scale_u=0.0)


def doubt_of(
    camera: Camera, *, height_mm: float, height_u_mm: float, shift_mm: tuple[float, float] = (0.0, 0.0)
) -> float:
    """What is shared of the length between two points, so far shifted."""
    ends_mm = ENDS_MM + shift_mm
    ends_px = level_to_pixels(camera, ends_mm, height_mm)
    return shared_doubt(camera, ends_mm, ends_px, height_mm=height_mm, height_u_mm=height_u_mm)


def test_a_height_counts_as_its_share_of_the_cameras() -> None:
    doubt = doubt_of(EXACT, height_mm=0.0, height_u_mm=3.0)
    assert doubt == pytest.approx(3.0 / camera_height_mm(EXACT), rel=1e-6)


def test_a_fifth_of_a_thickness_counts_at_half_of_it() -> None:
    assert thickness_doubt(EXACT, width=10.0) == pytest.approx(0.2 * 5.0 / camera_height_mm(EXACT))


def test_the_sheets_scale_counts_as_it_is() -> None:
    camera = camera_of(SEEN_BY, scale_u=0.004)
    assert doubt_of(camera, height_mm=0.0, height_u_mm=0.0) == pytest.approx(0.004)


def test_without_a_focal_length_the_height_is_less_sure() -> None:
    unknown = replace(EXACT, focal_known=False)
    known_u, unknown_u = (doubt_of(camera, height_mm=10.0, height_u_mm=0.2) for camera in (EXACT, unknown))
    assert unknown_u > known_u


def test_the_lens_counts_more_the_further_from_the_card() -> None:
    more = estimate_camera(
        _SHEET_POINTS, SEEN_BY.flat_px(_SHEET_POINTS), size_px=SEEN_BY.size, focal_35mm=26.0, radial=0.004
    )
    camera = replace(EXACT, bent_more=more)
    near, far = (
        doubt_of(camera, height_mm=0.0, height_u_mm=0.0, shift_mm=shift) for shift in ((94.0, 0.0), (-60.0, 0.0))
    )
    assert 0 < near < 0.5 * far


@pytest.mark.parametrize(("doubt", "own_mm"), [(ends_doubt, 0.3), (sides_doubt, 0.18)])
def test_edges_that_lean_outward_are_less_sure_where_the_thickness_is(
    doubt: Callable[..., float], own_mm: float
) -> None:
    edges = np.array([True, False, False]), np.array([False, False, True])
    facing, away = np.array([-0.3, 0.0, -0.3]), np.array([-0.3, 0.0, 0.3])
    plain = doubt(facing, edges, pixel_mm=0.0, width=10.0)
    assert plain == pytest.approx(own_mm * np.sqrt(2))
    assert doubt(away, edges, pixel_mm=0.0, width=10.0) == pytest.approx(np.hypot(plain, 0.2 * 10 * 0.3))
    coarse = doubt(facing, edges, pixel_mm=0.5, width=10.0)
    assert coarse == pytest.approx(np.sqrt(2) * np.hypot(own_mm, 0.6 * 0.5))


def test_ends_that_meet_others_are_less_sure_each_by_itself() -> None:
    ends = np.array([True, True, False, False]), np.array([False, False, True, True])
    none, one, both = np.zeros(4, bool), np.array([True, True, False, False]), np.ones(4, bool)
    assert meeting_doubt(none, ends) == 0
    assert meeting_doubt(both, ends) == pytest.approx(np.sqrt(2) * meeting_doubt(one, ends))


@pytest.mark.parametrize("height_mm", [0.0, 0.6, 1.0])
def test_sides_in_waves_are_doubted_by_what_the_waves_stray(height_mm: float) -> None:
    along = np.tile(np.linspace(0, 70, 2100), 2)
    left = np.arange(len(along)) < 2100
    wave = height_mm * np.sin(2 * np.pi * along / 7)
    doubt = waves_doubt(along, np.where(left, 5 + wave, -5 + wave), (left, ~left), width=7 / 0.75)
    expected = 0.8 * np.sqrt(2 * max(height_mm**2 / 2 - 0.2**2, 0.0))
    assert doubt == pytest.approx(expected, abs=0.02)


def test_sides_without_a_point_or_a_width_are_doubted_by_nothing() -> None:
    none = np.zeros(10, bool)
    assert waves_doubt(np.linspace(0, 70, 10), np.zeros(10), (none, none), width=-1.0) == 0.0


def test_a_wedge_twice_as_wide_is_doubted_twice_as_much() -> None:
    assert wedge_doubt(20.0) == pytest.approx(2 * wedge_doubt(10.0))
