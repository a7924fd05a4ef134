"""The page as people meet it: Streamlit on this machine, a real browser, real sample photos, the real pipeline."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import numpy as np
import pytest
from playwright.sync_api import Browser, Page, ViewportSize, sync_playwright
from playwright.sync_api import TimeoutError as WaitedTooLong

from grader.arrays import FloatArray
from grader.cli.page import page_command
from grader.drawing import draw_for_mending
from grader.grading import grade_photo
from grader.records.standards import DEFAULT_STANDARD
from grader.standard import load_shipped
from tests.pages.running import ROOT, free_port, running

PHONE: ViewportSize = {"width": 360, "height": 800}
DESK: ViewportSize = {"width": 1280, "height": 900}
GRADED_WITHIN_MS = 240_000


def _screenshots() -> Path:
    folder = Path(os.environ.get("SCREENSHOTS", ROOT / ".ci" / "output"))
    folder.mkdir(parents=True, exist_ok=True)
    return folder


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Debian's Chromium without a window; where it is missing the test is skipped, but never in CI."""
    program = shutil.which("chromium")
    if program is None:
        reason = "no chromium on this machine: apt-get install -y chromium"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    with sync_playwright() as playwright:
        # Without a sandbox: CI runs as root in a container, where Chromium's own can't start; the page is our own.
        started = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield started
        started.close()


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The page, started as the demo starts it, on a free port."""
    port = free_port()
    log = tmp_path_factory.mktemp("page") / "log.txt"
    with running(page_command(port), port, log=log):
        yield f"http://127.0.0.1:{port}"


def opened(browser: Browser, address: str, size: ViewportSize) -> tuple[Page, list[str], list[str]]:
    """The page at a size, and two lists that fill: hosts it asked for something, and errors of its scripts."""
    hosts: list[str] = []
    errors: list[str] = []
    page = browser.new_page(viewport=size, device_scale_factor=2)
    page.on("request", lambda request: hosts.extend(_asked(request.url)))
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto(f"{address}/judge_a_batch")
    page.get_by_role("heading", name="Judge a batch").wait_for(timeout=60_000)
    return page, hosts, errors


def _asked(url: str) -> list[str]:
    """The host that is asked for something; none for what the page holds itself (data:, blob:)."""
    parts = urlsplit(url)
    return [] if parts.scheme in {"data", "blob"} else [parts.hostname or url]


def picture_of_all(page: Page, name: str, size: ViewportSize) -> None:
    """A picture of the whole page: its middle scrolls by itself, so the window is made as high as that is."""
    page.wait_for_timeout(1500)
    height = page.evaluate("document.querySelector('.stMainBlockContainer').scrollHeight")
    page.set_viewport_size({"width": size["width"], "height": min(int(height) + 100, 9000)})
    page.wait_for_timeout(1500)
    page.screenshot(path=_screenshots() / name)
    page.set_viewport_size(size)


def judge(page: Page, photos: list[Path]) -> str:
    """Hand in photos and wait; gives the words of the verdict."""
    page.get_by_test_id("stFileUploaderDropzoneInput").first.set_input_files(photos)
    band = page.locator(".fg-band")
    band.wait_for(timeout=GRADED_WITHIN_MS)
    return band.inner_text()


def choose_first(page: Page, name: str) -> None:
    """The first of a list, as often as it takes: a list that moves, because the page above it is drawn anew, closes."""
    for _ in range(20):
        page.get_by_role("combobox", name=name).press("ArrowDown")
        try:
            page.get_by_role("option").first.click(timeout=3000)
        except WaitedTooLong:
            continue
        return
    pytest.fail(f"no list opens at '{name}'")


def test_a_cook_at_a_phone_gets_a_verdict(browser: Browser, address: str, samples: Path) -> None:
    page, hosts, errors = opened(browser, address, PHONE)
    told = judge(page, [*sorted((samples / "b3").glob("*.jpg")), samples / "refused" / "bad-glare.jpg"])
    assert "FAIL" in told
    page.get_by_text("One photo was refused").wait_for()
    page.get_by_role("img", name="b3-plate1.jpg").wait_for()
    page.locator(".vega-embed").nth(1).wait_for()
    page.get_by_text("Every fry").wait_for()
    wide = page.evaluate("document.querySelector('.stMain').scrollWidth")
    assert wide <= PHONE["width"], "the page must not scroll sideways on a phone"
    picture_of_all(page, "page-phone.png", PHONE)
    # Photos never leave the machine: nothing was asked of, or sent to, anybody else.
    assert set(hosts) == {"127.0.0.1"}
    assert errors == []
    page.close()


def test_the_quality_lead_at_a_desk_sees_a_batch_pass(browser: Browser, address: str, samples: Path) -> None:
    page, hosts, errors = opened(browser, address, DESK)
    assert "PASS" in judge(page, sorted((samples / "b1").glob("*.jpg")))
    page.get_by_text("The arithmetic, for QA").click()
    with page.expect_download() as download:
        page.get_by_role("button", name="Fries as CSV").click()
    assert download.value.suggested_filename == "fries.csv"
    assert Path(download.value.path()).read_text(encoding="utf-8-sig").startswith("batch,photo,fry,")
    picture_of_all(page, "page-desk.png", DESK)
    assert set(hosts) == {"127.0.0.1"}
    assert errors == []
    page.close()


def test_a_plate_is_mended_by_taps_on_a_phone(browser: Browser, address: str, samples: Path) -> None:
    photo = samples / "b1" / "b1-plate1.jpg"
    standard = load_shipped()[DEFAULT_STANDARD]
    graded = grade_photo(photo.read_bytes(), name=photo.name, standard=standard)
    shown = draw_for_mending(graded, standard)
    assert shown is not None
    assert graded.plate is not None
    fry = max(graded.plate.fries, key=lambda one: 0 if one.length_mm is None else one.length_mm.value)
    page, hosts, errors = opened(browser, address, PHONE)
    judge(page, [photo])
    page.get_by_text("Mend this plate by hand").click()
    picture = page.get_by_role("img", name="to tap on")
    picture.wait_for(timeout=60_000)
    page.get_by_role("button", name="Show the picture larger").click()

    def tap(place_px: FloatArray) -> None:
        box = picture.bounding_box()
        assert box is not None
        x, y = shown.view.shown(place_px) / (shown.view.width_px, shown.view.height_px)
        picture.click(position={"x": float(x) * box["width"], "y": float(y) * box["height"]})

    middle, way = fry.centreline_px[12], (fry.centreline_px[-1] - fry.centreline_px[0]) / 6
    aside = np.array([-way[1], way[0]])
    tap(middle)
    page.get_by_role("button", name=f"Join {fry.number}", exact=True).wait_for()
    page.get_by_text("Split", exact=True).click()
    page.get_by_text("Tap two points.", exact=True).wait_for()
    tap(middle + aside)
    page.get_by_text("Tap the second point.").wait_for()
    tap(middle - aside)
    page.get_by_label("Your initials").fill("AB")
    page.get_by_label("Your initials").press("Enter")
    picture_of_all(page, "page-phone-mending.png", PHONE)
    page.get_by_role("button", name=f"Split {fry.number}", exact=True).click()
    page.get_by_text("Without mending").first.wait_for(timeout=60_000)
    assert f"Mended by AB: {fry.number} split" in page.locator(".stMain").inner_text()
    assert page.evaluate("document.querySelector('.stMain').scrollWidth") <= PHONE["width"]
    page.locator("[data-test-script-state=notRunning]").wait_for()
    choose_first(page, "Why is a fry marked?")
    page.get_by_role("img", name="seen close").wait_for(timeout=60_000)
    picture_of_all(page, "page-phone-mended.png", PHONE)
    assert set(hosts) == {"127.0.0.1"}
    assert errors == []
    page.close()


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_a_standard_is_edited_in_sight_of_its_verdict(browser: Browser, address: str, size: ViewportSize) -> None:
    page, hosts, errors = opened(browser, address, size)
    page.goto(f"{address}/house_standard")
    line = page.locator(".fg-line")
    line.wait_for(timeout=GRADED_WITHIN_MS)
    before = line.inner_text()
    page.get_by_label("Target to", exact=True).fill("3.2")
    page.get_by_label("Target to", exact=True).press("Enter")
    page.get_by_text("scale.target_to 4.7").wait_for()
    page.locator(".fg-line", has_text="Too dark").wait_for()
    assert line.inner_text() != before
    page.get_by_text("Cut", exact=True).click()
    page.get_by_label("Width, mm", exact=True).fill("95")
    page.get_by_label("Width, mm", exact=True).press("Enter")
    page.get_by_text("it must be a number from 2 to 40 mm").wait_for()  # in a section that stays open
    page.get_by_text("One fault is to be corrected").wait_for()
    picture_of_all(page, f"page-{'phone' if size == PHONE else 'desk'}-standard.png", size)
    page.get_by_role("button", name="Keep as the first version").scroll_into_view_if_needed()
    box = line.bounding_box()
    assert box is not None
    assert 0 <= box["y"] < size["height"] / 2, "the verdict stays in sight while the last field is edited"
    assert page.evaluate("document.querySelector('.stMain').scrollWidth") <= size["width"]
    assert set(hosts) == {"127.0.0.1"}
    assert errors == []
    page.close()
