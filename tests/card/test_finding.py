from dataclasses import replace

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.arrays import ByteArray
from grader.card import (
    find_sheet,
    find_sheets,
    load_layouts,
    pixels_to_sheet,
    px_per_mm,
    sheet_to_pixels,
    tag_squares_px,
)
from grader.card.model import FoundSheet, Layout
from grader.card.tags import tag_bits, tag_corners_mm
from grader.errors import CardUnusable
from tests.card.scenes import PX_PER_MM, Pinhole, blot, corners_mm, layout_of, photograph, picture_of

CARD, MAT = layout_of("card-a6"), layout_of("mat-a4")
PAPER = (236, 235, 233)


def found(pixels: ByteArray, *, focal_35mm: float | None = 26.0) -> FoundSheet:
    return find_sheet(pixels, load_layouts(), focal_35mm=focal_35mm)


def refusal(pixels: ByteArray) -> CardUnusable:
    with pytest.raises(CardUnusable) as caught:
        found(pixels)
    return caught.value


def hide(picture: ByteArray, layout: Layout, *numbers: int) -> ByteArray:
    """Paper laid over tags."""
    for tag in layout.tags:
        if tag.number in numbers:
            blot(picture, (tag.x_mm, tag.y_mm, layout.tag_size_mm, layout.tag_size_mm), PAPER)
    return picture


def worst_corner_px(sheet: FoundSheet, camera: Pinhole) -> float:
    return float(np.linalg.norm(sheet.corners_px - camera.flat_px(corners_mm(sheet.layout)), axis=1).max())


@settings(max_examples=8)
@given(tilt=st.floats(0, 25), towards=st.floats(0, 360), turned=st.floats(0, 360))
def test_a_card_is_found_however_it_lies(tilt: float, towards: float, turned: float) -> None:
    camera = Pinhole.over(CARD, tilt_deg=tilt, towards_deg=towards, turned_deg=turned, size=(1000, 760))
    sheet = found(photograph(picture_of(CARD), camera))
    assert sheet.layout == CARD
    assert sheet.hidden_tags == ()
    assert worst_corner_px(sheet, camera) < 0.3
    assert sheet.tag_rms_px < 0.1


@pytest.mark.parametrize("layout", load_layouts(), ids=lambda layout: layout.key)
def test_every_layout_is_told_by_its_tags(layout: Layout) -> None:
    size = (1500, 1125) if layout.width_mm > 400 else (1100, 825)
    camera = Pinhole.over(layout, tilt_deg=9, towards_deg=200, turned_deg=25, size=size)
    sheet = found(photograph(picture_of(layout), camera))
    assert sheet.layout == layout
    assert worst_corner_px(sheet, camera) < 0.3
    assert not sheet.homography.flags.writeable


@pytest.mark.parametrize(("blur_px", "exposure"), [(0.4, 0.85), (1.6, 0.85), (0.8, 1.6), (0.8, 0.06)])
def test_blur_and_exposure_move_no_corner(blur_px: float, exposure: float) -> None:
    camera = Pinhole.over(CARD, tilt_deg=6, towards_deg=75, turned_deg=14)
    sheet = found(photograph(picture_of(CARD), camera, blur_px=blur_px, exposure=exposure))
    assert worst_corner_px(sheet, camera) < 0.3


@pytest.mark.parametrize("k1", [-0.02, 0.02])
def test_a_mat_shows_the_lens_s_distortion(k1: float) -> None:
    camera = Pinhole.over(MAT, tilt_deg=7, towards_deg=120, turned_deg=5, size=(1200, 900), k1=k1)
    sheet = found(photograph(picture_of(MAT), camera))
    assert sheet.camera.radial == pytest.approx(k1, abs=0.001)
    assert worst_corner_px(sheet, camera) < 0.3
    points = np.random.default_rng(8).uniform([0, 0], [MAT.width_mm, MAT.height_mm], (50, 2))
    assert np.abs(sheet_to_pixels(sheet, points) - camera.flat_px(points)).max() < 0.3
    np.testing.assert_allclose(pixels_to_sheet(sheet, sheet_to_pixels(sheet, points)), points, atol=1e-6)


def test_scale_and_squares_are_the_true_ones() -> None:
    camera = Pinhole.over(CARD, turned_deg=30)
    sheet = found(photograph(picture_of(CARD), camera))
    assert px_per_mm(sheet) == pytest.approx(camera.focal / camera.eye[2], rel=1e-3)
    squares = tag_squares_px(sheet)
    truth = np.stack([camera.flat_px(tag_corners_mm(CARD, tag)) for tag in CARD.tags])
    assert np.abs(squares - truth).max() < 0.3


def test_sixteen_bits_give_the_same_sheet_as_eight() -> None:
    pixels = photograph(picture_of(CARD), Pinhole.over(CARD, tilt_deg=5))
    deep = pixels.astype(np.uint16) * 257
    np.testing.assert_allclose(
        find_sheet(deep, load_layouts(), focal_35mm=26.0).corners_px, found(pixels).corners_px, atol=1e-3
    )


@pytest.mark.parametrize("number", [0, 1, 2, 3])
def test_one_hidden_tag_of_a_card_is_borne(number: int) -> None:
    camera = Pinhole.over(CARD, tilt_deg=10, towards_deg=310, turned_deg=70)
    sheet = found(photograph(hide(picture_of(CARD), CARD, number), camera))
    assert sheet.hidden_tags == (number,)
    assert worst_corner_px(sheet, camera) < 0.5
    assert tag_squares_px(sheet).shape == (3, 4, 2)


