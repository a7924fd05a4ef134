"""Charts over time in a real browser: the picture that fits is the one that is seen, on a phone and at a desk."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, ViewportSize

from grader.drawing.control_chart import NARROW_PX, WIDE_PX
from tests.pages.test_browser import DESK, PHONE, opened, picture_of_all
from tests.pages.test_browser import address as address  # noqa: PLC0414  fixtures
from tests.pages.test_browser import browser as browser  # noqa: PLC0414


@pytest.fixture(scope="module", autouse=True)
def own_home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Before the page starts: its records are to be empty."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("FRY_GRADER_HOME", str(tmp_path_factory.mktemp("home")))
        patch.delenv("FRY_GRADER_RECORDS", raising=False)
        yield


@pytest.mark.parametrize(("size", "shown", "hidden"), [(PHONE, "narrow", "wide"), (DESK, "wide", "narrow")])
def test_the_chart_that_fits_is_seen(
    browser: Browser, address: str, size: ViewportSize, shown: str, hidden: str
) -> None:
    page, hosts, errors = opened(browser, address, size)
    page.goto(f"{address}/shift_to_shift")
    page.get_by_text("Show an example").click(timeout=60_000)
    picture = page.locator(f"img.fg-{shown}")
    picture.wait_for(timeout=60_000)
    assert page.locator(f"img.fg-{hidden}").is_hidden()
    page.wait_for_function(f"document.querySelector('img.fg-{shown}').naturalHeight > 300")
    box = picture.bounding_box()
    assert box is not None
    assert 0.85 * {"narrow": NARROW_PX, "wide": WIDE_PX}[shown] <= box["width"] <= size["width"]
    assert "signals at" in (picture.get_attribute("alt") or "")
    page.get_by_text("a batch beyond the limits, darker").wait_for()
    page.get_by_text("Baseline, rules and shares").click()
    page.get_by_text("Left empty: the earliest batches.").wait_for()
    assert page.evaluate("document.querySelector('.stMain').scrollWidth") <= size["width"]
    picture_of_all(page, f"page-{'phone' if size == PHONE else 'desk'}-shifts.png", size)
    assert set(hosts) == {"127.0.0.1"}
    assert errors == []
    page.close()
