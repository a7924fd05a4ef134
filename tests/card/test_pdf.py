"""The PDFs read by PDFium, which knows nothing of how they were drawn: boxes, vectors, fonts, words, lengths."""

import re
from collections import Counter
from collections.abc import Iterator
from datetime import date
from functools import cache

import cv2
import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as pdfium_c
import pytest
from numpy.typing import NDArray

from grader.arrays import ByteArray
from grader.card import chosen_paper, imprint_run, load_layouts, papers_for, plan_page
from grader.card.model import Layout
from grader.card.papers import PRINTER_MARGIN_MM, Paper
from grader.card.printing import SheetNotForPrinting, draw_sheets_pdf
from grader.colour.cie import lab_to_srgb8

MM_PER_POINT = 25.4 / 72
PX_PER_MM = 6
LAYOUTS = {layout.key: layout for layout in load_layouts()}
PRINTABLE = [layout for layout in LAYOUTS.values() if layout.printable]
ON_EVERY_PAPER = pytest.mark.parametrize(
    ("layout", "paper"),
    [(layout, paper) for layout in PRINTABLE for paper in papers_for(layout)],
    ids=lambda one: one.key,
)
DAY = date(2026, 11, 25)


@cache
def pdf_of(layout: Layout, paper: Paper, count: int | None = None) -> bytes:
    count = count or len(plan_page(layout, paper).corners_mm)
    run = imprint_run("K7Q2X", first=1, count=count, printed=DAY, months=6)
    return draw_sheets_pdf(layout, lab_to_srgb8, paper=paper, imprints=run)


def objects(page: pdfium.PdfPage, kind: int) -> Iterator[pdfium.PdfObject]:
    return (found for found in page.get_objects() if found.type == kind)


def boxes_mm(page: pdfium.PdfPage) -> NDArray[np.float64]:
    """(n, 4) every drawn path: left, top, width, height, mm from the page's top left."""
    height = page.get_height()
    edges = np.array([path.get_bounds() for path in objects(page, pdfium_c.FPDF_PAGEOBJ_PATH)])
    left, bottom, right, top = edges.T
    return np.stack([left, height - top, right - left, top - bottom], axis=-1) * MM_PER_POINT


def raster(page: pdfium.PdfPage, px_per_mm: float) -> ByteArray:
    return np.asarray(page.render(scale=px_per_mm * MM_PER_POINT).to_numpy())[..., :3][..., ::-1]


@ON_EVERY_PAPER
def test_pages_have_the_papers_size_and_all_sheets_fit_on_one(layout: Layout, paper: Paper) -> None:
    document = pdfium.PdfDocument(pdf_of(layout, paper))
    sizes = [np.array(page.get_size()) * MM_PER_POINT for page in document]
    assert len(sizes) == 2
    np.testing.assert_allclose(sorted(sizes[0]), [paper.width_mm, paper.height_mm], atol=0.01)
    np.testing.assert_allclose(sizes[1], [paper.width_mm, paper.height_mm], atol=0.01)
    for page in document:
        assert page.get_mediabox() == page.get_cropbox() == page.get_trimbox()


@ON_EVERY_PAPER
def test_nothing_is_printed_where_a_printer_cannot_reach(layout: Layout, paper: Paper) -> None:
    for page in pdfium.PdfDocument(pdf_of(layout, paper)):
        picture = raster(page, 4)
        edge = int(PRINTER_MARGIN_MM * 4) - 1
        picture[edge:-edge, edge:-edge] = 255
        assert (picture == 255).all()


@ON_EVERY_PAPER
def test_every_patch_is_a_vector_in_true_size_and_in_its_place(layout: Layout, paper: Paper) -> None:
    page = pdfium.PdfDocument(pdf_of(layout, paper))[0]
    assert not list(objects(page, pdfium_c.FPDF_PAGEOBJ_IMAGE))
    drawn = boxes_mm(page)
    for left, top in plan_page(layout, paper).corners_mm:
        for patch in layout.patches:
            if patch.lab == layout.base_lab:
                continue
            area = patch.area
            place = [left + area.x_mm, top + area.y_mm, area.width_mm, area.height_mm]
            assert np.isclose(drawn, place, atol=0.02).all(axis=1).sum() == 1


