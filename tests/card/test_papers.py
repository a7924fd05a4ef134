from datetime import date
from itertools import combinations

import pytest
from PIL import ImageFont

from grader.card import chosen_paper, load_layouts, papers_for, plan_page, usual_count
from grader.card.imprint import imprint_run
from grader.card.model import Layout
from grader.card.papers import CROP_GAP_MM, CROP_MM, PAPERS, PRINTER_MARGIN_MM, SheetDoesNotFit
from grader.card.small_print import TYPEFACES, small_print
from grader.card.zones import print_area

LAYOUTS = {layout.key: layout for layout in load_layouts()}
PRINTABLE = [layout for layout in LAYOUTS.values() if layout.printable]
PRINTED = date(2026, 12, 28)
BY_KEY = {paper.key: paper for paper in PAPERS}


def fitting(key: str) -> list[str]:
    return [paper.key for paper in papers_for(LAYOUTS[key])]


def test_papers_have_the_size_of_their_standard() -> None:
    # ISO 216 (A series), ISO 217 (SRA), ANSI/ASME Y14.1 (inches): A 8.5 x 11, B 11 x 17.
    sizes = {key: (paper.width_mm, paper.height_mm) for key, paper in BY_KEY.items()}
    assert sizes["a4"] == (210, 297)
    assert sizes["a3"] == (297, 420)
    assert sizes["sra3"] == (320, 450)
    assert sizes["letter"] == pytest.approx((8.5 * 25.4, 11 * 25.4))
    assert sizes["tabloid"] == pytest.approx((11 * 25.4, 17 * 25.4))


def test_each_sheet_is_offered_on_the_papers_that_it_fits() -> None:
    assert fitting("card-148") == fitting("mat-254") == ["a4", "letter", "a3", "tabloid", "sra3"]
    assert fitting("mat-396") == ["a3", "tabloid", "sra3"]
    assert fitting("mat-a3") == fitting("card-a6") == []


def test_how_many_fit_on_a_page() -> None:
    count = {
        (layout.key, paper.key): len(plan_page(layout, paper).corners_mm)
        for layout in PRINTABLE
        for paper in papers_for(layout)
    }
    assert count["card-148", "a4"] == count["card-148", "letter"] == 2
    assert count["card-148", "a3"] == count["card-148", "tabloid"] == 4
    assert usual_count(plan_page(LAYOUTS["card-148"], BY_KEY["a3"])) == 4
    assert usual_count(plan_page(LAYOUTS["mat-396"], BY_KEY["a3"])) == 2
    assert count["mat-254", "a4"] == count["mat-254", "letter"] == count["mat-396", "a3"] == 1


def test_sheets_lie_apart_with_room_for_their_marks() -> None:
    outside = CROP_GAP_MM + CROP_MM
    for layout in PRINTABLE:
        for paper in papers_for(layout):
            plan = plan_page(layout, paper)
            for x, y in plan.corners_mm:
                assert min(x, y) - outside >= PRINTER_MARGIN_MM - 1e-9
                assert x + layout.width_mm + outside <= plan.width_mm - PRINTER_MARGIN_MM + 1e-9
                assert y + layout.height_mm + outside <= plan.height_mm - PRINTER_MARGIN_MM + 1e-9
                for rule in plan.rules:
                    clear_x = rule.x_mm + rule.width_mm <= x - outside or rule.x_mm >= x + layout.width_mm + outside
                    clear_y = rule.y_mm + rule.height_mm <= y - outside or rule.y_mm >= y + layout.height_mm + outside
                    assert clear_x or clear_y
            for (x, y), (u, v) in combinations(plan.corners_mm, 2):
                apart = max(abs(x - u) - layout.width_mm, abs(y - v) - layout.height_mm)
                assert apart >= 2 * outside - 1e-9


def test_the_first_paper_that_fits_unless_told() -> None:
    assert chosen_paper(LAYOUTS["card-148"], None).key == "a4"
    assert chosen_paper(LAYOUTS["mat-396"], None).key == "a3"
    assert chosen_paper(LAYOUTS["mat-254"], "letter").key == "letter"


@pytest.mark.parametrize(
    ("key", "paper", "words"),
    [
        ("mat-396", "letter", r"This sheet doesn't fit on letter paper: Mat, .*a3, tabloid, sra3"),
        ("mat-254", "foolscap", "no paper called foolscap.*a4, letter"),
        ("mat-a3", None, "not to be printed"),
    ],
)
def test_other_papers_are_refused(key: str, paper: str | None, words: str) -> None:
    with pytest.raises(SheetDoesNotFit, match=words):
        chosen_paper(LAYOUTS[key], paper)


def test_a_page_that_is_too_small_has_no_plan() -> None:
    with pytest.raises(SheetDoesNotFit, match="A4"):
        plan_page(LAYOUTS["mat-396"], BY_KEY["a4"])


@pytest.mark.parametrize("layout", LAYOUTS.values(), ids=lambda layout: layout.key)
def test_the_small_print_stays_in_its_place(layout: Layout) -> None:
    own = imprint_run("WWWWW", first=888, count=1, printed=PRINTED, months=24)[0] if layout.printable else None
    area = print_area(layout)
    for line in small_print(layout, own):
        typeface = ImageFont.truetype(TYPEFACES[line.weight], 100)
        left, top, right, foot = (edge * line.size_mm / 100 for edge in typeface.getbbox(line.words, anchor="ls"))
        assert line.x_mm + left >= area.x_mm
        assert line.x_mm + right <= area.x_mm + area.width_mm
        assert line.y_mm + top >= area.y_mm - 0.01
        assert line.y_mm + foot <= area.y_mm + area.height_mm + 0.01
