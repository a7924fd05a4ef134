"""Photographs outlined without a card: what is outlined lies on fries, against masks drawn by hand, and true ones."""

import json
from functools import cache
from pathlib import Path

import cv2
import numpy as np
import pytest

from grader.arrays import LabelArray, MaskArray
from grader.fries import outline_fries
from grader.photo import read_photo

OUTSIDE_AT_MOST = 0.05
COVERED_AT_LEAST = 0.1
"""No aim, only so that outlining next to nothing can't reach the bar."""


@cache
def outlined(photo: Path) -> LabelArray:
    return outline_fries(read_photo(photo.read_bytes(), name=photo.name).pixels).labels


def drawn_by_hand(photo: Path, shape: tuple[int, ...]) -> MaskArray:
    """Where fries are, from the polygons beside the photo; they say how they were drawn."""
    drawn = json.loads(photo.with_suffix(".polygons.json").read_text(encoding="utf-8"))
    width, height = drawn["size_px"]
    mask = np.zeros((height, width), np.uint8)
    for polygons, value in ((drawn["fries"], 1), (drawn["not_fries"], 0)):
        cv2.fillPoly(mask, [np.array(polygon, np.int32) for polygon in polygons], value)
    return np.asarray(cv2.resize(mask, shape[::-1], interpolation=cv2.INTER_NEAREST) > 0)


@pytest.mark.bar
@pytest.mark.parametrize("number", ["1583884", "1586942"])
def test_outlined_area_lies_on_fries(number: str, real_fries: tuple[Path, ...]) -> None:
    photo = next(path for path in real_fries if number in path.name)
    labels = outlined(photo)
    fries = drawn_by_hand(photo, labels.shape)
    found = labels > 0
    outside, covered = (found & ~fries).sum() / found.sum(), (found & fries).sum() / fries.sum()
    print(
        f"{photo.name}: {labels.max()} outlines, {outside:.1%} of their area outside fries "
        f"(bar: at most {OUTSIDE_AT_MOST:.0%}); they cover {covered:.0%} of the fries"
    )
    assert outside <= OUTSIDE_AT_MOST
    assert covered >= COVERED_AT_LEAST


@pytest.mark.bar
@pytest.mark.slow
def test_outlined_area_lies_on_fries_on_rendered_plates() -> None:
    found = outside = 0
    photos = sorted((Path(__file__).parents[1] / "plates").glob("*.jpg"))
    assert photos
    for photo in photos:
        labels = outlined(photo)
        truth = cv2.imread(str(photo.with_suffix(".mask.png")), cv2.IMREAD_UNCHANGED)
        assert truth is not None
        found += int((labels > 0).sum())
        outside += int(((labels > 0) & (truth == 0)).sum())
    print(f"{len(photos)} rendered plates: {outside / found:.1%} outside fries (bar: at most {OUTSIDE_AT_MOST:.0%})")
    assert outside / found <= OUTSIDE_AT_MOST
