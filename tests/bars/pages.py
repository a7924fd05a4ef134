"""The page driven for its bars: started on records of any size, looked at by axe, timed with a real browser."""

import os
import statistics
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Page, ViewportSize

from grader.cli.page import page_command
from grader.places import HOME_VARIABLE
from grader.serving.here import SERVED_VARIABLE
from tests.pages.running import free_port, running

PHONE: ViewportSize = {"width": 360, "height": 800}
DESK: ViewportSize = {"width": 1280, "height": 900}
PAGES = {
    "at_the_pass": "At the pass",
    "honest_sample": "Honest sample",
    "train_the_eye": "Train the eye",
    "the_line": "The fry line",
    "judge_a_batch": "Judge a batch",
    "batches": "Batches and lots",
    "new_lot": "A new lot",
    "house_standard": "House standard",
    "print_a_card": "Print a card",
    "your_cards": "Your cards",
    "shift_to_shift": "Shift to shift",
    "watch_the_method": "Watch the method",
    "evidence": "Evidence",
    "check_evidence": "Check a sealed file",
    "pair_a_phone": "Pair a phone",
}
"""Pages by their names in the address, with their titles."""
_FADED_MS = 1500
"""Streamlit fades in what is new: half-faded words are pale for a moment, and no fault."""
_UNFOLDED_MS = 400
GRAVE = frozenset({"serious", "critical"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """What axe says of a page: rule and what it is about."""

    page: str
    rule: str
    impact: str
    where: str


@contextmanager
def served(home: Path, *, script: Path | None = None, at: str = "") -> Iterator[str]:
    """The address of a page that runs on this home's data; `script` stands in for the project's own.

    `at` is the address that the page gives to phones.
    """
    port = free_port()
    command = page_command(port)
    if script is not None:
        command[command.index("run") + 1] = str(script)
    home.mkdir(parents=True, exist_ok=True)
    log = home / "page.log"
    with running(command, port, log=log, environment={**os.environ, HOME_VARIABLE: str(home), SERVED_VARIABLE: at}):
        yield f"http://127.0.0.1:{port}"


def settled(page: Page, title: str = "") -> None:
    """Wait until the page of this title is there (any where none is named), and its script has run to its end."""
    page.get_by_role("heading", level=1, name=title or None).first.wait_for(timeout=60_000)
    page.locator('[data-test-script-state="notRunning"]').first.wait_for(state="attached", timeout=120_000)


def address_of(address: str, name: str) -> str:
    """Where a page of `PAGES` is: the first opens by itself and has no name in the address."""
    return address if name == next(iter(PAGES)) else f"{address}/{name}"


def open_folds(page: Page) -> None:
    """Open all that is folded away, and what was folded in it."""
    shut = page.locator('[data-testid="stExpander"] details:not([open]) > summary:visible')
    while shut.count():
        shut.first.click()
        page.wait_for_timeout(_UNFOLDED_MS)
        settled(page)


def parts(page: Page) -> Iterator[str]:
    """Each tab of a page in turn, opened wholly; a page without tabs is one part without a name."""
    open_folds(page)
    yield ""
    tabs = page.locator('[data-testid="stTabs"] [role="tab"]')
    for number in range(1, tabs.count()):
        tabs.nth(number).click()
        settled(page)
        open_folds(page)
        yield f", tab {number + 1}"


def faults(page: Page, name: str) -> list[Fault]:
    """Serious and critical faults that axe-core finds, each rule once a page."""
    page.wait_for_timeout(_FADED_MS)
    axe = files("axe_playwright_python").joinpath("axe.min.js").read_text(encoding="utf-8")
    page.evaluate(axe)
    found: dict[str, Any] = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
    return [
        Fault(page=name, rule=one["id"], impact=one["impact"], where=one["nodes"][0]["html"][:160])
        for one in found["violations"]
        if one["impact"] in GRAVE
    ]


def first_paint_s(browser: Browser, address: str) -> float:
    """From asking for the page until it shows its title and where photos go, in a browser that never saw it."""
    context = browser.new_context(viewport=PHONE)
    page = context.new_page()
    start = time.monotonic()
    page.goto(address)
    page.get_by_role("heading", level=1).first.wait_for(timeout=60_000)
    page.get_by_test_id("stFileUploaderDropzone").wait_for(timeout=60_000)
    taken = time.monotonic() - start
    context.close()
    return taken


def switches_s(page: Page, names: tuple[str, ...], rounds: int) -> dict[str, float]:
    """Median seconds from tapping a page's name until its script has run, page by page."""
    times: dict[str, list[float]] = {name: [] for name in names}
    for _ in range(rounds):
        for name in names:
            link = page.locator(f'a[href$="/{name}"]').first
            start = time.monotonic()
            link.click()
            settled(page, PAGES[name])
            times[name].append(time.monotonic() - start)
    return {name: statistics.median(taken) for name, taken in times.items()}


def verdict_s(page: Page, photo: Path) -> float:
    """From handing in a photo until its verdict shows."""
    start = time.monotonic()
    page.get_by_test_id("stFileUploaderDropzoneInput").first.set_input_files(photo)
    page.locator(".fg-band").first.wait_for(timeout=240_000)
    return time.monotonic() - start
