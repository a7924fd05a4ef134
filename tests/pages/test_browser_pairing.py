"""A phone reaches the page: the real server with its own certificate, a real browser that has to be paired first."""

import os
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from grader.cli.serving import serve_command
from grader.places import HOME_VARIABLE
from grader.serving.certificate import house_certificate
from grader.serving.here import COOKIE, PAIR_PATH, SERVED_VARIABLE
from grader.serving.pairing import Pairings, Place
from tests.pages.running import free_port, running
from tests.pages.test_browser import PHONE, browser, picture_of_all

__all__ = ["browser"]
DINNER = Place(kitchen="Quayside", zone="Europe/Lisbon", shift="dinner", until=datetime.now(UTC) + timedelta(hours=8))


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, str]]:
    """The served page's address, and the token of a phone that was paired before it started."""
    home = tmp_path_factory.mktemp("served")
    pairings = Pairings(home / "phones.json")
    token = pairings.pair(pairings.new_code(DINNER))
    assert token is not None
    port = free_port()
    certificate = house_certificate(home / "certificate", ["127.0.0.1"], now=datetime.now(UTC))
    command = serve_command("127.0.0.1", port, certificate)
    command[command.index("run") + 1] = str(Path(__file__).parent / "paired_only.py")
    environment = {**os.environ, HOME_VARIABLE: str(home), SERVED_VARIABLE: f"https://127.0.0.1:{port}"}
    log = home / "log.txt"
    with running(command, port, log=log, environment=environment):
        yield f"https://127.0.0.1:{port}", token


def test_a_phone_that_is_not_paired_sees_nothing(browser: Browser, house: tuple[str, str]) -> None:
    address, _ = house
    context = browser.new_context(viewport=PHONE, ignore_https_errors=True)
    page = context.new_page()
    answer = page.goto(f"{address}/judge_a_batch")
    assert answer is not None
    assert answer.status == 403
    page.get_by_role("heading", name="This phone is not paired").wait_for()
    page.goto(f"{address}{PAIR_PATH}?c=guessed")
    page.get_by_role("button").click()
    page.get_by_role("heading", name="This code was used").wait_for()
    context.close()


def check_targets(page: Page) -> None:
    """All that is tapped at the pass is big enough for a thumb: 44 px (WCAG 2.2, 2.5.5 Target Size, Enhanced)."""
    page.wait_for_timeout(1500)
    kinds = ":is(.stButton, .stFormSubmitButton, .stButtonGroup) button, summary, .st-key-pass-shoot button"
    boxes = page.locator(".stMainBlockContainer").locator(kinds).filter(visible=True)
    heights = {one.inner_text(): box["height"] for one in boxes.all() if (box := one.bounding_box()) is not None}
    assert len(heights) > 10
    assert not {words: height for words, height in heights.items() if height < 44}


def check_keyboard(page: Page) -> None:
    """All that is tapped is reached by the tab key alone."""
    words = "(e => e.innerText || e.getAttribute('aria-label') || '')(document.activeElement)"
    reached = []
    for _ in range(60):
        page.keyboard.press("Tab")
        reached.append(str(page.evaluate(words)))
    for control in ("Finish this batch", "Basket lifted", "Upload", "Keep the checks", "Kitchen, shift, standard"):
        assert any(control in told for told in reached), control


def test_a_paired_phone_grades_for_its_kitchen_and_sees_a_cooks_pages_only(
    browser: Browser, house: tuple[str, str], samples: Path
) -> None:
    address, token = house
    context = browser.new_context(viewport=PHONE, ignore_https_errors=True, device_scale_factor=2)
    context.add_cookies([{"name": COOKIE, "value": token, "url": address, "secure": True, "httpOnly": True}])
    page = context.new_page()
    page.goto(address)
    page.get_by_role("heading", name="At the pass").wait_for(timeout=60_000)
    page.get_by_text("Quayside · dinner").wait_for()
    # Looked for in the list of pages alone: the pass has a choice that is called House standard too.
    listed = page.get_by_test_id("stSidebarNavLink")
    listed.filter(has_text="The fry line").wait_for(state="attached")
    assert listed.filter(has_text="House standard").count() == 0
    page.get_by_test_id("stFileUploaderDropzoneInput").set_input_files(samples / "b1" / "b1-plate1.jpg")
    page.locator(".fg-band").wait_for(timeout=240_000)
    page.get_by_text("1 plate kept").wait_for()
    check_targets(page)
    check_keyboard(page)
    picture_of_all(page, "page-paired-phone.png", PHONE)
    page.goto(f"{address}/house_standard")
    page.get_by_role("heading", name="At the pass").wait_for(timeout=60_000)
    assert page.get_by_text("Begin from").count() == 0
    context.close()
