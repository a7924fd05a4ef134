"""Charts on the page: an invented example where records are empty; what they hold, with the photos of a change."""

import re
from base64 import b64decode
from collections.abc import Callable
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from grader import pages
from grader.consistency.baseline import freeze
from grader.consistency.model import EventKind
from grader.records.database import House, Setting, open_house
from grader.records.database.keeping import know_kitchen
from grader.records.database.reading import Wanted
from grader.records.database.watching import keep_event
from grader.records.kept_files import Signed
from grader.records.shift_baselines import keep_baseline, kept_baseline
from grader.records.shift_sources import baseline_chart, from_house
from tests.bars.records import house_standard
from tests.consistency.harbour import keep_harbour
from tests.consistency.weeks import EVERY, START
from tests.pages.conftest import Page

Opened = Callable[[], AppTest]
PAGE = str(Path(pages.__file__).parent / "shift_to_shift.py")


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path))
    for name in ("FRY_GRADER_RECORDS", "FRY_GRADER_PHOTOS"):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture
def opened(page: Page) -> Opened:
    return lambda: page().switch_page(PAGE).run()


def shown(at: AppTest) -> str:
    assert not at.exception
    told = [*at.markdown, *at.info, *at.warning, *at.error, *at.caption]
    return " ".join(str(one.value) for one in told).replace("\\", "")


def charts(at: AppTest) -> list[str]:
    """The wide pictures, as SVG."""
    bodies = [str(one.proto.body) for one in at.get("html") if "fg-chart" in str(one.proto.body)]
    return [
        b64decode(re.findall(r'fg-wide" src="data:image/svg\+xml;base64,([^"]+)"', body)[0]).decode() for body in bodies
    ]


def test_empty_records_say_how_to_fill_them_and_offer_an_example(opened: Opened) -> None:
    at = opened()
    assert "The records hold no plate" in shown(at)
    assert not charts(at)
    at.checkbox(key="shift_example").check().run()
    words = shown(at)
    assert "Invented kitchen, fryer left" in at.selectbox(key="shift_line").options
    assert "New lot A-112 (invented), before batch 31" in words
    assert "Oil changed (invented), before batch 43" in words
    assert "a batch beyond the limits, darker" in words
    assert "Changed since oil changed (invented): most likely between batch 50" in words
    assert "Hot oil burns" in words
    (chart,) = charts(at)
    assert "2: oil changed (invented), before 28 Sep 10:00" in chart


def test_measures_rules_and_shares_can_be_chosen(opened: Opened) -> None:
    at = opened()
    at.checkbox(key="shift_example").check().run()
    at.segmented_control(key="shift_what").set_value("length").run()
    assert "Mean length" in charts(at)[0]
    at.multiselect(key="shift_shares").set_value(["dark_end"]).run()
    assert len(charts(at)) == 2
    assert "Dark ends: usually" in shown(at)
    at.segmented_control(key="shift_what").set_value("place")
    at.multiselect(key="shift_rules").set_value([]).run()
    assert "None of 56 batches stands out." in shown(at)


@pytest.fixture
def harbour() -> House:
    return keep_harbour(open_house())


def test_the_records_are_charted_with_photos_on_both_sides_of_a_change(opened: Opened, harbour: House) -> None:
    oil = Setting(kitchen="Harbour", fryer="left", by="AB")
    keep_event(harbour, oil, EventKind.OIL_CHANGED, at=START + 12 * EVERY)
    hill = Setting(kitchen="Hill", zone="Europe/Lisbon", by="AB")
    know_kitchen(harbour, hill)
    at = opened()
    assert at.selectbox(key="shift_kitchen").options == ["Harbour", "Hill"]
    words = shown(at)
    assert "invented" not in words
    assert at.selectbox(key="shift_line").options == ["Harbour, fryer left"]
    assert "Since the last batch: oil changed. Fry a first basket" in words
    by_lisbons_clock = "most likely between batch 8 (2 Sep 14:00)"
    assert f"Changed in the stretch before any event: {by_lisbons_clock}" in words
    assert len(at.get("image")) == 4


def test_a_frozen_baseline_is_used_and_another_can_be_tried(opened: Opened, harbour: House) -> None:
    plates = from_house(harbour, Wanted(), standard=house_standard()).plates
    frozen = freeze(plates, "place", from_at=START, to_at=START + 7 * EVERY)
    chart = baseline_chart(plates, "place")
    keep_baseline(harbour, chart, frozen, Signed(by="AB", at=START, why="before the new hand"))
    assert kept_baseline(harbour, chart) == frozen
    at = opened()
    assert "The baseline was frozen in the records" in shown(at)
    assert "8 batches (16 plates), level 3.0" in shown(at)
    assert "batches 9 to 12 (" in shown(at)
    at.checkbox(key="shift_other").check().run()
    assert "these are the earliest 12 batches" in shown(at)
    at.date_input(key="shift_from").set_value(START.date())
    at.date_input(key="shift_until").set_value((START + 7 * EVERY).date()).run()
    assert "these are the earliest" not in shown(at)


def test_too_few_batches_are_told_in_words(opened: Opened, harbour: House) -> None:
    assert harbour.file is not None
    at = opened()
    at.date_input(key="shift_from").set_value(START.date())
    at.date_input(key="shift_until").set_value(START.date()).run()
    assert "there are 4 batches to go by" in shown(at)
