"""The serial read out of synthetic photos: as a phone would take them, and as it should not."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from grader.arrays import ByteArray
from grader.card import Imprint, Serial, draw_run, find_sheet, load_layouts, read_patches, read_serial
from grader.card.model import FoundSheet, Layout
from grader.colour.cie import lab_to_srgb8
from grader.photo.srgb import linear_light
from tests.card.printed_photos import DRAWN_PX_PER_MM, drawn, photographed

LAYOUTS = {layout.key: layout for layout in load_layouts()}
CARD, MAT = LAYOUTS["card-148"], LAYOUTS["mat-254"]


def imprint(number: int = 14, run: str = "K7Q2X") -> Imprint:
    return Imprint(serial=Serial(run, number), printed=date(2026, 11, 25), renew_by=date(2027, 5, 25))


def found(pixels: ByteArray) -> FoundSheet:
    return find_sheet(pixels, load_layouts(), focal_35mm=None)


@pytest.mark.parametrize("px_per_mm", [4, 5, 7, 10])
@pytest.mark.parametrize("layout", [CARD, MAT], ids=lambda layout: layout.key)
def test_the_serial_is_read_from_a_photo(layout: Layout, px_per_mm: float) -> None:
    generator = np.random.default_rng(int(px_per_mm * 10))
    for _ in range(2 if layout.kind == "card" else 1):
        own = imprint(int(generator.integers(1, 1000)), draw_run(generator))
        pixels = photographed(
            drawn(layout, own),
            px_per_mm=px_per_mm,
            turned_deg=float(generator.uniform(0, 360)),
            perspective=float(generator.uniform(0, 0.15)),
        )
        sheet = found(pixels)
        assert sheet.layout.key == layout.key
        assert read_serial(pixels, sheet) == own.serial


def test_the_large_mat_is_read_at_a_phones_distance() -> None:
    pixels = photographed(drawn(LAYOUTS["mat-396"], imprint(7)), px_per_mm=7, turned_deg=3)
    assert read_serial(pixels, found(pixels)) == Serial("K7Q2X", 7)


def test_sixteen_bit_pixels_read_alike() -> None:
    pixels = photographed(drawn(CARD, imprint()), px_per_mm=6)
    sheet = found(pixels)
    assert read_serial((pixels.astype(np.uint16) * 257), sheet) == Serial("K7Q2X", 14)


def test_a_code_that_is_covered_or_missing_or_outside_is_no_serial() -> None:
    picture = drawn(CARD, imprint())
    assert CARD.qr is not None
    x, y, side = (round(v * DRAWN_PX_PER_MM) for v in (CARD.qr.x_mm, CARD.qr.y_mm, CARD.qr.width_mm))
    covered = picture.copy()
    covered[y : y + side // 2, x : x + side] = (200, 170, 90)
    for spoilt in (covered, drawn(CARD, None)):
        pixels = photographed(spoilt, px_per_mm=7)
        assert read_serial(pixels, found(pixels)) is None
    pixels = photographed(picture, px_per_mm=7)
    moved = replace(
        found(pixels), homography=found(pixels).homography + np.array([[0, 0, 1e4], [0, 0, 1e4], [0, 0, 0]])
    )
    assert read_serial(pixels, moved) is None


def test_the_code_of_another_sheet_is_no_serial_of_this_one() -> None:
    """A card cut from one print and stuck on another would bring the wrong values along."""
    picture, other = drawn(CARD, imprint()), drawn(MAT, imprint())
    assert CARD.qr is not None
    assert MAT.qr is not None
    side = round(CARD.qr.width_mm * DRAWN_PX_PER_MM)
    (x, y), (u, v) = (
        (round(area.x_mm * DRAWN_PX_PER_MM), round(area.y_mm * DRAWN_PX_PER_MM)) for area in (CARD.qr, MAT.qr)
    )
    picture[y : y + side, x : x + side] = other[v : v + side, u : u + side]
    pixels = photographed(picture, px_per_mm=8)
    assert read_serial(pixels, found(pixels)) is None


def test_a_code_with_a_slip_in_its_serial_is_no_serial(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("grader.card.artwork.serial_payload", lambda key, _: f"{key.upper()} K7Q2X-015-T")
    pixels = photographed(drawn(CARD, imprint()), px_per_mm=8)
    assert read_serial(pixels, found(pixels)) is None


def test_a_sheet_without_a_code_has_no_serial() -> None:
    pixels = photographed(drawn(LAYOUTS["card-a6"], None), px_per_mm=6)
    sheet = found(pixels)
    assert sheet.layout.key == "card-a6"
    assert read_serial(pixels, sheet) is None


@pytest.mark.parametrize("key", ["card-148", "mat-254", "mat-396"])
def test_patches_give_back_the_colours_that_were_drawn(key: str) -> None:
    """Exposure is all that the camera of these photos changes: light scales, colours come back."""
    layout, exposure = LAYOUTS[key], 0.8
    pixels = photographed(drawn(layout, imprint()), px_per_mm=7, turned_deg=8, exposure=exposure)
    readings = read_patches(pixels, found(pixels))
    assert readings.patch_usable.all()
    lab = np.array([patch.lab for patch in layout.patches])
    encoded = lab_to_srgb8(lab) * exposure
    expected = linear_light(np.rint(encoded).astype(np.uint8))
    np.testing.assert_allclose(readings.patch_rgb, expected, atol=0.012)
    assert len(readings.ground_rgb) > 150
