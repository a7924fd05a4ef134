"""A page to print and to write on: a title, steps, tables with room to fill in, notes; as PDF, in any language."""

from collections.abc import Sequence
from dataclasses import dataclass

from fpdf import FPDF
from fpdf.enums import TableBordersLayout
from fpdf.fonts import FontFace

from grader.card.small_print import TYPEFACES
from grader.language import tr

_MARGIN_MM = 14.0
_BODY, _SMALL, _HEADING, _TITLE = 9.5, 7.5, 11.5, 16.0
_LINE_MM, _ROW_MM = 4.6, 5.8
_KEPT_WHOLE = 24
"""A table of no more rows isn't torn apart by the end of a page."""
_GREY = 90


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A sentence and who says so; without a source it holds no figure."""

    words: str
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """What to do, in order."""

    heading: str
    steps: tuple[Told, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Notes:
    """Sentences that are no steps."""

    heading: str
    notes: tuple[Told, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """A table: `widths` say how wide its columns are to each other; empty cells are to be filled in."""

    heading: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[int, ...]


Block = Steps | Notes | Grid


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """All of it, in the language that it was made in."""

    title: str
    about: tuple[Told, ...]
    blocks: tuple[Block, ...]


def paper_pdf(paper: Paper) -> bytes:
    """A4 pages, as many as it takes, numbered; the fonts are in the file."""
    pdf = _Numbered(unit="mm", format="A4")
    pdf.set_title(paper.title)
    pdf.set_margins(_MARGIN_MM, _MARGIN_MM)
    pdf.set_auto_page_break(auto=True, margin=_MARGIN_MM + 4)
    for weight, file in TYPEFACES.items():
        pdf.add_font("words", style="B" if weight == "bold" else "", fname=file)
    pdf.add_page()
    _line(pdf, paper.title, points=_TITLE, bold=True)
    for one in paper.about:
        _told(pdf, one)
    for block in paper.blocks:
        _block(pdf, block)
    return bytes(pdf.output())


class _Numbered(FPDF):
    def footer(self) -> None:
        """The page's number, so that a stack of sheets can be put in order."""
        self.set_y(-_MARGIN_MM)
        self.set_font("words", size=_SMALL)
        self.set_text_color(_GREY)
        self.cell(0, _LINE_MM, tr("Page {number}", number=self.page_no()), align="R")
        self.set_text_color(0)


def _block(pdf: FPDF, block: Block) -> None:
    pdf.ln(2)
    if isinstance(block, Grid) and pdf.will_page_break(_ROW_MM * (4 + min(len(block.rows), _KEPT_WHOLE))):
        pdf.add_page()
    if block.heading:
        _line(pdf, block.heading, points=_HEADING, bold=True)
    match block:
        case Steps():
            for number, one in enumerate(block.steps, 1):
                _told(pdf, one, mark=f"{number}.")
        case Notes():
            for one in block.notes:
                _told(pdf, one, mark="–")
        case Grid():
            _grid(pdf, block)


def _line(pdf: FPDF, words: str, *, points: float, bold: bool = False) -> None:
    pdf.set_font("words", style="B" if bold else "", size=points)
    pdf.multi_cell(0, _LINE_MM * points / _BODY, words, align="L", new_x="LMARGIN", new_y="NEXT")


def _told(pdf: FPDF, one: Told, *, mark: str = "") -> None:
    pdf.set_font("words", size=_BODY)
    if mark:
        pdf.cell(6, _LINE_MM, mark)
    indent = 6 if mark else 0
    pdf.multi_cell(0, _LINE_MM, one.words, align="L", new_x="LMARGIN", new_y="NEXT")
    if one.source:
        pdf.set_font("words", size=_SMALL)
        pdf.set_text_color(_GREY)
        pdf.set_x(_MARGIN_MM + indent)
        source = tr("Source: {source}.", source=one.source)
        pdf.multi_cell(0, 3.6, source, align="L", new_x="LMARGIN", new_y="NEXT")
        pdf.set_text_color(0)
    pdf.ln(0.8)


def _grid(pdf: FPDF, grid: Grid) -> None:
    pdf.set_font("words", size=_BODY)
    with pdf.table(
        borders_layout=TableBordersLayout.ALL,
        col_widths=grid.widths,
        headings_style=FontFace(emphasis="BOLD", size_pt=_SMALL + 0.5),
        line_height=_ROW_MM,
        text_align="LEFT",
        first_row_as_headings=True,
    ) as table:
        for cells in (grid.headings, *grid.rows):
            _row(table.row(), cells)


def _row(row: object, cells: Sequence[str]) -> None:
    for cell in cells:
        row.cell(cell)  # type: ignore[attr-defined]
