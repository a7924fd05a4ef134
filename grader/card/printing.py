"""Drawing a sheet: a vector PDF to print from, and a picture to look at."""

from collections.abc import Callable
from datetime import UTC, datetime

import cv2
import numpy as np
from fpdf import FPDF

from grader.arrays import ByteArray, FloatArray
from grader.card.artwork import BLACK, PAPER, Artwork, artwork
from grader.card.model import Layout, Rectangle

LabToSrgb8 = Callable[[FloatArray], ByteArray]
"""(n, 3) CIELAB (D65) to (n, 3) sRGB bytes, clipped to what sRGB can show: the colour room's."""

_A4_MM = (210.0, 297.0)
_CROP_MM, _CROP_GAP_MM, _CROP_LINE_MM = 6.0, 2.0, 0.15
_POINTS_PER_MM = 72 / 25.4
_DRAWN_AT = datetime(2000, 1, 1, tzinfo=UTC)
"""A fixed date, so that one layout is one file, byte for byte."""


def draw_sheet_pdf(layout: Layout, lab_to_srgb8: LabToSrgb8) -> bytes:
    """A sheet as a vector PDF in true size: a mat fills its page, a card lies on an A4 page with crop marks.

    Patches carry the sRGB of their colour; what a printer makes of it is to be measured, not believed. Paper is bare.
    """
    art = artwork(layout)
    inks = lab_to_srgb8(art.inks_lab).tolist()
    inks[PAPER], inks[BLACK] = [255, 255, 255], [0, 0, 0]
    on_a4 = layout.kind == "card"
    page = _A4_MM if on_a4 else (art.width_mm, art.height_mm)
    pdf = FPDF(unit="mm", format=page)
    pdf.set_creation_date(_DRAWN_AT)
    pdf.set_title(layout.name)
    pdf.set_auto_page_break(auto=False)
    pdf.add_page()
    left, top = ((page[0] - art.width_mm) / 2, (page[0] - art.width_mm) / 2) if on_a4 else (0.0, 0.0)
    _draw_on_page(pdf, art, inks, left, top)
    if on_a4:
        _draw_crop_marks(pdf, left, top, art.width_mm, art.height_mm)
    return bytes(pdf.output())


def draw_sheet_png(layout: Layout, lab_to_srgb8: LabToSrgb8, *, px_per_mm: float) -> ByteArray:
    """(h, w, 3) sRGB picture of a sheet as it looks in print: paper and black in their own colours."""
    art = artwork(layout)
    inks = lab_to_srgb8(art.inks_lab)
    width, height = round(art.width_mm * px_per_mm), round(art.height_mm * px_per_mm)
    picture = np.full((height, width, 3), inks[PAPER], np.uint8)
    for fill in art.fills:
        x0, y0, x1, y1 = (round(edge * px_per_mm) for edge in _edges(fill.area))
        picture[y0 : max(y1, y0 + 1), x0 : max(x1, x0 + 1)] = inks[fill.ink]
    black = inks[BLACK].tolist()
    cv2.fillPoly(picture, [np.rint(art.arrow_mm * px_per_mm).astype(np.int32)], black, cv2.LINE_AA)
    for line in art.small_print:
        scale = cv2.getFontScaleFromHeight(cv2.FONT_HERSHEY_SIMPLEX, max(round(line.height_mm * px_per_mm * 0.6), 1))
        where = (round(line.x_mm * px_per_mm), round(line.y_mm * px_per_mm))
        cv2.putText(picture, line.words, where, cv2.FONT_HERSHEY_SIMPLEX, scale, black, 1, cv2.LINE_AA)
    return picture


def _edges(area: Rectangle) -> tuple[float, float, float, float]:
    return area.x_mm, area.y_mm, area.x_mm + area.width_mm, area.y_mm + area.height_mm


def _draw_on_page(pdf: FPDF, art: Artwork, inks: list[list[int]], left: float, top: float) -> None:
    for fill in art.fills:
        pdf.set_fill_color(*inks[fill.ink])
        area = fill.area
        pdf.rect(left + area.x_mm, top + area.y_mm, area.width_mm, area.height_mm, style="F")
    pdf.set_fill_color(*inks[BLACK])
    pdf.set_text_color(*inks[BLACK])
    pdf.polygon([(left + x, top + y) for x, y in art.arrow_mm.tolist()], style="F")
    for line in art.small_print:
        pdf.set_font("helvetica", size=line.height_mm * _POINTS_PER_MM)
        pdf.text(left + line.x_mm, top + line.y_mm, line.words)


def _draw_crop_marks(pdf: FPDF, left: float, top: float, width: float, height: float) -> None:
    """Two short lines at each corner, pointing along the cuts, clear of the card itself."""
    pdf.set_line_width(_CROP_LINE_MM)
    for x, out_x in ((left, -1), (left + width, 1)):
        for y, out_y in ((top, -1), (top + height, 1)):
            pdf.line(x + out_x * _CROP_GAP_MM, y, x + out_x * (_CROP_GAP_MM + _CROP_MM), y)
            pdf.line(x, y + out_y * _CROP_GAP_MM, x, y + out_y * (_CROP_GAP_MM + _CROP_MM))
