"""Sheets to print: every figure with its unit and who says so, in every language; and as pages, nothing cut off."""

import re
from collections.abc import Iterator
from io import BytesIO

import pypdfium2
import pytest

from grader.drawing.line_papers import line_sheet_paper, lot_fry_paper
from grader.drawing.paper import Grid, Notes, Paper, Steps, Told, paper_pdf
from grader.language import LANGUAGES, SOURCE, speaking
from grader.line.lot_fry import plan_lot_fry
from grader.line.sheet import FIGURES, LineSheet, read_sheet

PLANNED = plan_lot_fry(tubers=20, cartons=4, baskets=5, strips=2, seed=1)
SHEET = read_sheet({"finish_c": 182, "drying": "spun", "hold_min": 6, "oil_kind": "high oleic"})
USUAL = LineSheet(finish_c=172.0)
UNIT = r"°C|°F|min|h|s|mm|in|%"
FIGURE = re.compile(r"\d+(?:[.,/]\d+)?")
NO_FIGURE = re.compile(r"\(EU\) 2017/2158|\(UE\) 2017/2158|7 CFR 51\.3418|\d+ 1/2")
COUNTED = re.compile(r"^ ?(?:tubers|papas|baskets|canastas)")


@pytest.fixture(params=list(LANGUAGES))
def papers(request: pytest.FixtureRequest) -> Iterator[tuple[Paper, ...]]:
    with speaking(request.param):
        yield lot_fry_paper(PLANNED), line_sheet_paper(), line_sheet_paper(SHEET, USUAL)


def sentences(paper: Paper) -> Iterator[Told]:
    yield from paper.about
    for block in paper.blocks:
        if isinstance(block, Steps):
            yield from block.steps
        elif isinstance(block, Notes):
            yield from block.notes


def test_every_figure_in_a_sentence_has_its_unit_and_its_source(papers: tuple[Paper, ...]) -> None:
    for paper in papers:
        for one in sentences(paper):
            plain = NO_FIGURE.sub("", one.words)
            for figure in FIGURE.finditer(plain):
                assert one.source, one.words
                after = plain[figure.end() :]
                unit = re.match(rf" ?(?:to|a|o|y|and)? ?(?:\d+ )?(?:{UNIT})\b|^ ?[%°]", after) or COUNTED.match(after)
                assert unit, f"{figure[0]} in: {one.words}"


def test_every_figure_of_the_line_sheet_has_a_unit_what_is_usual_and_who_says_so(papers: tuple[Paper, ...]) -> None:
    for paper in papers[1:]:
        figures = next(block for block in paper.blocks if isinstance(block, Grid))
        assert len(figures.rows) == len(FIGURES)
        for title, _, unit, usual, source in figures.rows:
            assert title
            assert unit
            assert source
            assert re.match(rf"\d[\d.]*–\d[\d.]* {re.escape(unit)}", usual), usual


def test_the_lot_sheets_columns_say_what_their_figures_count(papers: tuple[Paper, ...]) -> None:
    baskets = [block for block in papers[0].blocks if isinstance(block, Grid)]
    assert len(baskets) == 5
    strips = [range_ for grid in baskets for range_ in (row[0] for row in grid.rows)]
    assert len(strips) == 40  # tubers of both lots, two strips each in one row
    assert all(grid.rows[-1][0] == "15–16" for grid in baskets)


def test_cautions_stand_on_every_sheet(papers: tuple[Paper, ...]) -> None:
    for paper in papers:
        told = " ".join(one.words for one in sentences(paper))
        for word in ("2017/2158", "175 °C"):
            assert word in told
        assert re.search("ice, frost|hielo, escarcha", told)
        assert re.search("agencies commonly advise|las agencias aconsejan", told)
        assert re.search("local code|código local", told)
        assert not re.search("µg|ppb|safe to eat", told)


def test_pages_hold_it_all_with_fonts_of_their_own(papers: tuple[Paper, ...]) -> None:
    for paper, pages in zip(papers, (2, 1, 1), strict=True):
        data = paper_pdf(paper)
        assert data.count(b"/FontFile2") == 2
        document = pypdfium2.PdfDocument(BytesIO(data))
        assert len(document) == pages
        text = ""
        for page in document:
            width, height = page.get_size()
            held = page.get_textpage()
            text += held.get_text_range()
            for at in range(held.count_rects()):
                left, bottom, right, top = held.get_rect(at)
                assert left >= 20
                assert right <= width - 20
                assert bottom >= 15
                assert top <= height - 20
        assert paper.title in text


def test_what_was_told_is_filled_in() -> None:
    with speaking(SOURCE):
        paper = line_sheet_paper(SHEET, USUAL)
    figures, ways = (block for block in paper.blocks if isinstance(block, Grid))
    finish = next(row for row in figures.rows if row[0] == "Finish, oil")
    assert finish == ("Finish, oil", "182", "°C", "168–176 °C (334–349 °F)", "the house's own sheets")
    assert "[x] spun" in next(row[1] for row in ways.rows if row[0] == "Drying")
    assert ways.rows[-1][1] == "high oleic"
