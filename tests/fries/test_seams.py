"""What speaks for a seam, on painted fries."""

import numpy as np
import pytest

from grader.fries.pieces import cut_into_pieces
from grader.fries.seams import SIGNS, as_usual, seam_logit
from tests.fries.finding import seen
from tests.fries.painted import GOLDEN, PALE, Scene


def crossing() -> Scene:
    """A pale fry over a golden one."""
    scene = Scene()
    scene.fry(100, 75, turned_deg=90, lab=GOLDEN)
    scene.fry(100, 75, length=90, lab=PALE)
    return scene


def test_a_sign_far_from_all_that_was_fitted_counts_as_one_at_the_edge() -> None:
    near = as_usual(np.array([[3.0, 2.0]]), np.array([1.0, 1.0]), np.array([1.0, 0.5]))
    assert near.tolist() == [[2.0, 2.0]]
    usual = np.zeros((1, SIGNS))
    far, farther = usual.copy(), usual.copy()
    far[0, 0], farther[0, 0] = 1e3, 1e6
    assert seam_logit(far) == pytest.approx(seam_logit(farther))


@pytest.mark.parametrize("light", [1.0, 0.85, 0.6])
def test_where_one_lies_on_another_the_upper_ones_sides_are_seams_in_any_light(light: float) -> None:
    scene = crossing()
    scene.xyz *= light
    pieces = cut_into_pieces(scene.view(), seen(scene.view()), scene.fries)
    y, x = (scene.mm[..., 1], scene.mm[..., 0])
    beside = [(np.abs(x - 100) < 4) & (np.abs(y - 75 - side) < 2) for side in (-9.0, 9.0)]
    upper = (np.abs(x - 100) < 4) & (np.abs(y - 75) < 2)
    for place in beside:
        one, other = (int(np.bincount(pieces.labels[where]).argmax()) for where in (place, upper))
        cut = pieces.cuts.tolist().index(sorted([one, other]))
        assert pieces.seam_logit[cut] > 1
