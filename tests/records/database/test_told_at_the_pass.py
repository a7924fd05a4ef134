"""Checks by hand, colour calls and sample times: kept, added to, read back, on both databases."""

from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from sqlalchemy import Connection

from grader.records.database import House, RecordsRefused, RecordsUnusable, engines, open_house
from grader.records.database.colour_calls import Called, calls_since, keep_call
from grader.records.database.correcting import versions_of
from grader.records.database.plate_checks import PlateFacts, facts_of, keep_facts, mass_sampled
from grader.records.database.sample_times import draw_for_shift, times_of
from tests.records.database.conftest import SETTING, keep

AT = datetime(2026, 3, 5, 12, 0, tzinfo=UTC)


def test_what_is_told_later_adds_to_what_was_told_before(house: House) -> None:
    plate = keep(house).plate_id
    assert facts_of(house, plate) == PlateFacts()
    keep_facts(house, plate, PlateFacts(lifted_s=55, seasoned=True), by="AB")
    told = keep_facts(house, plate, PlateFacts(bend="snaps", crisp=True, limp_after_5_min=False, mass_g=212), by="CD")
    assert told == facts_of(house, plate)
    assert told == PlateFacts(lifted_s=55, seasoned=True, bend="snaps", crisp=True, limp_after_5_min=False, mass_g=212)
    assert keep_facts(house, plate, PlateFacts(crisp=False)).crisp is False
    assert len(versions_of(house, "plate_check", 1)) == 3


def test_the_houses_window_stays_as_it_was_for_that_plate(house: House) -> None:
    plate = keep(house).plate_id
    keep_facts(house, plate, PlateFacts(lifted_s=50, window_from_s=20, window_until_s=120))
    told = keep_facts(house, plate, PlateFacts(bend="bends"))
    assert (told.lifted_s, told.window_from_s, told.window_until_s) == (50, 20, 120)


def test_what_several_tell_at_once_is_all_kept(house: House) -> None:
    """Each telling says everything anew: two that read the same before would lose each other's."""
    facts = (PlateFacts(held_s=5), PlateFacts(mass_g=100), PlateFacts(bend="snaps"), PlateFacts(crisp=True))
    for number in range(1, 9):
        plate = keep(house, number).plate_id
        with ThreadPoolExecutor(len(facts)) as pool:
            list(pool.map(lambda told, plate=plate: keep_facts(house, plate, told), facts))
        assert facts_of(house, plate) == PlateFacts(held_s=5, mass_g=100, bend="snaps", crisp=True)


def test_who_waits_too_long_for_a_turn_is_told(url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engines, "WAIT_S", 0.2)
    with closing(open_house(url, photos=str(tmp_path / "photos"))) as house:
        plate = keep(house).plate_id

        def while_another_waits(_: Connection) -> None:
            with ThreadPoolExecutor(1) as pool:
                pool.submit(keep_facts, house, plate, PlateFacts(mass_g=100)).result()

        with pytest.raises(RecordsUnusable, match="can't be used"):
            house.write(while_another_waits)
        assert keep_facts(house, plate, PlateFacts(mass_g=100)).mass_g == 100


def test_the_same_told_twice_is_kept_once(house: House) -> None:
    plate = keep(house).plate_id
    for _ in range(2):
        keep_facts(house, plate, PlateFacts(mass_g=200))
    assert len(versions_of(house, "plate_check", 1)) == 1


@pytest.mark.parametrize("facts", [PlateFacts(mass_g=0), PlateFacts(mass_g=90_000), PlateFacts(lifted_s=-1)])
def test_what_cannot_be_is_refused_and_nothing_kept(house: House, facts: PlateFacts) -> None:
    plate = keep(house).plate_id
    with pytest.raises(RecordsRefused, match="can't be"):
        keep_facts(house, plate, facts)
    assert facts_of(house, plate) == PlateFacts()


def test_the_mass_of_a_weeks_plates(house: House) -> None:
    first, second = keep(house, 1), keep(house, 2)
    keep(house, 3, kitchen="Hill")
    keep_facts(house, first.plate_id, PlateFacts(mass_g=200))
    keep_facts(house, first.plate_id, PlateFacts(mass_g=230))
    until = datetime.now(UTC) + timedelta(days=4000)
    found = mass_sampled(house, "Harbour", until=until, days=8000)
    assert (found.plates, found.weighed, found.weighed_g) == (2, 1, 230)
    assert second.new
    assert mass_sampled(house, "Harbour", until=until, days=1).plates == 0


def test_calls_come_back_with_whose_they_are(house: House) -> None:
    keep(house)
    from grader.records.database.reading import Wanted, plates_page

    photo = plates_page(house, Wanted())[0].photo_sha256
    for minutes, called in ((0, "pale"), (1, "right")):
        call = Called(
            by="AB",
            at=AT + timedelta(minutes=minutes),
            photo_sha256=photo,
            called=called,
            method="right",
            again=minutes > 0,
        )
        keep_call(house, call)
    found = calls_since(house, AT + timedelta(seconds=1))
    assert [(one.by, one.called, one.method, one.again) for one in found] == [("AB", "right", "right", True)]
    assert len(calls_since(house, AT)) == 2


def test_a_shift_is_drawn_once(house: House) -> None:
    end = AT + timedelta(hours=4)

    def draw(seed: int) -> tuple[datetime, ...]:
        rng = np.random.default_rng(seed)
        return draw_for_shift(house, SETTING, start=AT, end=end, samples=3, rng=rng).times

    first = draw(1)
    assert draw(2) == first
    kept = times_of(house, SETTING, AT)
    assert kept is not None
    assert kept.times == first
    assert kept.due(AT) == first[0]
    assert kept.due(first[0]) == first[1]
    assert kept.due(end) is None
    assert kept.taken_for(first[0]) == first[0]
    assert kept.taken_for(first[0] + timedelta(minutes=29)) == first[0] or first[1] - first[0] < timedelta(minutes=30)
    assert kept.taken_for(first[-1] + timedelta(minutes=31)) is None
    assert times_of(house, SETTING, AT + timedelta(days=1)) is None
    assert times_of(house, replace(SETTING, kitchen="nobody knows it", zone=""), AT) is None


def test_a_late_shift_keeps_its_times_after_midnight(house: House) -> None:
    start = AT.astimezone(ZoneInfo(SETTING.zone)).replace(hour=22, minute=0)
    end = start + timedelta(hours=4)
    drawn = draw_for_shift(house, SETTING, start=start, end=end, samples=8, rng=np.random.default_rng(1))
    midnight = start + timedelta(hours=2)
    for moment in (start, midnight + timedelta(hours=1), drawn.times[-1] + timedelta(minutes=10)):
        told = times_of(house, SETTING, moment)
        assert told is not None
        assert told.times == drawn.times
    assert times_of(house, SETTING, end + timedelta(minutes=31)) is None
