import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from grader.arrays import ByteArray
from grader.card import check_readings, find_sheet, load_layouts, read_patches, sheet_to_pixels
from grader.card.light import bare_field
from grader.card.model import FoundSheet, Layout, SheetReadings
from grader.colour.cie import lab_to_srgb8
from grader.errors import CardUnusable
from grader.photo.srgb import linear_light
from tests.card.scenes import PX_PER_MM, Pinhole, blot, layout_of, photograph, picture_of

CARD, MAT = layout_of("card-a6"), layout_of("mat-a4")
OVER_CARD = Pinhole.over(CARD, tilt_deg=7, towards_deg=220, turned_deg=33)
OVER_MAT = Pinhole.over(MAT, tilt_deg=5, towards_deg=60, turned_deg=-20, size=(1400, 1050))
FRY = (206, 164, 96)
TABLE = (172, 130, 110)


def read(pixels: ByteArray) -> tuple[FoundSheet, SheetReadings]:
    sheet = find_sheet(pixels, load_layouts(), focal_35mm=26.0)
    return sheet, read_patches(pixels, sheet)


def refusal(sheet: FoundSheet, readings: SheetReadings) -> CardUnusable:
    with pytest.raises(CardUnusable) as caught:
        check_readings(sheet, readings)
    return caught.value


def printed_light(layout: Layout) -> NDArray[np.float64]:
    return linear_light(lab_to_srgb8(np.array([p.lab for p in layout.patches]))).astype(float)


def patches_within(layout: Layout, area: tuple[float, float, float, float]) -> NDArray[np.bool_]:
    """Patches that a rectangle (x, y, width, height) touches in their middle 8 mm."""
    x, y, w, h = area
    middles = np.array([[p.area.x_mm + 7, p.area.y_mm + 7] for p in layout.patches])
    return np.asarray(
        (middles[:, 0] + 4 > x) & (middles[:, 0] - 4 < x + w) & (middles[:, 1] + 4 > y) & (middles[:, 1] - 4 < y + h)
    )


@pytest.mark.parametrize(("layout", "camera"), [(CARD, OVER_CARD), (MAT, OVER_MAT)], ids=["card", "mat"])
def test_patches_read_as_they_were_lit(layout: Layout, camera: Pinhole) -> None:
    sheet, readings = read(photograph(picture_of(layout), camera, exposure=0.8))
    assert readings.patch_usable.all()
    np.testing.assert_allclose(readings.patch_rgb, printed_light(layout) * 0.8, rtol=0.01, atol=0.001)
    assert not readings.patch_clipped.any()
    check_readings(sheet, readings)


def test_sharpening_halos_do_not_reach_what_is_read() -> None:
    plain = photograph(picture_of(CARD), OVER_CARD, exposure=0.8)
    soft = cv2.GaussianBlur(plain, (0, 0), 1.6).astype(float)
    sharpened = np.clip(plain + 0.35 * (plain - soft), 0, 255).round().astype(np.uint8)
    _, readings = read(sharpened)
    np.testing.assert_allclose(readings.patch_rgb, printed_light(CARD) * 0.8, rtol=0.01, atol=0.001)


def test_the_uncertainty_is_how_far_a_reading_scatters() -> None:
    pictures = [photograph(picture_of(CARD), OVER_CARD, exposure=0.6, noise=0.02, grain_number=k) for k in range(12)]
    sheet = find_sheet(pictures[0], load_layouts(), focal_35mm=26.0)
    readings = [read_patches(picture, sheet) for picture in pictures]
    scatter = np.std([r.patch_rgb for r in readings], axis=0, ddof=1)
    claimed = np.mean([r.patch_rgb_u for r in readings], axis=0)
    # Pixels share their noise where the card is finer sampled than the photo, and blocks scatter too: never too small.
    assert 0.8 < np.median(claimed / scatter) < 2.5


def test_overexposed_patches_are_counted_and_left_out_but_the_card_is_not_refused_for_them() -> None:
    sheet, readings = read(photograph(picture_of(CARD), OVER_CARD, exposure=1.8))
    light = printed_light(CARD).max(axis=1) * 1.8
    assert (light > 1.02).sum() >= 3
    np.testing.assert_array_equal(readings.patch_clipped[light > 1.02], 1)
    assert not readings.patch_usable[light > 1.02].any()
    assert readings.patch_usable[light < 0.9].all()
    assert readings.paper_clipped == 1
    check_readings(sheet, readings)


