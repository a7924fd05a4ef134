"""Sample times, plates needed, what they cost."""

import re
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, time, timedelta
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from grader import pages
from grader.places import HOME_VARIABLE
from grader.records.database import House, open_house
from grader.records.database.plate_checks import PlateFacts, SampledMass, keep_facts, mass_sampled
from grader.records.house_values import HouseValues, house_values, keep_house_values
from tests.pages.test_judge_a_batch import shown
from tests.records.database.conftest import keep

Page = Callable[[], AppTest]
SAMPLE = str(Path(pages.__file__).parent / "honest_sample.py")


@pytest.fixture
def sample(page: Page, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> AppTest:
    monkeypatch.setenv(HOME_VARIABLE, str(tmp_path / "home"))
    keep_house_values(HouseValues(kitchen="Harbour", zone="Europe/Lisbon", shift="dinner"))
    at = page().switch_page(SAMPLE).run()
    assert not at.exception
    return at


def drawn(at: AppTest) -> list[str]:
    return re.findall(r"\*\*(\d\d:\d\d)\*\*", shown(at))


def test_times_are_drawn_once(sample: AppTest) -> None:
    assert drawn(sample) == []
    sample.time_input(key="sample_from").set_value(time(17, 0))
    sample.time_input(key="sample_until").set_value(time(1, 0))
    sample.number_input(key="sample_count").set_value(4)
    sample.button[0].click().run()
    assert not sample.exception
    first = drawn(sample)
    assert len(first) == 4
    sample.button[0].click().run()
    assert drawn(sample) == first
    sample.run()
    assert drawn(sample) == first, "and they are told to whoever comes later"
    assert house_values().samples_a_shift == 4


def test_a_shift_too_short_says_so(sample: AppTest) -> None:
    sample.time_input(key="sample_from").set_value(time(17, 0))
    sample.time_input(key="sample_until").set_value(time(17, 2))
    sample.button[0].click().run()
    assert "too short" in sample.error[0].value


def test_less_risk_needs_more_plates(sample: AppTest) -> None:
    def plates() -> list[int]:
        return [int(found) for found in re.findall(r"\*\*(\d+) plates?\*\*", shown(sample))]

    usual = plates()
    assert len(usual) == 2
    sample.slider(key="sample_wanted").set_value(60).run()
    assert all(fewer <= more for fewer, more in zip(plates(), usual, strict=True))
    assert plates() != usual
    sample.slider(key="sample_off").set_value(0.1).run()
    assert "more plates than anybody photographs" in shown(sample), "too near the target to tell"


def test_a_weeks_plates_are_told_in_kilograms_and_money(sample: AppTest, monkeypatch: pytest.MonkeyPatch) -> None:
    def ever(house: House, kitchen: str, *, until: datetime) -> SampledMass:
        return mass_sampled(house, kitchen, until=until + timedelta(days=4000), days=8000)  # its photos have their days

    monkeypatch.setattr("grader.pages.components.honest_sample.mass_sampled", ever)
    assert "Nothing was kept yet" in shown(sample)
    with closing(open_house()) as house:
        today = datetime.now(UTC).date()
        kept = [keep(house, number, day=today, batch=f"b{number}") for number in range(1, 4)]
        keep_facts(house, kept[0].plate_id, PlateFacts(mass_g=200))
    sample.number_input(key="waste_price").set_value(2.5)
    sample.text_input(key="waste_currency").set_value("EUR").run()
    told = shown(sample)
    assert "3 plates in seven days" in told
    assert "0.6 kg · 1.50 EUR" in told
    assert "2 of them were not weighed" in told
