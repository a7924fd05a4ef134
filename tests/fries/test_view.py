import numpy as np
import pytest

from grader.arrays import ByteArray, FloatArray
from grader.card import find_sheet, load_layouts, read_patches
from grader.card.model import FoundSheet
from grader.card.plane import sheet_to_pixels
from grader.colour.cie import D65, lab_to_xyz
from grader.colour.plain import plain_matrix
from grader.fries.view import MM_PER_PX, View, look, view_of
from tests.card.scenes import Pinhole, layout_of, photograph, picture_of


def photo(key: str) -> tuple[ByteArray, FoundSheet]:
    layout = layout_of(key)
    pixels = photograph(picture_of(layout), Pinhole.over(layout, tilt_deg=5, size=(1600, 1200)))
    return pixels, find_sheet(pixels, load_layouts(), focal_35mm=26.0)


def seen(pixels: ByteArray, sheet: FoundSheet) -> tuple[View, FloatArray]:
    rgb = read_patches(pixels, sheet).patch_rgb
    lab = np.array([patch.lab for patch in sheet.layout.patches])
    return look(pixels, sheet, plain_matrix(rgb, lab)), lab


@pytest.fixture(scope="module")
def card() -> tuple[ByteArray, FoundSheet]:
    return photo("card-a6")


def places(view: View, sheet: FoundSheet, mm: FloatArray) -> FloatArray:
    """Rows and columns of the view at sheet mm."""
    return np.rint(sheet_to_pixels(sheet, mm) * view.reduction).astype(int)[:, ::-1]


def test_a_millimetre_is_as_long_as_promised(card: tuple[ByteArray, FoundSheet]) -> None:
    pixels, sheet = card
    view, _ = seen(pixels, sheet)
    ends = sheet_to_pixels(sheet, np.array([[24.0, 52.0], [124.0, 52.0]])) * view.reduction
    assert np.linalg.norm(ends[1] - ends[0]) * MM_PER_PX == pytest.approx(100, rel=0.03)
    assert view.xyz.shape[0] == pytest.approx(pixels.shape[0] * view.reduction, abs=1)


def test_the_patches_have_about_their_colours(card: tuple[ByteArray, FoundSheet]) -> None:
    view, lab = seen(*card)
    sheet = card[1]
    middles = np.array(
        [[p.area.x_mm + p.area.width_mm / 2, p.area.y_mm + p.area.height_mm / 2] for p in sheet.layout.patches]
    )
    rows, columns = places(view, sheet, middles).T
    expected = lab_to_xyz(lab) / D65
    assert np.abs(view.xyz[rows, columns] - expected).max() < 0.12
    neutral = np.hypot(lab[:, 1], lab[:, 2]) < 3
    light = neutral & (lab[:, 0] > 40)
    assert np.abs(view.yellowness_log[rows, columns][light]).max() < 0.15
    assert np.abs(view.redness_log[rows, columns][light]).max() < 0.1
    np.testing.assert_allclose(view.lightness[rows, columns][light], lab[light, 0], atol=4)


def test_beside_a_card_the_card_is_barred_and_the_rest_is_not(card: tuple[ByteArray, FoundSheet]) -> None:
    view, _ = seen(*card)
    sheet = card[1]
    on_card = places(view, sheet, np.array([[1.0, 1.0], [74.0, 52.0], [147.0, 104.0], [-1.0, 52.0]]))
    beside = places(view, sheet, np.array([[-8.0, 52.0], [74.0, -8.0], [156.0, 52.0]]))
    assert view.barred[tuple(on_card.T)].all()
    assert not view.barred[tuple(beside.T)].any()


def test_on_a_mat_only_its_inside_is_free() -> None:
    pixels, sheet = photo("mat-a4")
    view, _ = seen(pixels, sheet)
    width, height = sheet.layout.width_mm, sheet.layout.height_mm
    free = places(view, sheet, np.array([[width / 2, height / 2], [35.0, 35.0], [width - 35, height - 35]]))
    barred = places(view, sheet, np.array([[10.0, 10.0], [width - 10, height / 2], [-5.0, height / 2]]))
    assert not view.barred[tuple(free.T)].any()
    assert view.barred[tuple(barred.T)].all()


def test_a_photo_that_is_coarse_already_is_not_enlarged() -> None:
    layout = layout_of("card-a6")
    pixels = photograph(picture_of(layout), Pinhole.over(layout, size=(1200, 900), height_mm=460))
    sheet = find_sheet(pixels, load_layouts(), focal_35mm=26.0)
    view = look(pixels, sheet, np.eye(3))
    assert view.reduction == 1.0
    assert view.xyz.shape == pixels.shape


def test_shade_leaves_hue_as_it_is_and_the_darkest_stay_finite() -> None:
    xyz = np.array([[[0.4, 0.36, 0.14]]], np.float32)
    barred = np.zeros((1, 1), bool)
    bright, dim, black = (view_of(xyz * np.float32(k), np.eye(3), barred, reduction=1.0) for k in (1.0, 0.3, 0.0))
    assert dim.yellowness_log == pytest.approx(bright.yellowness_log, abs=1e-5)
    assert dim.redness_log == pytest.approx(bright.redness_log, abs=1e-5)
    assert (dim.luminance_log < bright.luminance_log).all()
    assert (dim.lightness < bright.lightness).all()
    for values in (black.yellowness_log, black.redness_log, black.luminance_log, black.lightness):
        assert np.isfinite(values).all()