@ON_EVERY_PAPER
def test_every_rule_is_100_mm_long_and_there_is_one_each_way(layout: Layout, paper: Paper) -> None:
    drawn = boxes_mm(pdfium.PdfDocument(pdf_of(layout, paper))[0])
    level, upright = rules_mm(drawn, across=0), rules_mm(drawn, across=1)
    sheets = len(plan_page(layout, paper).corners_mm)
    # A mat carries both rules; a card one, and its page one each way.
    assert (len(level), len(upright)) == ((sheets + 1, 1) if layout.kind == "card" else (sheets, sheets))
    for ticks in (*level, *upright):
        assert len(ticks) == 101
        assert ticks[-1] - ticks[0] == pytest.approx(100.0, abs=0.005)
        np.testing.assert_allclose(np.diff(ticks), 1.0, atol=0.005)


def rules_mm(drawn: NDArray[np.float64], *, across: int) -> list[NDArray[np.float64]]:
    """Middles of the ticks of each rule along an axis (0 level, 1 upright), mm; a rule's ticks share their foot."""
    along, thick, long = across, 2 + across, 3 - across
    ticks = drawn[np.isclose(drawn[:, thick], 0.15, atol=0.01) & (drawn[:, long] > 1) & (drawn[:, long] < 4.01)]
    feet = np.round(ticks[:, 1 - across] + ticks[:, long], 1)
    rules = []
    for foot in np.unique(feet):
        middles = np.sort(ticks[feet == foot, along] + 0.075)
        rules += np.split(middles, np.flatnonzero(np.diff(middles) > 5) + 1)
    return [rule for rule in rules if len(rule) > 20]


@ON_EVERY_PAPER
def test_tags_and_codes_are_found_on_the_page_by_opencv_where_they_belong(layout: Layout, paper: Paper) -> None:
    plan = plan_page(layout, paper)
    picture = raster(pdfium.PdfDocument(pdf_of(layout, paper))[0], PX_PER_MM)
    grey = cv2.cvtColor(np.ascontiguousarray(picture), cv2.COLOR_RGB2GRAY)
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11))
    corners, numbers, _ = detector.detectMarkers(grey)
    found = Counter(np.asarray(numbers).reshape(-1).tolist())
    assert found == {tag.number: len(plan.corners_mm) for tag in layout.tags}
    numbered = zip(np.asarray(numbers).reshape(-1).tolist(), corners, strict=True)
    places = [(number, *(np.asarray(corner).reshape(4, 2)[0] / PX_PER_MM).tolist()) for number, corner in numbered]
    assert layout.qr is not None
    for k, (left, top) in enumerate(plan.corners_mm, start=1):
        for tag in layout.tags:
            off = [np.hypot(x - left - tag.x_mm, y - top - tag.y_mm) for n, x, y in places if n == tag.number]
            assert min(off) < 0.3
        x, y = round((left + layout.qr.x_mm - 3.6) * PX_PER_MM), round((top + layout.qr.y_mm - 3.6) * PX_PER_MM)
        side = round((layout.qr.width_mm + 7.2) * PX_PER_MM)
        text, *_ = cv2.QRCodeDetector().detectAndDecode(np.ascontiguousarray(grey[y : y + side, x : x + side]))
        assert text.startswith(f"{layout.key.upper()} K7Q2X-{k:03d}-")


@ON_EVERY_PAPER
def test_no_patch_is_lighter_than_the_bare_paper(layout: Layout, paper: Paper) -> None:
    page = pdfium.PdfDocument(pdf_of(layout, paper))[0]
    picture = raster(page, 4)
    left, top = plan_page(layout, paper).corners_mm[0]
    white = [
        patch.number
        for patch in layout.patches
        if (picture[int((top + patch.area.y_mm + 6) * 4), int((left + patch.area.x_mm + 6) * 4)] > 250).any()
        and patch.lab[1] ** 2 + patch.lab[2] ** 2 < 25
    ]
    assert len(white) == 1  # the bare one
    assert (picture[2, 2] == 255).all()


