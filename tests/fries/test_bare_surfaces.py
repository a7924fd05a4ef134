"""Spots beside the fries: where they lie, and which of them are of one surface."""

from functools import cache

import cv2
import numpy as np
import pytest

from grader.arrays import ByteArray, FloatArray, MaskArray
from grader.card import find_sheet, load_layouts
from grader.card.plane import pixels_to_sheet, sheet_to_pixels
from grader.colour.gates import BareSpots
from grader.fries import bare_spots
from tests.card.scenes import Pinhole, layout_of, photograph, picture_of
from tests.fries.photographs import BARS, SEEN_BY, picture
from tests.fries.solids import label_of

PLATE_MM = np.array([[170.0, -60.0], [290.0, -60.0], [290.0, 130.0], [170.0, 130.0]])
"""Corners of a pale plate under the fries, beside the card."""


@cache
def _card_and_plate() -> tuple[ByteArray, BareSpots]:
    pixels = picture(bars=())
    sheet = find_sheet(pixels, load_layouts(), focal_35mm=26.0)
    corners = np.rint(sheet_to_pixels(sheet, PLATE_MM)).astype(np.int32)
    cv2.fillConvexPoly(pixels, corners, (210, 205, 190))
    labels = label_of(list(BARS), SEEN_BY)
    return pixels, bare_spots(pixels, sheet, labels)


def _inside(xy_mm: FloatArray, low: FloatArray, high: FloatArray, by: float) -> MaskArray:
    return np.asarray(((xy_mm > low + by) & (xy_mm < high - by)).all(axis=1))


def test_spots_lie_beside_card_and_fries() -> None:
    pixels, spots = _card_and_plate()
    sheet = find_sheet(pixels, load_layouts(), focal_35mm=26.0)
    assert len(spots.xy_mm) == len(spots.rgb) == len(spots.surface) > 500
    assert not _inside(spots.xy_mm, np.zeros(2), np.array([148.0, 105.0]), -2.5).any()
    rows, columns = np.nonzero(label_of(list(BARS), SEEN_BY))
    fries = pixels_to_sheet(sheet, np.column_stack([columns, rows])[::50])
    nearest = np.linalg.norm(spots.xy_mm[:, None] - fries, axis=2).min(axis=1)
    assert nearest.min() > 6


def test_plate_and_table_are_two_surfaces() -> None:
    _, spots = _card_and_plate()
    plate = _inside(spots.xy_mm, PLATE_MM[0], PLATE_MM[2], 4)
    table = ~_inside(spots.xy_mm, PLATE_MM[0], PLATE_MM[2], -4)
    assert set(spots.surface[plate]).isdisjoint(spots.surface[table])
    assert np.ptp(spots.surface[plate]) == 0
    assert np.median(spots.rgb[plate], axis=0) == pytest.approx(np.array([0.645, 0.610, 0.515]), abs=0.01)


def test_on_a_mat_only_its_field_counts() -> None:
    mat = layout_of("mat-a4")
    pixels = photograph(picture_of(mat), Pinhole.over(mat, size=(2000, 1500)))
    sheet = find_sheet(pixels, load_layouts(), focal_35mm=26.0)
    spots = bare_spots(pixels, sheet, np.zeros(pixels.shape[:2], np.uint16))
    field = mat.field
    assert field is not None
    low = np.array([field.x_mm, field.y_mm])
    assert _inside(spots.xy_mm, low, np.array([field.x_mm + field.width_mm, field.y_mm + field.height_mm]), 0).all()


def test_a_picture_full_of_fries_shows_nothing_beside_them() -> None:
    pixels, _ = _card_and_plate()
    sheet = find_sheet(pixels, load_layouts(), focal_35mm=26.0)
    spots = bare_spots(pixels, sheet, np.ones(pixels.shape[:2], np.uint16))
    assert len(spots.xy_mm) == len(spots.rgb) == len(spots.surface) == 0
