"""The drawn sheets read back: the picture by OpenCV's own detector, the PDF by its own drawing operators."""

import re
import zlib

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from grader.arrays import ByteArray
from grader.card import draw_sheet_pdf, draw_sheet_png, load_layouts
from grader.card.model import Layout
from grader.card.zones import rule_area
from grader.colour.cie import lab_to_srgb8

LAYOUTS = load_layouts()
MM_PER_POINT = 25.4 / 72
EVERY_LAYOUT = pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.key)


def detected(picture: ByteArray) -> dict[int, NDArray[np.float64]]:
    """Tags by OpenCV alone: number to corners, px."""
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11))
    corners, numbers, _ = detector.detectMarkers(cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY))
    assert numbers is not None
    return {
        int(n): np.asarray(c, float).reshape(4, 2)
        for n, c in zip(np.asarray(numbers).reshape(-1), corners, strict=True)
    }


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
        x, y = (patch.area.x_mm + 7) * 4, (patch.area.y_mm + 7) * 4
        np.testing.assert_array_equal(picture[int(y), int(x)], lab_to_srgb8(np.array(patch.lab)))
    np.testing.assert_array_equal(picture[3, 3], lab_to_srgb8(np.array(layout.base_lab)))


def test_a_drawing_is_the_same_each_time() -> None:
    layout = LAYOUTS[0]
    assert draw_sheet_pdf(layout, lab_to_srgb8) == draw_sheet_pdf(layout, lab_to_srgb8)
    np.testing.assert_array_equal(
        draw_sheet_png(layout, lab_to_srgb8, px_per_mm=5), draw_sheet_png(layout, lab_to_srgb8, px_per_mm=5)
    )


def operators(pdf: bytes) -> str:
    """The drawing operators of the page."""
    streams = re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL)
    return next(text for s in streams if " re" in (text := zlib.decompress(s).decode("latin-1")))


def page_mm(pdf: bytes) -> NDArray[np.float64]:
    """(2,) size of the page."""
    box = re.search(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)
    assert box is not None
    return np.array([float(box[1]), float(box[2])]) * MM_PER_POINT


def rectangles_mm(pdf: bytes) -> list[tuple[tuple[int, int, int], NDArray[np.float64]]]:
    """Every filled rectangle in the order drawn: its colour, and left, top, width, height, mm, from the top left."""
    height = page_mm(pdf)[1]
    drawn, colour = [], (0, 0, 0)
    number = r"-?[\d.]+"
    for found in re.finditer(rf"({number}(?: {number})*) (rg|g|re)\b", operators(pdf)):
        values = [float(v) for v in found[1].split()]
        if found[2] == "re":
            x, y, w, h = np.array(values[-4:]) * MM_PER_POINT
            drawn.append((colour, np.array([min(x, x + w), height - max(y, y + h), abs(w), abs(h)])))
        else:
            scaled = [round(v * 255) for v in values[-3:]]
            colour = (scaled[0], scaled[-1] if len(scaled) == 1 else scaled[1], scaled[-1])
    return drawn


def raster(pdf: bytes, px_per_mm: int) -> ByteArray:
    width, height = np.rint(page_mm(pdf) * px_per_mm).astype(int)
    page = np.full((height, width, 3), 255, np.uint8)
    for colour, (x, y, w, h) in rectangles_mm(pdf):
        x0, y0, x1, y1 = np.rint(np.array([x, y, x + w, y + h]) * px_per_mm).astype(int)
        page[y0:y1, x0:x1] = colour
    return page


@EVERY_LAYOUT
def test_a_pdf_has_the_sheet_in_true_size(layout: Layout) -> None:
    pdf = draw_sheet_pdf(layout, lab_to_srgb8)
    sheet = np.array([layout.width_mm, layout.height_mm])
    page = np.array([210.0, 297.0]) if layout.kind == "card" else sheet
    np.testing.assert_allclose(page_mm(pdf), page, atol=0.01)
    origin = np.array([31.0, 31.0]) if layout.kind == "card" else np.zeros(2)
    found = detected(raster(pdf, 8))
    assert set(found) == {tag.number for tag in layout.tags}
    for tag in layout.tags:
        np.testing.assert_allclose(found[tag.number][0], (origin + np.array([tag.x_mm, tag.y_mm])) * 8, atol=1.5)
    drawn = rectangles_mm(pdf)
    for patch in layout.patches:
        area = patch.area
        place = [*(origin + np.array([area.x_mm, area.y_mm])), area.width_mm, area.height_mm]
        colours = [colour for colour, where in drawn if np.allclose(where, place, atol=0.01)]
        assert colours == [tuple(lab_to_srgb8(np.array(patch.lab)).tolist())]


@EVERY_LAYOUT
def test_the_rule_is_100_mm_long(layout: Layout) -> None:
    ticks = [where for _, where in rectangles_mm(draw_sheet_pdf(layout, lab_to_srgb8)) if where[2] < 0.2]
    middles = np.sort([where[0] + where[2] / 2 for where in ticks])
    assert len(middles) == 101
    assert middles[-1] - middles[0] == pytest.approx(100, abs=0.01)
    np.testing.assert_allclose(np.diff(middles), 1, atol=0.01)
    area = rule_area(layout)
    assert all(where[3] <= area.height_mm + 0.01 for where in ticks)


@EVERY_LAYOUT
def test_the_small_print_says_which_sheet_which_way_up_and_to_measure(layout: Layout) -> None:
    words = " ".join(re.findall(r"\((.*?)\) Tj", operators(draw_sheet_pdf(layout, lab_to_srgb8))))
    assert f"{layout.key}. This way up." in words
    assert "100 mm" in words


def test_a_card_has_crop_marks_along_its_cuts() -> None:
    card = next(layout for layout in LAYOUTS if layout.key == "card-a6")
    lines = re.findall(r"([\d.]+) ([\d.]+) m ([\d.]+) ([\d.]+) l S", operators(draw_sheet_pdf(card, lab_to_srgb8)))
    ends = np.array(lines, float) * MM_PER_POINT
    assert len(ends) == 8
    upright = ends[np.isclose(ends[:, 0], ends[:, 2])]
    level = ends[np.isclose(ends[:, 1], ends[:, 3])]
    assert sorted(set(upright[:, 0].round(1))) == [31.0, 31.0 + card.width_mm]
    assert sorted(set((297 - level[:, 1]).round(1))) == [31.0, 31.0 + card.height_mm]
