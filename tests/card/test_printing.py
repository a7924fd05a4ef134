"""The drawn pictures read back: tags by OpenCV's own detector, colours pixel by pixel, codes by OpenCV's own reader."""

from datetime import date

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from grader.arrays import ByteArray
from grader.card import Imprint, Serial, load_layouts
from grader.card.artwork import artwork
from grader.card.model import Layout
from grader.card.printing import draw_sheet_png
from grader.colour.cie import lab_to_srgb8

LAYOUTS = load_layouts()
PRINTABLE = [layout for layout in LAYOUTS if layout.printable]
IMPRINT = Imprint(serial=Serial("K7Q2X", 14), printed=date(2026, 11, 25), renew_by=date(2027, 5, 25))


def key_of(layout: Layout) -> str:
    return layout.key


EVERY_LAYOUT = pytest.mark.parametrize("layout", LAYOUTS, ids=key_of)
EVERY_PRINTABLE = pytest.mark.parametrize("layout", PRINTABLE, ids=key_of)


def detected(picture: ByteArray) -> dict[int, NDArray[np.float64]]:
    """Tags by OpenCV alone: number to corners, px."""
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11))
    corners, numbers, _ = detector.detectMarkers(cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY))
    assert numbers is not None
    return {
        int(n): np.asarray(c, float).reshape(4, 2)
        for n, c in zip(np.asarray(numbers).reshape(-1), corners, strict=True)
    }


def middle(picture: ByteArray, layout: Layout, number: int, px_per_mm: int) -> ByteArray:
    """The colour in the middle of a patch."""
    area = next(patch.area for patch in layout.patches if patch.number == number)
    x, y = area.x_mm + area.width_mm / 2, area.y_mm + area.height_mm / 2
    return np.asarray(picture[int(y * px_per_mm), int(x * px_per_mm)])


@EVERY_LAYOUT
def test_every_tag_of_a_picture_is_found_in_its_place_by_opencv(layout: Layout) -> None:
    found = detected(draw_sheet_png(layout, lab_to_srgb8, px_per_mm=8))
    assert set(found) == {tag.number for tag in layout.tags}
    for tag in layout.tags:
        np.testing.assert_allclose(found[tag.number][0], [tag.x_mm * 8, tag.y_mm * 8], atol=1)
        np.testing.assert_allclose(found[tag.number][2], [tag.x_mm * 8 + 143, tag.y_mm * 8 + 143], atol=1)


@EVERY_LAYOUT
def test_patches_and_paper_of_a_picture_have_their_colour(layout: Layout) -> None:
    picture = draw_sheet_png(layout, lab_to_srgb8, px_per_mm=4)
    assert picture.shape == (layout.height_mm * 4, layout.width_mm * 4, 3)
    for patch in layout.patches:
        np.testing.assert_array_equal(middle(picture, layout, patch.number, 4), lab_to_srgb8(np.array(patch.lab)))
    np.testing.assert_array_equal(picture[3, 3], lab_to_srgb8(np.array(layout.base_lab)))


@EVERY_PRINTABLE
def test_to_print_the_paper_is_white_and_every_patch_as_it_is_against_the_paper(layout: Layout) -> None:
    picture = draw_sheet_png(layout, lab_to_srgb8, px_per_mm=4, to_print=True)
    assert (picture[3, 3] == 255).all()
    assert picture.min() == 0
    paper = luminance(layout.base_lab)
    for patch in layout.patches:
        red, green, blue = (linear(int(v)) for v in middle(picture, layout, patch.number, 4))
        # IEC 61966-2-1: Y of sRGB primaries; a step of an 8 bit value is up to 0.9 % of white.
        y = 0.2126 * red + 0.7152 * green + 0.0722 * blue
        assert y == pytest.approx(luminance(patch.lab) / paper, abs=0.006)


def luminance(lab: tuple[float, float, float]) -> float:
    """Y, white = 1, above L* 8. Source: CIE 15."""
    return ((lab[0] + 16) / 116) ** 3


def linear(value: int) -> float:
    """Light of an 8 bit sRGB value. Source: IEC 61966-2-1."""
    share = value / 255
    return share / 12.92 if share <= 0.04045 else float(((share + 0.055) / 1.055) ** 2.4)


@EVERY_PRINTABLE
def test_a_patch_of_bare_paper_is_framed_and_left_bare(layout: Layout) -> None:
    bare = [patch for patch in layout.patches if patch.lab == layout.base_lab]
    assert len(bare) == 1
    area = bare[0].area
    picture = draw_sheet_png(layout, lab_to_srgb8, px_per_mm=10, to_print=True)
    x0, y0, x1, y1 = (
        round(v * 10) for v in (area.x_mm, area.y_mm, area.x_mm + area.width_mm, area.y_mm + area.width_mm)
    )
    assert (picture[y0 + 1 : y1 - 1, x0 + 1 : x1 - 1] == 255).all()
    assert (picture[y0, x0:x1] == 0).all()
    assert (picture[y1 - 1, x0:x1] == 0).all()
    assert (picture[y0:y1, x0] == 0).all()
    assert (picture[y0:y1, x1 - 1] == 0).all()


@EVERY_PRINTABLE
def test_the_code_of_a_picture_says_layout_and_serial_to_opencv(layout: Layout) -> None:
    picture = draw_sheet_png(layout, lab_to_srgb8, px_per_mm=10, imprint=IMPRINT)
    assert layout.qr is not None
    x, y, side = layout.qr.x_mm * 10, layout.qr.y_mm * 10, layout.qr.width_mm * 10
    cut = picture[int(y - 36) : int(y + side + 36), max(int(x - 36), 0) : int(x + side + 36)]
    text, *_ = cv2.QRCodeDetector().detectAndDecode(np.ascontiguousarray(cut))
    assert text == f"{layout.key.upper()} K7Q2X-014-T"


@EVERY_LAYOUT
def test_without_an_imprint_there_is_no_code_and_no_date(layout: Layout) -> None:
    words = " ".join(line.words for line in artwork(layout).small_print)
    assert layout.key in words
    assert "K7Q2X" not in words
    assert "printed" not in words


def test_a_drawing_is_the_same_each_time() -> None:
    layout = LAYOUTS[0]
    np.testing.assert_array_equal(
        draw_sheet_png(layout, lab_to_srgb8, px_per_mm=5), draw_sheet_png(layout, lab_to_srgb8, px_per_mm=5)
    )
