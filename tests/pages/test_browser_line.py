"""The fry line in a real browser: on a phone in Spanish, at a desk in English; nothing runs over the side."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, ViewportSize

from grader.records.house_values import HouseValues, keep_house_values
from tests.pages.test_browser import DESK, PHONE, opened, picture_of_all
from tests.pages.test_browser import address as address  # noqa: PLC0414  fixtures
from tests.pages.test_browser import browser as browser  # noqa: PLC0414


@pytest.fixture(scope="module", autouse=True)
def own_home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Before the page starts: a house of its own, which has named its kitchen."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("FRY_GRADER_HOME", str(tmp_path_factory.mktemp("home")))
        patch.delenv("FRY_GRADER_RECORDS", raising=False)
        keep_house_values(HouseValues(kitchen="Quayside", zone="Europe/Lisbon"))
        yield


@pytest.mark.parametrize("size", [PHONE, DESK])
def test_a_sheet_is_kept_and_its_causes_told(browser: Browser, address: str, size: ViewportSize) -> None:
    page, hosts, errors = opened(browser, address, size)
    page.goto(f"{address}/the_line")
    finish = page.get_by_label("Finish, oil, °C")
    finish.fill("199", timeout=60_000)
    page.get_by_role("button", name="Keep this sheet").click()
    page.get_by_text("Kept with batch").wait_for()
    page.get_by_text("It holds where this kitchen is.").wait_for()
    kind = "phone" if size == PHONE else "desk"
    picture_of_all(page, f"page-{kind}-line-sheet.png", size)
    page.get_by_role("tab", name="Likely causes").click()
    page.get_by_label("What is wrong?").click()
    page.get_by_text("all fries too dark").last.click()
    page.get_by_text("1. The finishing oil was too hot").wait_for()
    page.keyboard.press("Escape")
    picture_of_all(page, f"page-{kind}-line-causes.png", size)
    for tab in ("Load of a basket", "Your own time", "Line sheet"):
        page.get_by_role("tab", name=tab).click()
        assert page.evaluate("document.querySelector('.stMain').scrollWidth") <= size["width"]
    assert set(hosts) == {"127.0.0.1"}
    assert errors == []
    page.close()
