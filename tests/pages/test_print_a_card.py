from collections.abc import Callable
from pathlib import Path

from streamlit.testing.v1 import AppTest

from grader import pages
from grader.card import load_layouts

Page = Callable[[], AppTest]


def card_page(page: Page) -> AppTest:
    return page().switch_page(str(Path(pages.__file__).parent / "print_a_card.py")).run()


def test_the_card_page_offers_every_sheet_that_can_be_printed_on_papers_that_it_fits(page: Page) -> None:
    at = card_page(page)
    assert not at.exception
    assert at.title[0].value == "Print a card"
    assert at.selectbox(key="sheet").options == [layout.name for layout in load_layouts() if layout.printable]
    assert "100 mm" in " ".join(text.value for text in at.markdown)
    assert at.get("download_button")
    at.selectbox(key="sheet").set_value("mat-396").run()
    assert "A4" not in at.selectbox(key="paper_mat-396").options
    assert not at.exception


def test_the_card_page_names_the_print_run_and_keeps_its_name(page: Page) -> None:
    at = card_page(page)
    drawn = at.text_input(key="run_name").value
    assert drawn is not None
    assert len(drawn) == 5
    at.number_input(key="count_card-148_a4").set_value(5).run()
    assert at.text_input(key="run_name").value == drawn
    at.text_input(key="run_name").set_value("oil").run()
    assert "print run" in at.error[0].value
    assert not at.get("download_button")
    at.text_input(key="run_name").set_value("k7q2x").run()
    assert not at.error
