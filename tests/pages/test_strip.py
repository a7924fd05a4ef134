"""The strip: sorted, straightened, numbered, each fry's own colour beneath it."""

import numpy as np

from grader.colour import lab_to_srgb8
from grader.evidence.fry_strips import fry_strips
from grader.pages.components.strip import _CELL_PX, _GAP_PX, _LETTER_PX, _SWATCH_PX, in_order, strip_board
from tests.records import made_up


def test_fries_stand_in_order_with_their_colours_beneath() -> None:
    standard = made_up.standard()
    pale, dark = (75.0, -2.0, 25.0), (45.0, 14.0, 28.0)
    fries = (made_up.fry(1, y=100, lab=dark, length_px=400), made_up.fry(2, y=300, lab=pale, length_px=200))
    pixels = np.full((made_up.HEIGHT_PX, made_up.WIDTH_PX, 3), 90, np.uint8)
    strips = fry_strips(pixels, fries, standard, plate=1)
    assert [one.number for one in in_order(strips, "colour")] == [2, 1]
    assert [one.number for one in in_order(strips, "length")] == [2, 1]
    board = strip_board(in_order(strips, "colour"), {fry.number: fry for fry in fries}, standard.scale)
    tall = max(one.pixels.shape[0] for one in strips)
    row = _GAP_PX + tall + _LETTER_PX + _GAP_PX + _SWATCH_PX // 2
    for place, lab in enumerate((pale, dark)):
        swatch = board[row, _GAP_PX + place * _CELL_PX + 10]
        assert np.array_equal(swatch, lab_to_srgb8(np.array(lab)))
    longest, shortest = (int((board[: _GAP_PX + tall, x] == 90).all(axis=-1).sum()) for x in (_CELL_PX + 25, 25))
    assert longest == 2 * shortest
