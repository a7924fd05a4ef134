"""Drawing sheets: a vector PDF to print from, and a picture to look at or to print."""

from collections.abc import Callable, Iterable, Sequence
from datetime import UTC, datetime, time

import cv2
import numpy as np
from fpdf import FPDF
from fpdf.prefs import ViewerPreferences
from PIL import Image, ImageDraw, ImageFont

from grader.arrays import ByteArray, FloatArray
from grader.card.advice import draw_advice
from grader.card.artwork import BLACK, PAPER, Artwork, Fill, artwork, rule_fills
from grader.card.imprint import Imprint
from grader.card.model import Layout, Rectangle
from grader.card.papers import CROP_GAP_MM, CROP_MM, PagePlan, Paper, plan_page
from grader.card.small_print import TYPEFACES
from grader.card.zones import RULE_MM
from grader.errors import GraderError

LabToSrgb8 = Callable[[FloatArray], ByteArray]
"""(n, 3) CIELAB (D65) to (n, 3) sRGB bytes, clipped to what sRGB can show: the colour room's."""

_CROP_LINE_MM = 0.15
_POINTS_PER_MM = 72 / 25.4
_WORDS_BELOW_RULE = (
    f"Before you cut: measure the rule above and the one at the left. Each must be {RULE_MM:.1f} mm, give or take 0.5.",
    "If not, the printer stretched the page: set it to 100 % (actual size) and print again. Then cut along the marks.",
)


class SheetNotForPrinting(GraderError, ValueError):
    """A sheet that is only read in photos."""


def draw_sheets_pdf(layout: Layout, lab_to_srgb8: LabToSrgb8, *, paper: Paper, imprints: Sequence[Imprint]) -> bytes:
    """One print run as a vector PDF in true size: a sheet for each imprint, then a page of advice.

    Paper is left bare, black is black, and patches carry the sRGB of their colour as seen against the paper; what a
    printer makes of it is to be measured, not believed.

    Raises
    ------
    SheetNotForPrinting
        The layout is not `printable`: the tags of a new print would stand for colours that it can't have.
    SheetDoesNotFit
        The paper is too small.
    ValueError
        There are no imprints.
    """
    if not layout.printable:
        raise SheetNotForPrinting(
            f"The {layout.name} is only read in photos, not printed.", hint="Print one of the sheets that `list` names."
        )
    if not imprints:
        raise ValueError("a print run has at least one sheet")
    plan = plan_page(layout, paper)
    pdf = _new_pdf(layout, plan, imprints)
    per_page = len(plan.corners_mm)
    for start in range(0, len(imprints), per_page):
        _draw_page(pdf, layout, lab_to_srgb8, plan, imprints[start : start + per_page])
    draw_advice(pdf, layout, imprints, (paper.width_mm, paper.height_mm))
    return bytes(pdf.output())


def draw_sheet_png(
    layout: Layout,
    lab_to_srgb8: LabToSrgb8,
    *,
    px_per_mm: float,
    imprint: Imprint | None = None,
    to_print: bool = False,
) -> ByteArray:
    """(h, w, 3) sRGB picture of a sheet: as it looks in print, or `to_print`, with bare paper left white."""
    art = artwork(layout, imprint)
    inks = _inks_to_print(art, lab_to_srgb8) if to_print else lab_to_srgb8(art.inks_lab)
    width, height = round(art.width_mm * px_per_mm), round(art.height_mm * px_per_mm)
    picture = np.full((height, width, 3), inks[PAPER], np.uint8)
    for fill in art.fills:
        x0, y0, x1, y1 = (round(edge * px_per_mm) for edge in _edges(fill.area))
        picture[y0 : max(y1, y0 + 1), x0 : max(x1, x0 + 1)] = inks[fill.ink]
    black = inks[BLACK].tolist()
    cv2.fillPoly(picture, [np.rint(art.arrow_mm * px_per_mm).astype(np.int32)], black, cv2.LINE_AA)
    return _with_words(picture, art, tuple(black), px_per_mm)


def _with_words(picture: ByteArray, art: Artwork, black: tuple[int, ...], px_per_mm: float) -> ByteArray:
    image = Image.fromarray(picture)
    pen = ImageDraw.Draw(image)
    for line in art.small_print:
        typeface = ImageFont.truetype(TYPEFACES[line.weight], line.size_mm * px_per_mm)
        pen.text((line.x_mm * px_per_mm, line.y_mm * px_per_mm), line.words, fill=black, font=typeface, anchor="ls")
    return np.array(image)


def _inks_to_print(art: Artwork, lab_to_srgb8: LabToSrgb8) -> ByteArray:
    """(n, 3) sRGB to ask a printer for: white is bare paper, black all the ink there is.

    A file's white prints as paper, so every colour is asked for as it is against the paper: XYZ over the paper's XYZ.
    """
    inks = lab_to_srgb8(_against_paper(art.inks_lab, art.inks_lab[PAPER]))
    inks[PAPER], inks[BLACK] = 255, 0
    return inks


