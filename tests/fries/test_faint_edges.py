"""Bars on a board of their own colour, of another one, and half on each."""

import numpy as np
import pytest

from grader.fries.faint_edges import faint_share, perhaps_misread
from grader.fries.geometry import StripGeometry, measure_strip
from grader.fries.outline import Outline, trace_outlines
from tests.fries.solids import Bar, camera_of, camera_over, encoded, label_of

SEEN_BY = camera_over()
BROWN, GREY, BLUE = (0.35, 0.20, 0.07), (0.30, 0.30, 0.30), (0.10, 0.15, 0.40)
BAR = Bar(middle=(74, 52), heading_deg=20)


def strip_of(labels: np.ndarray) -> tuple[Outline, StripGeometry]:
    outline = trace_outlines(labels, reach_px=3)[1]
    strip = measure_strip(outline, camera_of(SEEN_BY), ground_mm=0, ground_u_mm=0.2, width_mm=9.5)
    return outline, strip


def faint(board: tuple[float, float, float], *, other_half: tuple[float, float, float] | None = None) -> float:
    labels = label_of([BAR], SEEN_BY)
    light = np.empty((*labels.shape, 3))
    light[:] = board
    if other_half is not None:
        light[:, labels.shape[1] // 2 :] = other_half
    light[labels > 0] = np.array(BROWN) * 1.3
    return faint_share(encoded(light), *strip_of(labels))


@pytest.mark.parametrize("board", [GREY, BLUE])
def test_on_a_board_of_another_hue_no_edge_is_faint(board: tuple[float, float, float]) -> None:
    assert faint(board) < 0.03


def test_on_a_board_of_their_own_hue_all_edges_are_however_much_lighter_the_fry_is() -> None:
    assert faint(BROWN) > 0.95


def test_half_on_each_half_of_them_are() -> None:
    assert faint(BROWN, other_half=GREY) == pytest.approx(0.5, abs=0.12)


def test_an_edge_along_another_fry_does_not_count() -> None:
    labels = label_of([BAR, Bar(middle=(71, 61), heading_deg=20)], SEEN_BY)
    light = np.full((*labels.shape, 3), GREY)
    light[labels > 0] = BROWN
    assert faint_share(encoded(light), *strip_of(labels)) < 0.05


def test_sizes_are_less_sure_the_more_of_the_outline_is_faint() -> None:
    strip = strip_of(label_of([BAR], SEEN_BY))[1]
    some, all_of_it = perhaps_misread(strip, 0.3), perhaps_misread(strip, 1.0)
    assert perhaps_misread(strip, 0.0).length_u_mm == pytest.approx(strip.length_u_mm)
    assert strip.length_u_mm < some.length_u_mm < all_of_it.length_u_mm
    assert strip.width_u_mm < some.width_u_mm < all_of_it.width_u_mm
    assert all_of_it.length_mm == strip.length_mm
