"""The house scale for the wall, as PDF: big swatches from pale to dark, the target marked by a frame and by words."""

from datetime import UTC, date, datetime, time

import numpy as np
from fpdf import FPDF

from grader.card.small_print import TYPEFACES
from grader.colour import lab_to_srgb8
from grader.language import tr
from grader.standard.model import ColourScale, Standard

_WIDTH_MM, _HEIGHT_MM, _MARGIN_MM = 210.0, 297.0, 16.0
_TOP_MM, _BOTTOM_MM = 58.0, 44.0
_SWATCH_WIDTH_MM = 86.0


def wall_guide_pdf(standard: Standard, *, printed: date) -> bytes:
    """One A4 page in the language that is spoken now; colours as a screen shows them, and said to be."""
    pdf = FPDF(unit="mm", format=(_WIDTH_MM, _HEIGHT_MM))
    pdf.set_creation_date(datetime.combine(printed, time(), tzinfo=UTC))
    pdf.set_title(standard.name)
    pdf.set_auto_page_break(auto=False)
    pdf.set_margin(_MARGIN_MM)
    for weight, file in TYPEFACES.items():
        pdf.add_font("words", style="B" if weight == "bold" else "", fname=file)
    pdf.add_page()
    _head(pdf, standard, printed)
    _steps(pdf, standard.scale)
    _foot(pdf)
    return bytes(pdf.output())


def _head(pdf: FPDF, standard: Standard, printed: date) -> None:
    pdf.set_xy(_MARGIN_MM, _MARGIN_MM)
    pdf.set_font("words", "B", 26)
    pdf.multi_cell(0, 11, tr("How golden is golden here"), new_x="LMARGIN", new_y="NEXT")
    pdf.set_font("words", "", 12)
    told = tr("{name}, version {version}. Printed {day}.", name=standard.name, version=standard.version, day=printed)
    pdf.multi_cell(0, 6, told, new_x="LMARGIN", new_y="NEXT")


def _steps(pdf: FPDF, scale: ColourScale) -> None:
    high = (_HEIGHT_MM - _TOP_MM - _BOTTOM_MM) / len(scale.steps)
    colours = lab_to_srgb8(np.array([step.lab for step in scale.steps]))
    for row, (step, rgb) in enumerate(zip(scale.steps, colours.tolist(), strict=True)):
        y = _TOP_MM + row * high
        pdf.set_fill_color(*rgb)
        pdf.rect(_MARGIN_MM, y, _SWATCH_WIDTH_MM, high, style="F")
        pdf.set_xy(_MARGIN_MM + _SWATCH_WIDTH_MM + 22, y + high / 2 - 7)
        pdf.set_font("words", "B", 20)
        pdf.cell(0, 8, f"{row + 1}  {step.name}", new_x="LEFT", new_y="NEXT")
    _target(pdf, scale, high)


def _target(pdf: FPDF, scale: ColourScale, high: float) -> None:
    """A bracket beside the swatches, and a word; step n's anchor is the middle of its swatch."""
    top, bottom = (_TOP_MM + (place - 0.5) * high for place in (scale.target_from, scale.target_to))
    x = _MARGIN_MM + _SWATCH_WIDTH_MM + 5
    pdf.set_draw_color(22, 101, 58)
    pdf.set_line_width(2)
    pdf.polyline([(x, top), (x + 8, top), (x + 8, bottom), (x, bottom)])
    words = tr("our target")
    pdf.set_font("words", "B", 13)
    with pdf.rotation(90, x + 13, (top + bottom) / 2):
        pdf.set_xy(x + 13 - pdf.get_string_width(words) / 2, (top + bottom) / 2)
        pdf.cell(text=words)


def _foot(pdf: FPDF) -> None:
    pdf.set_xy(_MARGIN_MM, _HEIGHT_MM - _BOTTOM_MM + 8)
    pdf.set_font("words", "", 11)
    lines = (
        tr("For viewing only: no printer hits these colours. What counts is the photo beside the card."),
        tr("Look in one even light, never under the heat lamp, before the fries are seasoned."),
        tr("Colour is how fries look: it says nothing of whether they are cooked through, or fit to eat."),
    )
    pdf.multi_cell(0, 5.5, "\n".join(lines), new_x="LMARGIN", new_y="NEXT")