def _against_paper(lab: FloatArray, paper_lab: FloatArray) -> FloatArray:
    """(n, 3) CIELAB with the paper (3,) for its white instead of D65.

    Where XYZ / XYZn is the cube of f (L* above 8), to divide f by the paper's is to divide XYZ. Source: CIE 15.
    """
    f = _cube_roots(lab) / _cube_roots(paper_lab)
    return np.stack([116 * f[..., 1] - 16, 500 * (f[..., 0] - f[..., 1]), 200 * (f[..., 1] - f[..., 2])], axis=-1)


def _cube_roots(lab: FloatArray) -> FloatArray:
    """(..., 3) f(X / Xn), f(Y / Yn), f(Z / Zn). Source: CIE 15."""
    y = (lab[..., 0] + 16) / 116
    return np.stack([y + lab[..., 1] / 500, y, y - lab[..., 2] / 200], axis=-1)


def _edges(area: Rectangle) -> tuple[float, float, float, float]:
    return area.x_mm, area.y_mm, area.x_mm + area.width_mm, area.y_mm + area.height_mm


def _new_pdf(layout: Layout, plan: PagePlan, imprints: Sequence[Imprint]) -> FPDF:
    pdf = FPDF(unit="mm", format=(plan.width_mm, plan.height_mm))
    # The day of printing, not the moment: one print run is one file, byte for byte.
    pdf.set_creation_date(datetime.combine(imprints[0].printed, time(), tzinfo=UTC))
    pdf.set_title(f"{layout.name}, print run {imprints[0].serial.run}")
    pdf.set_auto_page_break(auto=False)
    pdf.set_margin(0)
    for weight, file in TYPEFACES.items():
        pdf.add_font("words", style="B" if weight == "bold" else "", fname=file)
    pdf.viewer_preferences = ViewerPreferences(print_scaling="None", duplex="Simplex")
    return pdf


def _draw_page(
    pdf: FPDF, layout: Layout, lab_to_srgb8: LabToSrgb8, plan: PagePlan, imprints: Sequence[Imprint]
) -> None:
    pdf.add_page(format=(plan.width_mm, plan.height_mm))
    for imprint, (left, top) in zip(imprints, plan.corners_mm, strict=False):
        art = artwork(layout, imprint)
        _draw_sheet(pdf, art, _inks_to_print(art, lab_to_srgb8).tolist(), left, top)
        _draw_crop_marks(pdf, left, top, art.width_mm, art.height_mm)
    pdf.set_fill_color(0)
    for rule in plan.rules:
        _draw_fills(pdf, rule_fills(rule), 0, 0)
    if plan.rules:
        pdf.set_font("words", size=2.6 * _POINTS_PER_MM)
        level = plan.rules[0]
        for k, words in enumerate(_WORDS_BELOW_RULE):
            pdf.text(level.x_mm, level.y_mm + level.height_mm + 5 + 4 * k, words)


def _draw_sheet(pdf: FPDF, art: Artwork, inks: list[list[int]], left: float, top: float) -> None:
    for fill in art.fills:
        pdf.set_fill_color(*inks[fill.ink])
        _draw_fills(pdf, [fill], left, top)
    pdf.set_fill_color(*inks[BLACK])
    pdf.set_text_color(*inks[BLACK])
    pdf.polygon([(left + x, top + y) for x, y in art.arrow_mm.tolist()], style="F")
    for line in art.small_print:
        pdf.set_font("words", style="B" if line.weight == "bold" else "", size=line.size_mm * _POINTS_PER_MM)
        pdf.text(left + line.x_mm, top + line.y_mm, line.words)


def _draw_fills(pdf: FPDF, fills: Iterable[Fill], left: float, top: float) -> None:
    for fill in fills:
        area = fill.area
        pdf.rect(left + area.x_mm, top + area.y_mm, area.width_mm, area.height_mm, style="F")


def _draw_crop_marks(pdf: FPDF, left: float, top: float, width: float, height: float) -> None:
    """Two short lines at each corner, their middles along the cuts, clear of the sheet itself."""
    pdf.set_fill_color(0)
    half = _CROP_LINE_MM / 2
    for x, before_x in ((left, True), (left + width, False)):
        for y, before_y in ((top, True), (top + height, False)):
            level = x - CROP_GAP_MM - CROP_MM if before_x else x + CROP_GAP_MM
            upright = y - CROP_GAP_MM - CROP_MM if before_y else y + CROP_GAP_MM
            pdf.rect(level, y - half, CROP_MM, _CROP_LINE_MM, style="F")
            pdf.rect(x - half, upright, _CROP_LINE_MM, CROP_MM, style="F")
