import numpy as np
import pytest

from tests.fries.finding import found_in
from tests.fries.painted import BROWN, BROWN_TABLE, GOLDEN, GREY_PLATE, Lab, Scene, overlap, xyz_of
from tests.fries.rendered import BOARDS, rendered

BOARD_MM = 30, 250, 20, 180


def on_board(lab: Lab, *, grain: float = 0.1, board: Lab = BROWN_TABLE) -> Scene:
    """A board of about the fries' own brown on a grey table, fries apart on it."""
    scene = Scene(size=(200, 280), ground=GREY_PLATE)
    left, right, top, bottom = BOARD_MM
    x, y = np.moveaxis(scene.mm, -1, 0)
    where = (x > left) & (x < right) & (y > top) & (y < bottom)
    scene.xyz[where] = xyz_of(board)
    scene.grain(where, depth=grain)
    for k in range(6):
        scene.fry(80 + 60 * (k % 3), 70 + 60 * (k // 3), turned_deg=30 + 40 * k, length=60, lab=lab)
    return scene


@pytest.mark.parametrize("board", ["kraft", "brown", "pale"])
def test_fries_on_boards_are_found(board: str) -> None:
    view, truth = rendered(board, BOARDS)
    assert overlap(found_in(view), (truth > 0) & ~view.barred) > 0.9


def test_of_a_board_with_nothing_on_it_nothing_is_taken_for_fry() -> None:
    scene = on_board(GOLDEN)
    empty = Scene(size=(200, 280), ground=GREY_PLATE)
    left, right, top, bottom = BOARD_MM
    x, y = np.moveaxis(empty.mm, -1, 0)
    where = (x > left) & (x < right) & (y > top) & (y < bottom)
    empty.xyz[where] = xyz_of(BROWN_TABLE)
    empty.grain(where, depth=0.1)
    assert found_in(empty.view()).sum() < 0.02 * scene.fries.sum()


def test_fries_of_the_boards_own_colour_are_not_made_up() -> None:
    """They can't be told by colour: what is found is fry, though not all is."""
    scene = on_board(BROWN, board=BROWN)
    found = found_in(scene.view())
    assert (found & ~scene.fries).sum() < 0.3 * scene.fries.sum()
