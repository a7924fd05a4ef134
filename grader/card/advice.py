"""The page of advice that goes with a print run: how to print, cut, use, keep and renew its sheets."""

from collections.abc import Sequence

from fpdf import FPDF

from grader.card.imprint import Imprint
from grader.card.model import Layout

_MARGIN_MM = 18.0
_WIDEST_MM = 180.0
_BODY_POINTS, _HEADING_POINTS, _TITLE_POINTS = 10.0, 11.5, 16.0
_LINE_MM = 4.9

# Advice on paper, ink, drying, lamination and keeping is common practice, no source.
_PRINT = """
Paper: matt, white, heavy (about 200 g/m²), without optical brighteners. Under an ultraviolet lamp, as tills have for
banknotes, brightened paper glows; this must stay dull. A brightened white changes from one kitchen lamp to the next.

Ink: pigment ink fades slowest. Dye ink and toner will do, but print anew twice as often.

In the print window: 100 % or actual size, best quality, the paper type that you loaded, colour management off, no
toner saving, one side only.

Measure the 100 mm rules, one along the page and one across it, with a ruler. If one is off by more than half a
millimetre, every length measured with this sheet will be wrong by as much: print again at 100 %.

Let the print dry for a day, lying open, before you cut it, measure it or use it. Its colours move until then.

Cut along the crop marks. Lamination: matt or none. A glossy film mirrors lamps, and that hides the colours.

The patch with the thin frame is bare paper, on purpose: it is the lightest that a print can be.
"""
_USE_A_CARD = """
Lay the card flat beside the plate, as high as the fries lie: never on food, and outside the area where food is
prepared. Paper and ink are not made to touch food.
"""
_USE_A_MAT = """
Lay the mat flat where you photograph, outside the area where food is prepared. Cover its grey field with clean, clear
film that is made for food, a fresh one for each plate.

Fries lie on the film over the field, never on the patches, the black squares or the code, and never on the paper
itself. The film must not reach over the patches either: it changes their colours.
"""
_KEEP = """
Clean, dry and flat, in the dark, in a closed folder. Light fades a print, grease and damp stain it. Touch it by its
edges. Wiping a stain off takes colour along: print a new one.
"""
_ONE_RUN = """
No printer prints colours as asked. Have one sheet of the run measured and enter its values under run {run}: they hold
for every sheet of that run. Another printer, ink, paper or setting is another run, with a name and values of its own.
Until a run has been measured, its colours show only which way things move.

Keep two sheets of the run: one in use, one in a closed envelope in the dark. Photograph both side by side now and then:
where they differ, the one in use has faded.

Print a new run by {renew_by}, or as soon as a sheet looks stained, faded or worn.
"""


def draw_advice(pdf: FPDF, layout: Layout, imprints: Sequence[Imprint], size_mm: tuple[float, float]) -> None:
    """Add the page; its paper (width, height) is that of the sheets, upright."""
    first, last = imprints[0], imprints[-1]
    pdf.add_page(format=size_mm)
    pdf.set_text_color(0)
    pdf.set_y(_MARGIN_MM)
    width = min(size_mm[0] - 2 * _MARGIN_MM, _WIDEST_MM)
    _paragraph(pdf, f"{layout.name}: how to print it and keep it", width, points=_TITLE_POINTS, bold=True)
    sheets = f"{first.serial}" if len(imprints) == 1 else f"{first.serial} to {last.serial}"
    _paragraph(pdf, f"{layout.key}, {sheets}. Printed {first.printed}, renew by {first.renew_by}.", width)
    for heading, text in (
        ("Print", _PRINT),
        ("Use", _USE_A_CARD if layout.kind == "card" else _USE_A_MAT),
        ("Keep", _KEEP),
        ("One print run, one calibration", _ONE_RUN.format(run=first.serial.run, renew_by=first.renew_by)),
    ):
        pdf.set_y(pdf.get_y() + 2.5)
        _paragraph(pdf, heading, width, points=_HEADING_POINTS, bold=True)
        for item in text.split("\n\n"):
            _item(pdf, " ".join(item.split()), width)


def _paragraph(pdf: FPDF, words: str, width: float, *, points: float = _BODY_POINTS, bold: bool = False) -> None:
    pdf.set_font("words", style="B" if bold else "", size=points)
    pdf.set_x(_MARGIN_MM)
    pdf.multi_cell(width, _LINE_MM * points / _BODY_POINTS, words, align="L", new_x="LMARGIN", new_y="NEXT")


def _item(pdf: FPDF, words: str, width: float) -> None:
    """A paragraph with a dash before it."""
    pdf.set_font("words", size=_BODY_POINTS)
    pdf.set_x(_MARGIN_MM)
    pdf.cell(5, _LINE_MM, "–")
    pdf.multi_cell(width - 5, _LINE_MM, words, align="L", new_x="LMARGIN", new_y="NEXT")
    pdf.set_y(pdf.get_y() + 0.8)
