"""Regions made up of rectangles: which of them are taken for bars."""

import numpy as np
import pytest

from grader.arrays import IntArray
from grader.fries.sure_bars import sure_bars

Box = tuple[int, int, int, int]

FRIES: tuple[Box, ...] = ((20, 20, 120, 50), (20, 70, 110, 100), (20, 120, 130, 150))
"""Left, top, right, bottom, px: three bars as wide as fries are in the reduced picture."""


def regions(*boxes: Box) -> IntArray:
    labels = np.zeros((220, 260), np.int64)
    for number, (left, top, right, bottom) in enumerate(boxes, start=1):
        labels[top:bottom, left:right] = number
    return labels


def kept(*boxes: Box) -> set[int]:
    return set(np.unique(sure_bars(regions(*boxes)).labels).tolist()) - {0}


def test_bars_are_kept_with_their_usual_width() -> None:
    found = sure_bars(regions(*FRIES))
    assert set(np.unique(found.labels)) == {0, 1, 2, 3}
    assert found.usual_width_px == pytest.approx(30, abs=1.5)


@pytest.mark.parametrize(
    ("what", "box"),
    [
        ("runs out of the picture", (150, 40, 260, 70)),
        ("is as wide as it is long", (150, 40, 182, 72)),
        ("is far narrower", (150, 40, 250, 50)),
        ("is far wider", (150, 20, 255, 85)),
    ],
)
def test_what_is_no_fry_is_left_out(what: str, box: Box) -> None:
    assert kept(*FRIES, box) == {1, 2, 3}, what


def test_a_bar_beside_what_runs_out_of_the_picture_is_more_of_the_same() -> None:
    grain, table = (150, 40, 250, 70), (145, 70, 260, 110)
    assert kept(*FRIES, grain, table) == {1, 2, 3}
    assert kept(*FRIES, grain) == {1, 2, 3, 4}


def test_what_hangs_on_a_bar_by_a_thread_is_cut_off() -> None:
    labels = regions(*FRIES)
    labels[33:37, 120:140] = 1
    found = sure_bars(labels).labels == 1
    assert not found[:, 125:].any()
    assert found[25:45, 30:110].all()


def test_an_empty_picture_has_none() -> None:
    found = sure_bars(np.zeros((50, 60), np.int64))
    assert found.usual_width_px is None
    assert not found.labels.any()
