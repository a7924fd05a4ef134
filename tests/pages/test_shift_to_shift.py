"""Charts on the page: an invented example where records are empty; what they hold, with the photos of a change."""

import re
from base64 import b64decode
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, time
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from streamlit.testing.v1 import AppTest

from grader import pages
from grader.consistency.baseline import freeze
from grader.consistency.change_words import MEASURE_WORDS, change_lines
from grader.consistency.model import EventKind
from grader.consistency.rules import RULES
from grader.consistency.shift_watch import Asked, lines_of, shift_watch
from grader.consistency.signal_words import baseline_line, share_line, signal_lines
from grader.language.retelling import untold
from grader.pages.components.invented_shifts import invented_shifts
from grader.records.database import House, Setting, open_house
from grader.records.database.keeping import know_kitchen
from grader.records.database.reading import Wanted
from grader.records.database.watching import keep_event
from grader.records.kept_files import Signed
from grader.records.shift_baselines import keep_baseline, kept_baseline
from grader.records.shift_sources import baseline_chart, from_house, kitchen_clock
from grader.records.standards import DEFAULT_STANDARD
from grader.roles.model import Actor, Role
from grader.standard import load_shipped
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
    assert "Batches of that period: 4." in shown(at)


def test_the_target_of_the_standard_is_drawn_for_colour_and_for_nothing_else(opened: Opened) -> None:
    at = opened()
    at.checkbox(key="shift_example").check().run()
    scale = load_shipped()[DEFAULT_STANDARD].scale
    told = f"target, {scale.target_from:g} to {scale.target_to:g}."
    assert told in charts(at)[0]
    at.segmented_control(key="shift_what").set_value("length").run()
    assert told not in charts(at)[0]


def test_a_photo_that_no_browser_knows_is_told_and_stops_nothing(
    opened: Opened, harbour: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert harbour.file is not None
    monkeypatch.setattr("grader.records.database.photos.PhotoFolder.get", lambda _, sha256: f"no {sha256}".encode())
    words = shown(opened())
    assert "its photo is not there any more" in words
    assert "A fault of this program" not in words


def press(at: AppTest, label: str) -> AppTest:
    next(one for one in at.button if one.label == label).click().run()
    assert not at.exception
    return at


def test_the_baseline_that_is_shown_is_frozen_with_initials_and_a_reason(opened: Opened, harbour: House) -> None:
    at = press(opened(), "Freeze it")
    chart = baseline_chart(from_house(harbour, Wanted(), standard=house_standard()).plates, "place")
    assert at.error, "nothing is frozen without a name and a reason"
    assert kept_baseline(harbour, chart) is None
    at.date_input(key="shift_from").set_value(START.date())
    at.date_input(key="shift_until").set_value((START + 7 * EVERY).date()).run()
    at.text_input(key="shift_freeze_by").set_value("AB")
    at.text_input(key="shift_freeze_why").set_value("before the new hand")
    press(at, "Freeze it")
    frozen = kept_baseline(harbour, chart)
    assert frozen is not None
    assert frozen.batches < 12
    assert "these are the earliest" not in shown(at)
    assert "It is frozen already" in shown(at)


def test_an_event_that_is_added_parts_the_chart_by_the_kitchens_clock(opened: Opened, harbour: House) -> None:
    at = opened()
    at.selectbox(key="shift_event_kind").set_value(EventKind.OIL_CHANGED)
    at.date_input(key="shift_event_day").set_value((START + 8 * EVERY).date())
    at.time_input(key="shift_event_time").set_value(time(13, 30))
    at.text_input(key="shift_event_words").set_value("half of it")
    at.text_input(key="shift_event_by").set_value("AB")
    press(at, "Keep the event")
    assert "The event is kept" in at.success[0].value
    (event,) = from_house(harbour, Wanted(), standard=house_standard()).events
    in_lisbon = event.at.astimezone(ZoneInfo("Europe/Lisbon"))
    assert (event.kind, event.fryer, event.words) == (EventKind.OIL_CHANGED, "left", "half of it")
    assert (in_lisbon.hour, in_lisbon.minute) == (13, 30)
    assert "Oil changed (half of it), before batch" in shown(at)


def test_an_auditor_reads_the_charts_and_changes_nothing(harbour: House, monkeypatch: pytest.MonkeyPatch) -> None:
    assert harbour.file is not None
    auditor = Actor(name="a@house.example", roles=frozenset({Role.AUDITOR}))
    monkeypatch.setattr("grader.pages.components.acting.who_acts", lambda: auditor)
    at = AppTest.from_file(PAGE, default_timeout=30).run()
    assert charts(at)
    assert not [one for one in at.button if one.label in {"Freeze it", "Keep the event"}]


def test_everything_that_a_chart_says_is_said_in_spanish(opened: Opened) -> None:
    """Each line of every measure, with all rules on, over weeks with events, a drift and a change."""
    said: set[str] = set()
    for measure in MEASURE_WORDS:
        source = invented_shifts(house_standard())
        drifting = tuple(
            replace(plate, place_mean=(plate.place_mean or 0) + 0.05 * k / 3) for k, plate in enumerate(source.plates)
        )
        for plates, events in ((source.plates, source.events), (source.plates[:40], ()), (drifting, source.events)):
            (line,) = lines_of(plates).values()
            asked = Asked(measure=measure, baseline=None, rules=frozenset(RULES), share_keys=("dark_end",))
            told = shift_watch(line, events, asked, np.random.default_rng(0))
            clock = kitchen_clock(UTC)
            said |= {
                baseline_line(told, clock),
                *signal_lines(told, clock),
                *change_lines(told.changed, measure, clock),
            }
            said |= {share_line(key, share, clock) for key, share in told.shares.items()}
    assert len(said) > 30
    assert [left for line in sorted(said) for left in untold(line, "es")] == []
    at = opened()
    at.session_state["language"] = "es"
    at.checkbox(key="shift_example").check().run()
    (chart,) = charts(at)
    assert "Franja gris" in chart
    assert not re.search(r"\b(batch|the|before|level|steps)\b", re.sub(r"<path[^>]*>|<svg[^>]*>", "", chart))
