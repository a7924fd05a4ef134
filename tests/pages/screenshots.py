"""README's pictures of the page: `python -m tests.pages.screenshots` makes them anew from the true page.

The plates are sample plates (rendered, of an invented house); the records are made for it and thrown away.
"""

import tempfile
from pathlib import Path

import cv2
from playwright.sync_api import Page, sync_playwright

from grader.records.house_values import HouseValues, keep_house_values
from tests.bars.pages import DESK, PHONE, served, settled
from tests.pages.running import ROOT

FOLDER = ROOT / "sample_images"
WAIT_MS = 240_000
QUALITY = 82


def shoot(page: Page, photo: Path) -> None:
    """Hand in a photo and wait until its verdict and picture are there."""
    page.get_by_test_id("stFileUploaderDropzoneInput").first.set_input_files(photo)
    page.locator(".fg-band").first.wait_for(timeout=WAIT_MS)
    page.get_by_text("kept.").first.wait_for(timeout=WAIT_MS)
    settled(page)
    page.wait_for_timeout(1500)


def save(page: Page, name: str, *, height_px: int) -> None:
    """What shows, as a JPEG."""
    size = page.viewport_size
    assert size is not None
    page.set_viewport_size({"width": size["width"], "height": height_px})
    page.wait_for_timeout(1200)
    with tempfile.NamedTemporaryFile(suffix=".png") as file:
        page.screenshot(path=file.name)
        picture = cv2.imread(file.name)
    assert picture is not None
    cv2.imwrite(str(FOLDER / name), picture, [cv2.IMWRITE_JPEG_QUALITY, QUALITY])


def main() -> None:
    """The three pictures."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder) / "home"
        keep_house_values(HouseValues(kitchen="Quayside (invented)", zone="Europe/Lisbon", shift="lunch"), home)
        with served(home) as address, sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
            phone = browser.new_page(viewport=PHONE, device_scale_factor=2)
            phone.goto(address)
            settled(phone)
            shoot(phone, FOLDER / "b1" / "b1-plate1.jpg")
            save(phone, "page-at-the-pass.jpg", height_px=860)
            phone.get_by_text("Finish this batch").click()
            phone.wait_for_timeout(2000)
            spanish = browser.new_page(viewport=PHONE, device_scale_factor=2, locale="es-MX")
            spanish.goto(address)
            settled(spanish)
            spanish.get_by_test_id("stFileUploaderDropzoneInput").first.set_input_files(
                FOLDER / "refused" / "bad-glare.jpg"
            )
            spanish.get_by_text("Esta foto no sirve").wait_for(timeout=WAIT_MS)
            settled(spanish)
            save(spanish, "page-refused.jpg", height_px=860)
            desk = browser.new_page(viewport=DESK)
            desk.goto(f"{address}/judge_a_batch")
            settled(desk)
            desk.get_by_test_id("stFileUploaderDropzoneInput").first.set_input_files(FOLDER / "b3" / "b3-plate1.jpg")
            desk.locator(".fg-band").first.wait_for(timeout=WAIT_MS)
            settled(desk)
            desk.get_by_text("By colour").click()
            strip = desk.get_by_role("img", name="straightened")
            strip.wait_for(timeout=WAIT_MS)
            strip.scroll_into_view_if_needed()
            desk.wait_for_timeout(1500)
            box = strip.screenshot()
            (Path(folder) / "strip.png").write_bytes(box)
            picture = cv2.imread(str(Path(folder) / "strip.png"))
            assert picture is not None
            cv2.imwrite(str(FOLDER / "page-strip.jpg"), picture, [cv2.IMWRITE_JPEG_QUALITY, QUALITY])
            browser.close()


if __name__ == "__main__":
    main()
