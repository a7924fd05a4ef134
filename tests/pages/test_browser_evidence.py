"""A sealed file checked in a real browser by somebody who has nothing but the file, on a phone."""

from pathlib import Path

from playwright.sync_api import Browser

from tests.evidence import cases
from tests.pages.test_browser import PHONE, opened, picture_of_all
from tests.pages.test_browser import address as address  # noqa: PLC0414  fixtures
from tests.pages.test_browser import browser as browser  # noqa: PLC0414


def test_a_stranger_checks_a_file_on_a_phone(browser: Browser, address: str, tmp_path: Path) -> None:
    file = tmp_path / "claim.zip"
    file.write_bytes(cases.bundle(cases.house(tmp_path / "theirs")))
    page, hosts, errors = opened(browser, address, PHONE)
    page.goto(f"{address}/check_evidence")
    page.get_by_test_id("stFileUploaderDropzoneInput").first.set_input_files([file])
    page.get_by_text("claim.zip").wait_for()
    page.get_by_text("Grade the photos again").click()
    page.get_by_role("button", name="Check the file").click()
    page.get_by_text("This file holds as far as was checked").wait_for(timeout=60_000)
    page.get_by_text("only who was present can say that").wait_for()
    assert page.evaluate("document.querySelector('.stMain').scrollWidth") <= PHONE["width"]
    picture_of_all(page, "page-phone-check-evidence.png", PHONE)
    assert set(hosts) == {"127.0.0.1"}
    assert errors == []
    page.close()
