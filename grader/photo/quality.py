"""Whether a photo is sharp and well exposed enough to be measured; every limit with its reason.

Judged on what is measured, the card and the fries: a window burnt out in the background does no harm. Only where no
card is found is the whole picture judged, so that a photo too dark, too bright or too blurred to show its card is
refused for that and not for a missing card.
"""

import numpy as np

from grader.arrays import FloatArray, PixelArray
from grader.errors import PhotoQualityPoor
from grader.photo.exposure import Exposure, exposure
from grader.photo.sharpness import edge_blur_px, overall_blur

MOST_BLUR_MM = 0.5
"""An edge then rises over 1.3 mm, half of the smallest spot that a house is likely to count. Sharp photos show 0.1 to
0.2 mm; a hand that moves, 1 mm and more."""

MOST_OVERALL_BLUR = 1.75
"""Thousandths of the shorter side. Sharp photos show 0.6 to 1.1, one with a very shallow focus 1.5; a hand that moves
by an eightieth of the shorter side, about a module of a tag, smears any photo to 2.0 and more."""

LEAST_WHITE = 0.12
"""Linear light of the brightest patch. A fry's dark end reflects a tenth of it: at 8 bits a level of the camera's
rounding is then 3 % of such a colour, and noise is more. Good photos show 0.5 to 0.9."""

MOST_CLIPPED_PATCHES = 0.2
"""Share of the patches that are too bright: the correction has then lost its light end, where pale fries lie."""

MOST_CLIPPED_PAPER = 0.5
"""Share of the bare paper with a channel full, under a warm lamp the red one first: the light can't be followed over
the rest, and pale fries are next. None is in good photos."""

MOST_CLIPPED_FRIES = 0.2
"""Share of the fries' pixels with a channel full: shine takes a few percent, and is left out of their colour."""

MOST_WHITE_PHOTO = 0.2
"""Share of a photo without a card that is pure white; a plate burnt out alone takes a tenth."""

_BRIGHT_PATCH = 0.7
_PATCH_IS_CLIPPED_FROM = 0.1


def check_sheet_exposure(patch_rgb: FloatArray, patch_clipped: FloatArray, *, paper_clipped: float = 0.0) -> None:
    """Refuse a photo whose card is too dark or too bright.

    Parameters
    ----------
    patch_rgb
        (n, 3) mean linear light of each patch, 0 to 1.
    patch_clipped
        (n,) share of each patch's pixels with a channel at an end of its range.
    paper_clipped
        Share of the bare paper with a channel full.

    Raises
    ------
    PhotoQualityPoor
        `photo_underexposed` or `photo_overexposed`.
    """
    brightest = np.asarray(patch_rgb).max(axis=1)
    if brightest.max() < LEAST_WHITE:
        raise _underexposed("the card's white")
    burnt = (brightest >= _BRIGHT_PATCH) & (np.asarray(patch_clipped) > _PATCH_IS_CLIPPED_FROM)
    if burnt.mean() > MOST_CLIPPED_PATCHES:
        raise _overexposed(f"{int(burnt.sum())} of the card's {burnt.size} patches are")
    if paper_clipped > MOST_CLIPPED_PAPER:
        raise _overexposed("the card's white paper is")


def check_fries_exposure(fries: Exposure) -> None:
    """Refuse a photo whose fries are burnt out: `exposure(photo.pixels[mask])` with the mask of all fries.

    Raises
    ------
    PhotoQualityPoor
        `photo_overexposed`.
    """
    if fries.clipped_share > MOST_CLIPPED_FRIES:
        raise _overexposed(f"{fries.clipped_share:.0%} of what shows of the fries is")


def check_sharpness(pixels: PixelArray, squares_px: FloatArray, *, square_mm: float) -> float:
    """Refuse a photo whose card is blurred; else the blur's standard deviation in its worst direction, mm.

    Parameters
    ----------
    pixels
        (h, w, 3), the whole photo.
    squares_px
        (n, 4, 2) corners of the tags' black squares as found.
    square_mm
        How large those squares are on the sheet.

    Raises
    ------
    PhotoQualityPoor
        `photo_blurred`. Squares without any contrast give nan and no refusal: exposure is to be judged first.
    """
    sides = np.linalg.norm(np.roll(squares_px, -1, axis=1) - squares_px, axis=2)
    blur_mm = edge_blur_px(pixels, squares_px) * square_mm / float(sides.mean())
    if blur_mm > MOST_BLUR_MM:
        raise _blurred(f"edges on the card are smeared over {2.563 * blur_mm:.1f} mm")
    return blur_mm


def check_without_card(pixels: PixelArray) -> None:
    """Refuse a photo in which no card was found, if it is so dark, bright or blurred that none could be.

    Raises
    ------
    PhotoQualityPoor
        `photo_underexposed`, `photo_overexposed` or `photo_blurred`. Returning means: the photo is good enough, the
        card is what is missing.
    """
    step = max(1, min(pixels.shape[:2]) // 500)
    whole = exposure(pixels[::step, ::step])
    if whole.bright < LEAST_WHITE:
        raise _underexposed("its brightest part")
    if whole.white_share > MOST_WHITE_PHOTO:
        raise _overexposed(f"{whole.white_share:.0%} of it is")
    if overall_blur(pixels) > MOST_OVERALL_BLUR:
        raise _blurred("no edge in it is sharp")


def _underexposed(what: str) -> PhotoQualityPoor:
    return PhotoQualityPoor(
        f"The photo is too dark: {what} is far from white.",
        hint="Put on more light or move the plate to a brighter place, and take it again. No flash: fries shine in it.",
        code="photo_underexposed",
    )


def _overexposed(what: str) -> PhotoQualityPoor:
    return PhotoQualityPoor(
        f"The photo is too bright: {what} burnt out.",
        hint="In the camera, tap on the card's white, slide the brightness down and take it again, without flash.",
        code="photo_overexposed",
    )


def _blurred(what: str) -> PhotoQualityPoor:
    return PhotoQualityPoor(
        f"The photo is blurred: {what}.",
        hint="Hold the phone in both hands, tap on the plate to focus, keep still and take it again in more light.",
        code="photo_blurred",
    )
