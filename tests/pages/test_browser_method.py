"""The study of the method in a real browser: planned on a phone, a real sample photo read, looked at on a desk."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import Browser

from grader.consistency.gauge.plan import StudySize, plan_study
from grader.records.gauge_studies import ReadLine, add_reading, begin_study, named_folder, read_study
from grader.records.standards import DEFAULT_STANDARD
from grader.standard import load_shipped
from tests.pages.test_browser import DESK, GRADED_WITHIN_MS, PHONE, opened, picture_of_all
from tests.pages.test_browser import address as address  # noqa: PLC0414  fixtures
from tests.pages.test_browser import browser as browser  # noqa: PLC0414


@pytest.fixture(scope="module", autouse=True)
def own_home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Before the page starts: it keeps its studies there, and so does this test."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("FRY_GRADER_HOME", str(tmp_path_factory.mktemp("home")))
        yield


def test_a_study_is_planned_and_a_photo_read_on_a_phone(browser: Browser, address: str, samples: Path) -> None:
    page, hosts, errors = opened(browser, address, PHONE)
    page.goto(f"{address}/watch_the_method")
    page.get_by_label("Name of the study").fill("three people")
    page.get_by_label("Who photographs").fill("AB, CD, EF")
    page.get_by_label("Who photographs").press("Enter")
    page.get_by_role("button", name="Draw the order").click()
    page.get_by_text("0 of 60 are read").wait_for(timeout=60_000)
    photo = samples / "b1" / "b1-plate1.jpg"
    page.get_by_test_id("stFileUploaderDropzoneInput").first.set_input_files([photo])
    page.get_by_text("Photo 1 is read: Place on the colour scale").wait_for(timeout=GRADED_WITHIN_MS)
    page.get_by_text("1 of 60 are read").wait_for()
    (line,) = read_study(named_folder("three people")).lines
    assert 1 < line.means["place"] < 7
    assert page.evaluate("document.querySelector('.stMain').scrollWidth") <= PHONE["width"]
    picture_of_all(page, "page-phone-study.png", PHONE)
    assert set(hosts) == {"127.0.0.1"}
    assert errors == []
    page.close()


def test_a_finished_study_is_read_at_a_desk(browser: Browser, address: str) -> None:
    size = StudySize(people=("AB", "CD"), phones=("old", "new"), plates=6)
    plan = plan_study(size, rng=np.random.default_rng(1))
    study = begin_study(
        named_folder("two phones"), plan, standard=load_shipped()[DEFAULT_STANDARD], on=date(2026, 11, 26)
    )
    rng = np.random.default_rng(2)
    for photo in plan.photos:
        place = 2 + 0.4 * int(photo.plate[1:]) + 0.2 * (photo.condition.phone == "new") + rng.normal(0, 0.03)
        line = ReadLine.model_validate(
            {
                "number": photo.number,
                "file": "made-up.jpg",
                "sha256": f"{photo.number:064x}",
                "at": "2026-11-26T09:00:00Z",
                "method_version": "2",
                "means": {"place": place},
            }
        )
        study = add_reading(study, line)
    page, hosts, errors = opened(browser, address, DESK)
    page.goto(f"{address}/watch_the_method")
    page.get_by_text("most of its doubt is the phone").wait_for(timeout=60_000)
    page.get_by_text("The analysis of variance, for QA").click()
    picture_of_all(page, "page-desk-study.png", DESK)
    assert set(hosts) == {"127.0.0.1"}
    assert errors == []
    page.close()
