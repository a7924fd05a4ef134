from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.arrays import frozen
from grader.drawing.view import View, view_of
from tests.records import made_up

NUMBERS = st.floats(-2000, 2000)


@given(
    left=st.integers(0, 500),
    top=st.integers(0, 500),
    wide=st.integers(5, 4000),
    tall=st.integers(5, 4000),
    points=st.lists(st.tuples(NUMBERS, NUMBERS), min_size=1, max_size=5),
)
def test_a_place_shown_is_the_place_that_it_came_from(
    left: int, top: int, wide: int, tall: int, points: list[tuple[float, float]]
) -> None:
    view = View(left=left, top=top, right=left + wide, bottom=top + tall)
    np.testing.assert_allclose(view.in_photo(view.shown(np.array(points))), points, atol=1e-6)


def test_a_pixel_is_shown_where_it_is_said_to_be() -> None:
    pixels = np.zeros((60, 80, 3), np.uint8)
    pixels[20, 30] = 255
    view = View(left=10, top=10, right=50, bottom=50, width_px=400)
    rows, columns = np.nonzero(view.ground(pixels)[..., 0] > 127)
    assert (columns.mean(), rows.mean()) == pytest.approx(tuple(view.shown(np.array([30.0, 20.0]))), abs=0.6)


@given(st.tuples(st.integers(0, 899), st.integers(0, 699), st.integers(0, 899), st.integers(0, 699)))
def test_no_picture_is_a_mere_strip_and_all_is_in_it(corners: tuple[int, int, int, int]) -> None:
    x0, y0, x1, y1 = corners
    outline = np.array([(x0, y0), (x1, y1)], float)
    view = view_of(made_up.photo(), [outline])
    assert view.holds(outline)
    assert 0 <= view.left < view.right <= made_up.WIDTH_PX
    assert 0 <= view.top < view.bottom <= made_up.HEIGHT_PX
    assert view.height_px <= 1.5 * view.width_px


def test_nothing_found_shows_the_whole_photo() -> None:
    photo = replace(made_up.photo(), pixels=frozen(np.zeros((30, 50, 3), np.uint8)))
    view = view_of(photo, [])
    assert (view.right, view.bottom) == photo.size_px == (50, 30)