@ON_EVERY_PAPER
def test_crop_marks_point_along_the_cuts_and_stay_outside(layout: Layout, paper: Paper) -> None:
    drawn = boxes_mm(pdfium.PdfDocument(pdf_of(layout, paper))[0])
    middles = drawn[:, :2] + drawn[:, 2:] / 2
    marks = middles[np.isclose(np.sort(drawn[:, 2:], axis=1), [0.15, 4.0], atol=0.02).all(axis=1)]
    for left, top in plan_page(layout, paper).corners_mm:
        for x, away_x in ((left, -4), (left + layout.width_mm, 4)):
            for y, away_y in ((top, -4), (top + layout.height_mm, 4)):
                for place in ([x + away_x, y], [x, y + away_y]):
                    assert (np.linalg.norm(marks - place, axis=1) < 0.05).sum() == 1


@ON_EVERY_PAPER
def test_fonts_are_embedded_and_the_words_are_text(layout: Layout, paper: Paper) -> None:
    document = pdfium.PdfDocument(pdf_of(layout, paper))
    for page in document:
        texts = list(objects(page, pdfium_c.FPDF_PAGEOBJ_TEXT))
        assert texts
        for text in texts:
            font = pdfium_c.FPDFTextObj_GetFont(text.raw)
            assert pdfium_c.FPDFFont_GetIsEmbedded(font) == 1
    words = document[0].get_textpage().get_text_bounded()
    assert f"{layout.key} K7Q2X-001-H printed 2026-11-25 renew by 2027-05-25" in re.sub(r"\s+", " ", words)
    assert "100" in words
    assert "This way up" in words


@pytest.mark.parametrize("layout", PRINTABLE, ids=lambda one: one.key)
def test_the_advice_says_what_a_print_needs(layout: Layout) -> None:
    paper = papers_for(layout)[0]
    document = pdfium.PdfDocument(pdf_of(layout, paper, 3 * len(plan_page(layout, paper).corners_mm)))
    assert len(document) == 4
    advice = " ".join(document[3].get_textpage().get_text_bounded().split())
    for words in (
        "brighteners",
        "pigment ink",
        "colour management off",
        "dry for a day",
        "Lamination",
        "in the dark",
        "100 mm rules",
        "run K7Q2X",
        "by 2027-05-25",
        "outside the area where food is prepared",
    ):
        assert words in advice
    assert ("film" in advice and "never on the patches" in advice) == (layout.kind == "mat")


def test_a_print_run_is_the_same_file_each_time_and_asks_not_to_be_scaled() -> None:
    card = LAYOUTS["card-148"]
    run = imprint_run("K7Q2X", first=1, count=2, printed=DAY, months=6)
    pdf = pdf_of(card, chosen_paper(card, "a4"))
    assert pdf == draw_sheets_pdf(card, lab_to_srgb8, paper=chosen_paper(card, "a4"), imprints=run)
    assert b"/PrintScaling /None" in pdf
    assert b"/Duplex /Simplex" in pdf


def test_sheets_that_are_only_read_are_not_drawn_for_printing() -> None:
    a4 = chosen_paper(LAYOUTS["card-148"], "a4")
    for layout in LAYOUTS.values():
        if not layout.printable:
            assert papers_for(layout) == ()
            with pytest.raises(SheetNotForPrinting, match="only read"):
                pdf_of(layout, a4, 1)


def test_a_run_of_no_sheets_is_no_run() -> None:
    card = LAYOUTS["card-148"]
    with pytest.raises(ValueError, match="at least one"):
        draw_sheets_pdf(card, lab_to_srgb8, paper=chosen_paper(card, None), imprints=())
