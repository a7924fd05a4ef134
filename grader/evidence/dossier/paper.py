"""The dossier's paper: A4 with embedded fonts, headings, paragraphs, tables and pictures; archival (PDF/A-2) by fpdf2.

What PDF/A asks and is done: fonts embedded, colours by an output profile, XMP metadata with the part, no encryption, no
scripts, nothing fetched. Not claimed: conformance level A or U (no tagged structure).
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from html import escape
from io import BytesIO

from fpdf import FPDF
from fpdf.enums import TableBordersLayout
from fpdf.fonts import FontFace
from PIL import Image

from grader.card.small_print import TYPEFACES

WIDTH_MM, MARGIN_MM, BOTTOM_MM = 174.0, 18.0, 18.0
BODY_PT, SMALL_PT = 9.5, 7.8
_LINE = 0.5
"""Line height in mm per point of type."""
_HEADING_PT, _TITLE_PT = 13.0, 20.0
GREY, LIGHT, RED, GREEN = (95, 95, 95), (238, 238, 234), (170, 30, 40), (20, 100, 60)
_PRODUCER = "Fry grader"


class Paper(FPDF):
    """Pages that grow downwards; every page bears what it is of and its number."""

    def __init__(self, *, title: str, foot: str, made_at: datetime) -> None:
        super().__init__(unit="mm", format="A4", enforce_compliance="PDF/A-2B")
        self._foot = foot
        self.set_creation_date(made_at)
        self.set_title(title)
        self.set_lang("en")
        self.set_producer(_PRODUCER)
        self.set_xmp_metadata(_xmp(title, made_at))
        self.set_margins(MARGIN_MM, MARGIN_MM, MARGIN_MM)
        self.set_auto_page_break(auto=True, margin=BOTTOM_MM)
        for weight, file in TYPEFACES.items():
            self.add_font("words", style="B" if weight == "bold" else "", fname=file)
        self.alias_nb_pages()
        self.add_page()

    def footer(self) -> None:
        """What it is of, and the page's number."""
        self.set_y(-12)
        self.set_font("words", size=7)
        self.set_text_color(*GREY)
        self.cell(WIDTH_MM - 24, 4, self._foot)
        self.cell(24, 4, f"page {self.page_no()} of {{nb}}", align="R")
        self.set_text_color(0)

    def title_line(self, words: str) -> None:
        """The dossier's own title."""
        self._written(words, points=_TITLE_PT, bold=True)

    def heading(self, words: str, *, room_mm: float = 30.0) -> None:
        """A section's heading; on a new page where less than that room is left."""
        self.keep_together(room_mm)
        self.ln(3.5)
        self._written(words, points=_HEADING_PT, bold=True)
        self.set_draw_color(*GREY)
        self.line(MARGIN_MM, self.get_y() + 0.4, MARGIN_MM + WIDTH_MM, self.get_y() + 0.4)
        self.ln(2.2)

    def paragraph(
        self,
        words: str,
        *,
        points: float = BODY_PT,
        bold: bool = False,
        colour: tuple[int, int, int] = (0, 0, 0),
    ) -> None:
        """Words that flow."""
        self.set_text_color(*colour)
        self._written(words, points=points, bold=bold)
        self.set_text_color(0)
        self.ln(1.0)

    def items(self, lines: Sequence[str], *, points: float = BODY_PT) -> None:
        """A list, a dash before each."""
        self.set_font("words", size=points)
        for words in lines:
            self.set_x(MARGIN_MM)
            self.cell(5, _LINE * points, "–")
            self.multi_cell(WIDTH_MM - 5, _LINE * points, words, align="L", new_x="LMARGIN", new_y="NEXT")
            self.ln(0.7)

    def boxed(self, words: str, colour: tuple[int, int, int]) -> None:
        """A sentence that nobody overlooks."""
        self.keep_together(16)
        self.set_draw_color(*colour)
        self.set_text_color(*colour)
        self.set_line_width(0.6)
        self.set_font("words", style="B", size=11)
        self.multi_cell(WIDTH_MM, 6.2, words, border=1, align="L", padding=2, new_x="LMARGIN", new_y="NEXT")
        self.set_line_width(0.2)
        self.set_text_color(0)
        self.ln(2)

    def told_table(self, head: Sequence[str], rows: Sequence[Sequence[str]], widths: Sequence[float]) -> None:
        """A table in small type; its head comes again on each page."""
        self.set_font("words", size=SMALL_PT)
        self.set_draw_color(*GREY)
        self.set_fill_color(255)
        with self.table(
            width=WIDTH_MM,
            col_widths=tuple(widths),
            line_height=_LINE * SMALL_PT + 0.2,
            text_align="LEFT",
            padding=0.9,
            borders_layout=TableBordersLayout.HORIZONTAL_LINES,
            headings_style=FontFace(emphasis="BOLD", fill_color=LIGHT),
        ) as table:
            for row in (head, *rows):
                table.row([str(cell) for cell in row])
        self.ln(2)

    def keep_together(self, room_mm: float) -> None:
        """Begin a new page where less room than that is left."""
        if self.get_y() + room_mm > self.h - BOTTOM_MM:
            self.add_page()

    def picture(self, jpeg: bytes, *, width_mm: float, widest_px: int) -> None:
        """A picture at the left, made no larger in pixels than paper can show."""
        image = Image.open(BytesIO(jpeg)).convert("RGB")
        if image.width > widest_px:
            image = image.resize((widest_px, round(image.height * widest_px / image.width)), Image.Resampling.LANCZOS)
        height_mm = width_mm * image.height / image.width
        self.keep_together(height_mm + 2)
        self.image(_jpeg(image), x=MARGIN_MM, y=self.get_y(), w=width_mm, h=height_mm)
        self.set_y(self.get_y() + height_mm + 1)

    @contextmanager
    def ink(self, colour: tuple[int, int, int], width_mm: float = 0.35) -> Iterator[None]:
        """Lines and words of one colour."""
        self.set_draw_color(*colour)
        self.set_text_color(*colour)
        self.set_line_width(width_mm)
        yield
        self.set_draw_color(0)
        self.set_text_color(0)
        self.set_line_width(0.2)

    def _written(self, words: str, *, points: float, bold: bool = False) -> None:
        self.set_font("words", style="B" if bold else "", size=points)
        self.set_x(MARGIN_MM)
        self.multi_cell(WIDTH_MM, _LINE * points, words, align="L", new_x="LMARGIN", new_y="NEXT")


def _jpeg(image: Image.Image) -> BytesIO:
    file = BytesIO()
    image.save(file, "JPEG", quality=78)
    file.seek(0)
    return file


def _xmp(title: str, made_at: datetime) -> str:
    """Metadata with the moment of making for all moments: the same case is the same file."""
    at = made_at.isoformat(timespec="seconds")
    return f"""<x:xmpmeta xmlns:x="adobe:ns:meta/">
  <rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#" xmlns:dc="http://purl.org/dc/elements/1.1/"
    xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmlns:pdf="http://ns.adobe.com/pdf/1.3/"
    xmlns:pdfaid="http://www.aiim.org/pdfa/ns/id/">
    <rdf:Description rdf:about="" xmp:CreateDate="{at}" xmp:ModifyDate="{at}" xmp:MetadataDate="{at}"
      pdf:Producer="{_PRODUCER}">
      <pdfaid:part>2</pdfaid:part>
      <pdfaid:conformance>B</pdfaid:conformance>
      <dc:title><rdf:Alt><rdf:li xml:lang="x-default">{escape(title)}</rdf:li></rdf:Alt></dc:title>
    </rdf:Description>
  </rdf:RDF>
</x:xmpmeta>"""