@pytest.mark.parametrize("numbers", [(0, 1), (0, 2), (0, 1, 2)])
def test_two_hidden_tags_of_a_card_are_too_many(numbers: tuple[int, ...]) -> None:
    error = refusal(photograph(hide(picture_of(CARD), CARD, *numbers), Pinhole.over(CARD, tilt_deg=4)))
    assert error.code == "card_partly_hidden"
    assert f"Only {4 - len(numbers)} of the 4 marks" in error.message
    assert "Take whatever lies on it away" in error.hint


def test_a_mat_is_found_while_its_tags_in_sight_surround_it() -> None:
    camera = Pinhole.over(MAT, tilt_deg=6, towards_deg=20, size=(1200, 900))
    sheet = found(photograph(hide(picture_of(MAT), MAT, 17, 19, 20, 23), camera))
    assert sheet.hidden_tags == (17, 19, 20, 23)
    assert worst_corner_px(sheet, camera) < 0.5
    error = refusal(photograph(hide(picture_of(MAT), MAT, 18, 19, 20, 21), camera))
    assert error.code == "card_partly_hidden"


def test_a_card_that_runs_out_of_the_picture_by_one_tag_is_found() -> None:
    camera = Pinhole.over(CARD, off_mm=(-70, 0), tilt_deg=3, turned_deg=12)
    assert camera.flat_px(corners_mm(CARD))[:, 0].max() > camera.size[0]
    sheet = found(photograph(picture_of(CARD), camera))
    assert len(sheet.hidden_tags) == 1


def test_a_picture_without_tags_has_no_card() -> None:
    error = refusal(np.full((900, 1200, 3), 120, np.uint8))
    assert error.code == "card_not_found"
    assert "Lay the printed card" in error.hint


def test_a_mirrored_picture_shows_no_card() -> None:
    pixels = photograph(picture_of(CARD), Pinhole.over(CARD))
    assert refusal(np.ascontiguousarray(pixels[:, ::-1])).code == "card_not_found"


@pytest.mark.parametrize("first", [20, 100])
def test_tags_of_another_house_or_in_another_place_are_unknown(first: int) -> None:
    foreign = replace(CARD, tags=tuple(replace(tag, number=first + tag.number) for tag in CARD.tags))
    error = refusal(photograph(picture_of(foreign), Pinhole.over(CARD, tilt_deg=4)))
    assert error.code == "card_unknown"
    assert "none that this program knows" in error.message


def test_a_tag_out_of_its_place_is_left_out() -> None:
    picture = hide(picture_of(MAT), MAT, 20)
    module = round(MAT.tag_size_mm * PX_PER_MM / 8)
    x, y = round(240 * PX_PER_MM), round(120 * PX_PER_MM)
    blot(picture, (238, 118, 22, 22), PAPER)
    picture[y : y + 8 * module, x : x + 8 * module] = np.kron(tag_bits(20), np.ones((module, module), np.uint8))[
        ..., None
    ] * np.array(PAPER, np.uint8)
    camera = Pinhole.over(MAT, tilt_deg=5, size=(1200, 900))
    sheet = found(photograph(picture, camera))
    assert sheet.hidden_tags == (20,)
    assert worst_corner_px(sheet, camera) < 0.3


def test_of_two_sheets_the_one_with_more_tags_in_sight_is_taken() -> None:
    picture = picture_of(MAT)
    card = cv2.resize(picture_of(CARD), None, fx=0.9, fy=0.9, interpolation=cv2.INTER_AREA)
    at = round(45 * PX_PER_MM)
    picture[at : at + card.shape[0], at : at + card.shape[1]] = card
    sheet = found(photograph(picture, Pinhole.over(MAT, size=(1400, 1050))))
    assert sheet.layout == MAT
    assert sheet.hidden_tags == ()


def test_of_two_cards_alike_one_is_taken_and_not_a_mixture() -> None:
    camera = Pinhole.over(CARD, tilt_deg=6, size=(900, 700))
    one = photograph(picture_of(CARD), camera)
    sheet = found(np.hstack([one, one]))
    truth = camera.flat_px(corners_mm(CARD))
    worst = [np.abs(sheet.corners_px - truth - shift).max() for shift in ([0, 0], [900, 0])]
    assert min(worst) < 0.5


def test_two_cards_alike_are_both_found_where_both_are_asked_for() -> None:
    camera = Pinhole.over(CARD, tilt_deg=6, size=(900, 700))
    one = photograph(picture_of(CARD), camera)
    sheets = find_sheets(np.hstack([one, one]), load_layouts(), focal_35mm=None)
    truth = camera.flat_px(corners_mm(CARD))
    assert len(sheets) == 2
    for sheet, shift in zip(sorted(sheets, key=lambda one: one.corners_px[0, 0]), ([0, 0], [900, 0]), strict=True):
        assert np.abs(sheet.corners_px - truth - shift).max() < 0.5


def test_a_second_card_that_is_half_hidden_is_none() -> None:
    camera = Pinhole.over(CARD, size=(900, 700))
    whole = photograph(picture_of(CARD), camera)
    half = photograph(hide(picture_of(CARD), CARD, 0, 1), camera)
    for pixels in (whole, np.hstack([whole, half]), np.hstack([half, whole])):
        (sheet,) = find_sheets(pixels, load_layouts(), focal_35mm=None)
        assert sheet.hidden_tags == ()


def test_a_bent_sheet_is_refused_with_what_to_do() -> None:
    picture = picture_of(MAT)
    y, x = np.mgrid[: picture.shape[0], : picture.shape[1]].astype(np.float32)
    bow = 3.5 * PX_PER_MM * np.sin(np.pi * x / picture.shape[1])
    bent = np.asarray(cv2.remap(picture, x, y + bow, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE), np.uint8)
    error = refusal(photograph(bent, Pinhole.over(MAT, size=(1200, 900))))
    assert error.code == "card_unknown"
    assert "it is bent" in error.message
    assert "Lay it quite flat" in error.hint
