import numpy as np
import pytest

from grader.arrays import MaskArray
from grader.fries.morphology import (
    box_around,
    closed,
    disc,
    grown,
    opened,
    parts_from,
    parts_of,
    parts_touching,
    shrunk,
)
from grader.fries.view import MM_PER_PX

SIDE = 200


def box(left: int, top: int, right: int, bottom: int) -> MaskArray:
    mask = np.zeros((SIDE, SIDE), bool)
    mask[top:bottom, left:right] = True
    return mask


@pytest.mark.parametrize("radius_mm", [0.1, 1.2, 6.0])
def test_a_disc_is_round_and_as_large_as_said(radius_mm: float) -> None:
    element = disc(radius_mm)
    radius = max(1, round(radius_mm / MM_PER_PX))
    assert element.shape == (2 * radius + 1, 2 * radius + 1)
    assert (element == element[::-1, ::-1]).all()
    if radius > 2:
        assert element.sum() == pytest.approx(np.pi * (radius + 0.5) ** 2, rel=0.12)


def test_grown_and_shrunk_move_an_edge_by_millimetres() -> None:
    square = box(80, 80, 120, 120)
    step = round(3.0 / MM_PER_PX)
    assert grown(square, 3.0)[100].sum() == 40 + 2 * step
    assert shrunk(square, 3.0)[100].sum() == 40 - 2 * step
    assert (shrunk(square, 3.0) <= square).all()
    assert (square <= grown(square, 3.0)).all()


def test_opened_loses_what_is_thin_and_closed_fills_what_is_narrow() -> None:
    thin = box(20, 98, 180, 102)  # 1.2 mm
    body = box(60, 60, 140, 140)
    assert (opened(thin | body, 1.5)[98:102, 20:50] == 0).all()
    assert opened(thin | body, 1.5)[100, 100]
    split = body & ~thin
    assert closed(split, 1.5)[100, 65:135].all()
    assert not closed(split, 0.3)[100, 65:135].any()


def test_parts_by_their_area() -> None:
    large, small = box(10, 10, 60, 60), box(100, 100, 110, 110)
    area_mm2 = 100 * MM_PER_PX**2
    assert (parts_from(large | small, area_mm2 * 1.01) == large).all()
    assert (parts_from(large | small, area_mm2 * 0.99) == (large | small)).all()


def test_parts_by_where_they_lie() -> None:
    place = box(0, 0, 100, SIDE)
    on, half_off, off = box(10, 10, 40, 40), box(90, 60, 130, 100), box(150, 10, 180, 40)
    every = on | half_off | off
    assert (parts_touching(every, place) == (on | half_off)).all()


@pytest.mark.parametrize("side", [30, 400])
def test_parts_are_numbered_however_many_there_are(side: int) -> None:
    """400 x 400 squares of a chess board are more than 16 bits can number."""
    board = np.indices((side, side)).sum(axis=0) % 2 == 0
    count, parts = parts_of(board)
    assert count == 1 + board.sum()
    assert (np.bincount(parts[board])[1:] == 1).all()
    assert not parts[~board].any()
    assert parts_of(board, by_corners=True)[0] == 2


def test_nothing_stays_nothing() -> None:
    nothing = np.zeros((30, 30), bool)
    assert not parts_from(nothing, 1).any()
    assert not parts_touching(nothing, ~nothing).any()


def test_a_box_holds_a_mask_and_its_margin_but_ends_with_the_picture() -> None:
    rows, columns = box_around(box(81, 3, 120, 50), 3.0)
    margin = round(3.0 / MM_PER_PX)
    assert (rows.start, rows.stop) == (0, 50 + margin)
    assert (columns.start, columns.stop) == ((81 - margin) // 2 * 2, 120 + margin)
