import cv2
import numpy as np
import pytest

from grader.arrays import Box
from grader.fries.close_up import close_up

VIEW = (60, 90)
PHOTO = np.zeros((147, 221, 3), np.uint8)
BOXES: tuple[Box, ...] = (np.s_[0:60, 0:90], np.s_[10:41, 24:90], np.s_[0:33, 6:70], np.s_[30:75, 0:99])
"""All of the view, parts of it, and one that says more than there is."""


@pytest.mark.parametrize("box", BOXES)
def test_it_is_what_enlarging_all_of_the_view_gives_there(box: Box) -> None:
    numbers = np.arange(60 * 90, dtype=np.uint16).reshape(VIEW)
    photo = close_up(PHOTO, VIEW, box)
    whole = cv2.resize(numbers, PHOTO.shape[1::-1], interpolation=cv2.INTER_NEAREST)
    assert (photo.enlarged(numbers[box]) == whole[photo.box]).all()
    assert photo.pixels.shape[:2] == whole[photo.box].shape
    outside = np.ones_like(whole, bool)
    outside[photo.box] = False
    assert not np.isin(whole[outside], numbers[box]).any()


@pytest.mark.parametrize("box", BOXES)
def test_between_the_views_pixels_it_is_what_lies_between_their_values(box: Box) -> None:
    values = np.random.default_rng(3).normal(size=VIEW).astype(np.float32)
    photo = close_up(PHOTO, VIEW, box)
    whole = cv2.resize(values, PHOTO.shape[1::-1], interpolation=cv2.INTER_LINEAR)[photo.box]
    every = np.arange(whole.size)
    inner = np.zeros(whole.shape, bool)  # at the box's own edges its neighbours in the view aren't known
    inner[3:-3, 3:-3] = True
    assert photo.between(values[box], every)[inner.ravel()] == pytest.approx(whole[inner], abs=1e-5)
