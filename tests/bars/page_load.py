"""People at the page, all at once: each opens it, hands in a plate of their own and waits for the verdict.

`python -m tests.bars.page_load [PEOPLE...]` prints how long they wait (1, 4 and 16), and the memory of the page.
"""

import asyncio
import os
import shutil
import statistics
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from playwright.async_api import Browser, Error, Page, async_playwright

from grader.cli.page import page_command
from tests.bars.folder_speed import make_plates
from tests.pages.running import free_port, running

PEOPLE = (1, 4, 16)
WAITS_MS = 300_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """So many people at once: how long each waited for the verdict, what went wrong, the page's highest memory."""

    people: int
    waited_seconds: tuple[float, ...]
    errors: tuple[str, ...]
    highest_mb: float
    load: float

    @property
    def late_seconds(self) -> float:
        """The 95th percentile of what they waited (of few people, the longest)."""
        if len(self.waited_seconds) == 1:
            return self.waited_seconds[0]
        return statistics.quantiles(self.waited_seconds, n=20, method="inclusive")[-1]

    @property
    def words(self) -> str:
        """It all in one line."""
        middle = statistics.median(self.waited_seconds)
        return (
            f"{self.people} at once: median {middle:.1f} s, 95th percentile {self.late_seconds:.1f} s, "
            f"{len(self.errors)} errors, page at most {self.highest_mb:.0f} MB; load {self.load:.1f}"
        )


def measure(folder: Path, people: tuple[int, ...] = PEOPLE) -> list[Load]:
    """Start the page as the command does, and let so many people at it, one crowd after another."""
    make_plates(folder, sum(people) + 1)
    plates = sorted(folder.rglob("*.jpg"))
    port = free_port()
    with running(page_command(port), port, log=folder / "page.log") as page:
        return asyncio.run(_crowds(f"http://127.0.0.1:{port}", page, people, plates))


async def _crowds(address: str, page: int, people: tuple[int, ...], plates: list[Path]) -> list[Load]:
    async with async_playwright() as playwright:
        browser = await playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        await _hand_in(await _opened(browser, address), plates.pop())  # the first one also loads the program
        found = []
        for count in people:
            opened = [await _opened(browser, address) for _ in range(count)]  # browsers would only slow each other
            told = await asyncio.gather(*(_hand_in(one, plates.pop()) for one in opened))
            found.append(
                Load(
                    people=count,
                    waited_seconds=tuple(waited for waited, _ in told),
                    errors=tuple(error for _, errors in told for error in errors),
                    highest_mb=_highest_mb(page),
                    load=os.getloadavg()[0],
                )
            )
        await browser.close()
        return found


async def _opened(browser: Browser, address: str) -> Page:
    """The page as one person has it open, ready to take a plate."""
    page = await browser.new_page()
    await page.goto(f"{address}/judge_a_batch", timeout=WAITS_MS)
    await page.get_by_role("heading", name="Judge a batch").wait_for(timeout=WAITS_MS)
    await page.get_by_test_id("stFileUploaderDropzoneInput").first.wait_for(state="attached", timeout=WAITS_MS)
    return page


async def _hand_in(page: Page, plate: Path) -> tuple[float, list[str]]:
    """Seconds from handing in a plate to the verdict, and what went wrong meanwhile."""
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    began = time.monotonic()
    try:
        await page.get_by_test_id("stFileUploaderDropzoneInput").first.set_input_files(plate, timeout=WAITS_MS)
        await page.locator(".fg-band").wait_for(timeout=WAITS_MS)
    except Error as error:
        errors.append(str(error))
    waited = time.monotonic() - began
    errors += ["the page shows an exception"] * await page.get_by_test_id("stException").count()
    await page.close()
    return waited, errors


def _highest_mb(process: int) -> float:
    """The highest memory that a process ever held."""
    lines = Path(f"/proc/{process}/status").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("VmHWM")) / 1024


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as top:
        for one in measure(Path(top), tuple(map(int, sys.argv[1:])) or PEOPLE):
            print(one.words)
            print("\n".join(one.errors))
