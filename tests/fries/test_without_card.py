"""Fries outlined without a card, on pictures drawn here."""

import cv2
import numpy as np
import pytest

from grader.arrays import ByteArray, MaskArray
from grader.fries import outline_fries

FRY, PLATE = (226, 176, 92), (236, 236, 232)


def drawn_plate(fries: int, *, size: tuple[int, int] = (1200, 900), width: int = 60) -> tuple[ByteArray, MaskArray]:
    """Straight bars side by side with room between, and where they are."""
    picture = np.full((size[1], size[0], 3), PLATE, np.uint8)
    mask = np.zeros(picture.shape[:2], np.uint8)
    for place in range(fries):
        top = 100 + place * 2 * width
        corners = np.array([(200, top), (800, top + 30), (800, top + 30 + width), (200, top + width)])
        cv2.fillPoly(picture, [corners], FRY)
        cv2.fillPoly(mask, [corners], 1)
    return cv2.GaussianBlur(picture, (0, 0), 1.5).astype(np.uint8), mask > 0


def test_each_bar_is_outlined_once_and_nothing_else() -> None:
    picture, mask = drawn_plate(5)
    found = outline_fries(picture)
    assert len(found.fries) == 5
    overlap = (mask & (found.labels > 0)).sum() / (mask | (found.labels > 0)).sum()
    assert overlap > 0.93


@pytest.mark.parametrize("factor", [0.6, 1.8])
def test_the_pictures_own_scale_makes_no_difference(factor: float) -> None:
    picture, mask = drawn_plate(5)
    sized = cv2.resize(picture, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA).astype(np.uint8)
    found = outline_fries(sized)
    assert len(found.fries) == 5
    assert (found.labels > 0).mean() == pytest.approx(mask.mean(), rel=0.07)


def test_labels_outlines_and_areas_are_of_the_same_fries() -> None:
    found = outline_fries(drawn_plate(3)[0])
    assert [fry.number for fry in found.fries] == [1, 2, 3]
    for fry in found.fries:
        assert fry.area_px == (found.labels == fry.number).sum()
        enclosed = cv2.contourArea(fry.outline_px.astype(np.float32))
        assert enclosed == pytest.approx(fry.area_px, rel=0.02)


@pytest.mark.parametrize("colour", [PLATE, (0, 0, 0), FRY])
def test_an_even_picture_has_no_fries(colour: tuple[int, int, int]) -> None:
    found = outline_fries(np.full((700, 900, 3), colour, np.uint8))
    assert found.fries == ()
    assert found.labels.shape == (700, 900)
    assert not found.labels.any()
