import numpy as np
import pytest

from grader.drawing import MendPicture, draw_for_mending
from grader.drawing.mend_picture import fry_between
from tests.records import made_up

FRIES = made_up.fries()


@pytest.fixture(scope="module")
def shown() -> MendPicture:
    picture = draw_for_mending(made_up.graded(), made_up.standard())
    assert picture is not None
    return picture


def test_a_tap_says_which_fry_it_means(shown: MendPicture) -> None:
    assert shown.fry_at(FRIES, (200.0, 205.0)) == 2
    assert shown.fry_at(FRIES, (200.0, 221.0)) == 2, "a fingertip beside it"
    assert shown.fry_at(FRIES, (200.0, 250.0)) is None
    assert shown.fry_at((), (200.0, 205.0)) is None


def test_a_tap_is_where_the_finger_was(shown: MendPicture) -> None:
    """A bright pixel of the photo is found in the picture; a tap there gives its place in the photo."""
    view = shown.view
    place = view.shown(np.array([300.0, 250.0]))
    across, down = (place + 0.5) / (view.width_px, view.height_px)
    assert shown.in_photo(across, down) == pytest.approx((300.0, 250.0), abs=0.01)
    for corner in ((0.0, 0.0), (1.0, 1.0), (-0.2, 1.3)):
        x, y = shown.in_photo(*corner)
        assert 0 <= x <= made_up.WIDTH_PX - 1
        assert 0 <= y <= made_up.HEIGHT_PX - 1


def test_the_fry_between_two_points_is_the_one_crossed_longest() -> None:
    assert fry_between(FRIES, ((200.0, 150.0), (200.0, 250.0))) == 2
    assert fry_between(FRIES, ((200.0, 99.0), (200.0, 215.0))) == 2
    assert fry_between(FRIES, ((200.0, 140.0), (200.0, 160.0))) is None


def test_without_pixels_there_is_nothing_to_mend() -> None:
    assert draw_for_mending(made_up.refused(), made_up.standard()) is None
