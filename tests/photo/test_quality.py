"""A photo is refused for the right reason: on the card, on the fries, or without a card."""

from collections.abc import Callable

import cv2
import numpy as np
import pytest

from grader.arrays import ByteArray, FloatArray
from grader.errors import PhotoQualityPoor
from grader.photo import (
    check_fries_exposure,
    check_sharpness,
    check_sheet_exposure,
    check_without_card,
    exposure,
    linear_light,
)


def _code(check: Callable[[], object]) -> str:
    with pytest.raises(PhotoQualityPoor) as caught:
        check()
    assert caught.value.hint
    return caught.value.code


def test_exposure_of_known_pixels() -> None:
    pixels = np.array([[255, 254, 255], [255, 10, 10], [128, 20, 3], [2, 0, 1]], np.uint8)
    seen = exposure(pixels)
    assert seen.clipped_share == 0.5
    assert seen.white_share == 0.25
    assert seen.empty_share == 0.25
    # Linear light of level 128: IEC 61966-2-1.
    assert seen.median == pytest.approx((1 + 0.21586050) / 2, abs=1e-6)
    assert seen.bright == pytest.approx(1)


def test_exposure_is_the_same_at_both_depths(scene: ByteArray) -> None:
    eight, sixteen = exposure(scene), exposure(scene.astype(np.uint16) * np.uint16(257))
    assert eight == sixteen


def test_exposure_of_nothing_is_an_error() -> None:
    with pytest.raises(ValueError, match="at least one pixel"):
        exposure(np.empty((0, 3), np.uint8))


GREYS = np.repeat(np.linspace(0.05, 0.8, 24)[:, None], 3, axis=1)
NO_CLIPPING = np.zeros(24)


def test_a_well_exposed_card_passes() -> None:
    check_sheet_exposure(GREYS, NO_CLIPPING)


def test_a_dark_card_is_refused() -> None:
    assert _code(lambda: check_sheet_exposure(GREYS / 16, NO_CLIPPING)) == "photo_underexposed"


def test_a_burnt_card_is_refused() -> None:
    bright = (GREYS * 2.5).clip(0, 1)
    clipped = (bright[:, 0] == 1).astype(float)
    assert _code(lambda: check_sheet_exposure(bright, clipped)) == "photo_overexposed"


def test_burnt_paper_is_refused_before_its_patches_are_burnt() -> None:
    clipped = NO_CLIPPING.copy()
    clipped[-2:] = 1
    check_sheet_exposure(GREYS, clipped, paper_clipped=0.3)
    assert _code(lambda: check_sheet_exposure(GREYS, clipped, paper_clipped=0.8)) == "photo_overexposed"


def test_one_clipped_patch_or_a_dark_one_with_an_empty_channel_is_no_reason() -> None:
    clipped = NO_CLIPPING.copy()
    clipped[-1] = 1
    clipped[:8] = 1
    check_sheet_exposure(GREYS, clipped)


def test_burnt_fries_are_refused_and_shine_is_not() -> None:
    fries = np.full((100, 3), 200, np.uint8)
    fries[:5] = 255
    check_fries_exposure(exposure(fries))
    fries[:40] = 255
    assert _code(lambda: check_fries_exposure(exposure(fries))) == "photo_overexposed"


def _tag_photo(blur_px: int) -> tuple[ByteArray, FloatArray]:
    photo = np.full((400, 400, 3), 220, np.uint8)
    photo[100:196, 100:196] = 20
    photo[112:184, 112:184] = 220
    corners = np.array([[[99.5, 99.5], [195.5, 99.5], [195.5, 195.5], [99.5, 195.5]]])
    return np.asarray(cv2.blur(photo, (blur_px + 1, 1)), np.uint8), corners


def test_a_sharp_card_gives_its_blur_in_mm() -> None:
    photo, corners = _tag_photo(0)
    assert check_sharpness(photo, corners, square_mm=18) < 0.12


def test_a_moved_card_is_refused() -> None:
    photo, corners = _tag_photo(10)
    assert _code(lambda: check_sharpness(photo, corners, square_mm=18)) == "photo_blurred"


def test_what_matters_is_the_blur_in_mm() -> None:
    # The same smear in pixels, on a tag that was photographed from three times as near.
    photo, corners = _tag_photo(10)
    assert check_sharpness(photo, corners, square_mm=6) < 0.5


def _with_edges(levels: tuple[int, int]) -> ByteArray:
    rows, columns = np.mgrid[0:900, 0:1200]
    mask = ((rows // 30) + (columns // 45)) % 2 == 0
    return np.repeat(np.where(mask, *levels).astype(np.uint8)[..., None], 3, axis=2)


def test_without_a_card_a_good_photo_passes() -> None:
    check_without_card(_with_edges((200, 60)))


@pytest.mark.parametrize(("levels", "code"), [((50, 20), "photo_underexposed"), ((255, 160), "photo_overexposed")])
def test_without_a_card_the_exposure_is_told(levels: tuple[int, int], code: str) -> None:
    assert _code(lambda: check_without_card(_with_edges(levels))) == code


def test_without_a_card_blur_is_told() -> None:
    moved = cv2.blur(_with_edges((200, 60)), (15, 1)).astype(np.uint8)
    assert _code(lambda: check_without_card(moved)) == "photo_blurred"


def test_a_photo_of_nothing_is_no_blurred_one() -> None:
    check_without_card(np.full((700, 700, 3), 120, np.uint8))


def test_limits_stand_where_the_reasons_say() -> None:
    # A tenth of LEAST_WHITE at 8 bits: one level is about 3 % of it, as the limit's reason states.
    level = int(np.argmin(np.abs(linear_light(np.arange(256, dtype=np.uint8)) - 0.012)))
    step = np.diff(linear_light(np.array([level, level + 1], np.uint8)))[0]
    assert step / 0.012 == pytest.approx(0.06, abs=0.02)