def test_paper_of_which_the_red_alone_is_full_is_told() -> None:
    light = photograph(picture_of(CARD), OVER_CARD, exposure=0.9)
    assert read(light)[1].paper_clipped == 0
    warm = light.copy()
    warm[..., 0] = np.minimum(light[..., 0].astype(int) * 3 // 2, 255)
    assert read(warm)[1].paper_clipped > 0.9


def test_a_fry_over_two_patches_costs_those_two() -> None:
    picture, fry = picture_of(CARD), (44.0, 34.0, 10.0, 30.0)
    blot(picture, fry, FRY)
    sheet, readings = read(photograph(picture, OVER_CARD))
    np.testing.assert_array_equal(~readings.patch_usable, patches_within(CARD, fry))
    assert readings.patch_hidden.sum() == 2
    check_readings(sheet, readings)


@pytest.mark.parametrize("rgb", [FRY, TABLE, (30, 30, 30)])
def test_a_card_half_covered_is_refused(rgb: tuple[int, int, int]) -> None:
    picture, cover = picture_of(CARD), (24.0, 13.0, 60.0, 60.0)
    blot(picture, cover, rgb)
    sheet, readings = read(photograph(picture, OVER_CARD))
    assert readings.patch_hidden[patches_within(CARD, cover)].all()
    error = refusal(sheet, readings)
    assert error.code == "card_partly_hidden"
    assert "of the 24 colour patches of the A6 card" in error.message
    assert error.hint.startswith("Take away what lies on it")


def glare(x_mm: float, y_mm: float, spread_mm: float, strength: float) -> NDArray[np.float64]:
    """Light mirrored by the card around one place, (105, 148): one value a mm."""
    y, x = np.mgrid[:105, :148]
    return np.asarray(strength * np.exp(-((x - x_mm) ** 2 + (y - y_mm) ** 2) / (2 * spread_mm**2)))


def test_a_reflection_over_the_card_is_refused() -> None:
    sheet, readings = read(photograph(picture_of(CARD), OVER_CARD, exposure=0.5, veil=glare(60, 45, 28, 0.5)))
    error = refusal(sheet, readings)
    assert error.code == "card_glare"
    assert "so that no lamp mirrors in it" in error.hint


def test_a_small_reflection_costs_the_patches_under_it() -> None:
    sheet, readings = read(photograph(picture_of(CARD), OVER_CARD, exposure=0.5, veil=glare(115, 76, 6, 0.5)))
    assert readings.patch_shiny[23]
    assert readings.patch_shiny.sum() <= 4
    assert not readings.patch_hidden.any()
    check_readings(sheet, readings)


@pytest.mark.parametrize("fall_off", [0.3, 0.5])
def test_light_that_falls_off_over_the_card_is_no_fault(fall_off: float) -> None:
    x = np.arange(148 * PX_PER_MM) / (148 * PX_PER_MM)
    light = linear_light(picture_of(CARD)) * (1 - fall_off * x)[:, None]
    sheet, readings = read(photograph(lab_like(light), OVER_CARD))
    assert readings.patch_usable.all()
    check_readings(sheet, readings)
    paper = readings.ground_rgb[:, 1] / readings.ground_rgb[:, 1].max()
    expected = 1 - fall_off * readings.ground_xy_mm[:, 0] / 148
    np.testing.assert_allclose(paper / expected, np.median(paper / expected), rtol=0.03)


def lab_like(light: NDArray[np.floating]) -> ByteArray:
    """Linear light back to bytes."""
    encoded = np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 1e-9) ** (1 / 2.4) - 0.055)
    return np.asarray(np.rint(encoded * 255), np.uint8)


def test_patches_outside_the_picture_are_hidden() -> None:
    camera = Pinhole.over(CARD, off_mm=(-50, 30), turned_deg=45)
    _, readings = read(photograph(picture_of(CARD), camera))
    middles = np.array([[p.area.x_mm + 7, p.area.y_mm + 7] for p in CARD.patches])
    beyond = (np.abs(camera.flat_px(middles) - [599.5, 449.5]) > [600, 450]).any(axis=1)
    assert beyond.any()
    assert readings.patch_hidden[beyond].all()
    assert np.isfinite(readings.patch_rgb).all()


def test_a_mat_s_ground_is_paper_and_the_field_between_the_fries() -> None:
    picture = picture_of(MAT)
    rng = np.random.default_rng(11)
    fries = [(*rng.uniform([40, 40], [230, 160]), *sides) for sides in [(9.0, 40.0), (40.0, 9.0)] * 9]
    for x, y, w, h in fries:
        blot(picture, (float(x), float(y), w, min(h, 174 - float(y))), FRY)
    sheet, readings = read(photograph(picture, OVER_MAT, exposure=0.8))
    on_field = np.isclose(readings.ground_lab[:, 0], 45)
    assert on_field.sum() > 250
    assert (~on_field).sum() > 300
    for lab, mask in ((MAT.field_lab, on_field), (MAT.base_lab, ~on_field)):
        light = linear_light(lab_to_srgb8(np.array(lab))) * 0.8
        strays = np.abs(readings.ground_rgb[mask] / light - 1).max(axis=1)
        assert np.percentile(strays, 95) < 0.03
        assert strays.max() < 0.15
    where = np.rint(readings.ground_xy_mm[on_field] * PX_PER_MM).astype(int)
    assert (picture[where[:, 1], where[:, 0]] != FRY).any(axis=1).all()
    assert np.isfinite(sheet_to_pixels(sheet, readings.ground_xy_mm)).all()


def test_a_card_s_ground_is_paper_alone() -> None:
    _, readings = read(photograph(picture_of(CARD), OVER_CARD))
    assert len(readings.ground_xy_mm) > 250
    np.testing.assert_array_equal(readings.ground_lab, np.tile(CARD.base_lab, (len(readings.ground_lab), 1)))


def test_a_field_wholly_covered_has_no_bare_spot() -> None:
    paper = np.random.default_rng(1).uniform(0, 200, (60, 2)), np.full((60, 3), 0.7)
    covered = np.random.default_rng(2).uniform(40, 160, (300, 2)), np.tile([0.5, 0.3, 0.1], (300, 1))
    assert not bare_field(paper, covered, 0.17).any()


def test_readings_are_read_only() -> None:
    _, readings = read(photograph(picture_of(CARD), OVER_CARD))
    values = [getattr(readings, name) for name in SheetReadings.__dataclass_fields__]
    arrays = [value for value in values if isinstance(value, np.ndarray)]
    assert len(arrays) == len(values) - 1
    assert not any(array.flags.writeable for array in arrays)
