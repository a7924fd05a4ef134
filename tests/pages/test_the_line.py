"""The pages about the fry line and a new lot, without a browser."""

from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from streamlit.testing.v1 import AppTest

from grader import pages
from grader.grading import GradedPhoto
from grader.line.causes import facts_of
from grader.line.house_notes import HouseNotes
from grader.line.laid_strips import LaidError
from grader.line.lot_fry import Lot, TestStrip
from grader.line.lot_fry_table import Planned
from grader.line.sheet import LineSheet
from grader.places import HOME_VARIABLE
from grader.records.database import open_house
from grader.records.database.line_sheets import keep_sheet, sheet_of
from grader.records.house_values import HouseValues, keep_house_values
from tests.line.simulated import draw_kitchen, trial
from tests.records import made_up
from tests.records.database.conftest import keep

FOLDER = Path(pages.__file__).parent
Open = Callable[[str], AppTest]


@pytest.fixture
def opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Open:
    """Opens a page of a house that has named its kitchen, over records of its own."""
    monkeypatch.setenv(HOME_VARIABLE, str(tmp_path))
    keep_house_values(HouseValues(kitchen="Quayside", zone="Europe/Lisbon"))
    monkeypatch.delenv("FRY_GRADER_RECORDS", raising=False)

    def open_page(name: str) -> AppTest:
        at = AppTest.from_file(str(FOLDER / name), default_timeout=60).run()
        assert not at.exception
        assert not at.error
        return at

    return open_page


def words(at: AppTest) -> str:
    kinds = (at.markdown, at.caption, at.success, at.warning, at.error, at.info)
    return "\n".join(str(one.value) for kind in kinds for one in kind)


def field(at: AppTest, title: str) -> object:
    return next(one for one in at.number_input if one.label == title)


def press(at: AppTest, label: str) -> AppTest:
    next(one for one in at.button if one.label == label).click().run()
    assert not at.exception
    return at


def test_a_sheet_is_kept_questions_asked_and_the_law_shown(opened: Open) -> None:
    at = opened("the_line.py")
    field(at, "Finish, oil, °C").set_value(191.0)  # type: ignore[attr-defined]
    field(at, "Hold, min").set_value(25.0)  # type: ignore[attr-defined]
    press(at, "Keep this sheet")
    told = words(at)
    assert "Kept with batch 1." in told
    assert "Hold: 25 min. Usual is 0–10 min (common practice)." in told
    assert any("It holds where this kitchen is." in one.value for one in at.error)
    with closing(open_house()) as house:
        assert sheet_of(house, 1).sheet == LineSheet(finish_c=191.0, hold_min=25.0)


def test_the_next_sheet_begins_with_the_last_values(opened: Open) -> None:
    at = opened("the_line.py")
    field(at, "Finish, oil, °C").set_value(172.0)  # type: ignore[attr-defined]
    press(at, "Keep this sheet")
    again = opened("the_line.py")
    assert field(again, "Finish, oil, °C").value == 172.0  # type: ignore[attr-defined]


def test_what_nobody_touches_is_kept_as_it_was(opened: Open) -> None:
    with closing(open_house()) as house:
        kept = keep(house, 1)
        keep_sheet(house, kept.batch_id, LineSheet(finish_c=172.5, cut_mm=3.0))
    keep_house_values(HouseValues(kitchen="Harbour", zone="Europe/Lisbon"))
    for lengths, temperatures in (("mm", "°C"), ("in", "°F")):
        at = opened("the_line.py")
        at.session_state["lengths"], at.session_state["temperatures"] = lengths, temperatures
        batch = at.selectbox(key="line_batch_Harbour")
        batch.set_value(batch.options[1]).run()
        assert not at.exception
        assert not at.error
        press(at, "Keep this sheet")
        with closing(open_house()) as house:
            assert sheet_of(house, kept.batch_id).sheet == LineSheet(finish_c=172.5, cut_mm=3.0)


def test_batches_that_are_called_alike_get_their_own_sheets(opened: Open) -> None:
    with closing(open_house()) as house:
        ids = [keep(house, number, batch="plates", fryer=f"{number}").batch_id for number in (1, 2)]
    keep_house_values(HouseValues(kitchen="Harbour", zone="Europe/Lisbon"))
    for turn in (1, 2):
        at = opened("the_line.py")
        batch = at.selectbox(key="line_batch_Harbour")
        batch.set_value(batch.options[turn]).run()
        field(at, "Finish, oil, °C").set_value(170.0 + turn)  # type: ignore[attr-defined]
        press(at, "Keep this sheet")
    with closing(open_house()) as house:
        assert sorted(sheet_of(house, one).sheet.finish_c or 0.0 for one in ids) == [171.0, 172.0]


def test_a_batch_stays_chosen_when_another_plate_of_it_is_kept(opened: Open) -> None:
    with closing(open_house()) as house:
        first = keep(house, 1)
    keep_house_values(HouseValues(kitchen="Harbour", zone="Europe/Lisbon"))
    at = opened("the_line.py")
    batch = at.selectbox(key="line_batch_Harbour")
    batch.set_value(batch.options[1]).run()
    with closing(open_house()) as house:
        assert keep(house, 2).batch_id == first.batch_id
    field(at, "Hold, min").set_value(5.0)  # type: ignore[attr-defined]
    press(at, "Keep this sheet")
    assert f"Kept with batch {first.batch_id}." in words(at)


def test_causes_of_what_a_cook_sees(opened: Open) -> None:
    at = opened("the_line.py")
    at.multiselect(key="cause_seen_None").set_value(["dark_ends"]).run()
    assert not at.exception
    told = words(at)
    assert "**1. Sugar ends\\: growing stress of the lot** :red-badge[likely]" in told
    assert "Only ends are dark" in told
    assert "check: Lot test fry" in told


def test_what_a_verdict_has_and_a_cook_takes_out_is_not_so(opened: Open, monkeypatch: pytest.MonkeyPatch) -> None:
    by_verdict, asked = {"dark": True, "widths": True, "torn": False}, []

    def note(seen: dict[str, bool], *others: Any) -> dict[str, Any]:
        asked.append(seen)
        return facts_of(seen, *others)

    causes = "grader.pages.components.line_causes"
    monkeypatch.setattr(f"{causes}._kept", lambda _: (by_verdict, LineSheet(), HouseNotes(), None))
    monkeypatch.setattr(f"{causes}.facts_of", note)
    at = opened("the_line.py")
    assert at.multiselect(key="cause_seen_None").value == ["dark", "widths"]
    at.multiselect(key="cause_seen_None").set_value(["dark"]).run()
    assert not at.exception
    assert asked[-1]["dark"] is True
    assert asked[-1]["widths"] is False


def test_causes_take_in_what_is_kept_of_the_batch(opened: Open) -> None:
    at = opened("the_line.py")
    field(at, "Hold, min").set_value(30.0)  # type: ignore[attr-defined]
    press(at, "Keep this sheet")
    at.multiselect(key="cause_seen_1").set_value(["limp"]).run()
    assert "**1. They were held for too long** :red-badge[likely]" in words(at)
    at.selectbox(key="cause_found_1").set_value("held_too_long").run()
    press(at, "Keep what is known")
    with closing(open_house()) as house:
        assert sheet_of(house, 1).cause_found == "held_too_long"


def test_a_load_and_its_terms(opened: Open) -> None:
    at = opened("the_line.py")
    told = words(at)
    assert "2257 kJ/kg, steam tables, from memory" in told
    metrics = {one.label: one.value for one in at.metric}
    assert metrics["Largest load"].endswith(" kg")
    at.number_input(key="load_kg").set_value(3.0).run()
    assert {one.label: one.value for one in at.metric} != metrics


def test_a_load_that_no_fryer_takes_says_so_in_place_of_figures(opened: Open) -> None:
    at = opened("the_line.py")
    at.number_input(key="load_oil_l").set_value(3.0)
    at.number_input(key="load_kg").set_value(12.0).run()
    assert not at.exception
    assert any("fall below 100 °C" in one.value for one in at.warning)
    metrics = {one.label: one.value for one in at.metric}
    assert metrics["The oil falls by"] == metrics["It is back after"] == "–"


def test_a_trial_is_planned(opened: Open) -> None:
    at = press(opened("the_line.py"), "Plan them")
    assert "Fry them in this order" in words(at)
    press(at, "Read the trial")
    assert any("12" in one.value or "few" in one.value for one in at.error)


def test_a_lot_weighed_floated_and_counted(opened: Open) -> None:
    at = opened("new_lot.py")
    at.number_input(key="lot_air").set_value(3600.0).run()
    at.number_input(key="lot_water").set_value(262.0).run()
    at.text_input(key="lot_counts").set_value("3 9 6 2").run()
    at.text_input(key="lot_masses").set_value("262 301 240 255 288").run()
    assert not at.exception
    metrics = {one.label: one.value for one in at.metric}
    assert metrics["Specific gravity"] == "1.0785 ± 0.0006"
    assert metrics["Mean specific gravity of the lot"].startswith("1.0")
    assert metrics["Mean of those weighed"] == "269 g"
    assert "von Scheele" in words(at)
    at.text_input(key="lot_masses").set_value("many").run()
    assert any("Write numbers" in one.value for one in at.error)


def test_a_lot_test_fry_offers_its_sheet_and_waits_for_photos(opened: Open) -> None:
    at = opened("new_lot.py")
    assert "1. Plan it, and print the sheet" in words(at)
    at.number_input(key="lot_fry_baskets").set_value(20).run()
    assert not at.exception


def test_where_another_cuts_trial_may_begin(opened: Open) -> None:
    at = opened("the_line.py")
    assert {one.label: one.value for one in at.metric}["Begin a trial near"].startswith("232 ± ")
    at.number_input(key="cut_new_MILLIMETRES").set_value(40.0).run()
    assert any("nothing can be foretold" in one.value for one in at.error)


def scored(planned: Sequence[Planned], graded: GradedPhoto, **_: object) -> tuple[TestStrip, ...]:
    """Every second tuber of the new lot has a sugar end, and the lot is 0.6 steps darker."""
    if "wrong" in graded.name:
        raise LaidError("The photo shows 3 pieces, and the basket has 16 strips.", hint="Lay the strips apart.")
    rng = np.random.default_rng(len(graded.name))
    return tuple(
        TestStrip(
            lot=one.lot,
            carton=one.carton,
            tuber=one.tuber,
            basket=one.basket,
            place=3.8 + 0.6 * (one.lot is Lot.NEW) + 0.2 * float(rng.normal()),
            sugar_end=one.lot is Lot.NEW and int(one.tuber) % 2 == 0,
            number=1.2,
            stem_number=3.5 if one.lot is Lot.NEW else 1.3,
        )
        for one in planned
    )


def test_a_lot_test_fry_from_photos_to_its_answer(opened: Open, monkeypatch: pytest.MonkeyPatch) -> None:
    flow = "grader.pages.components.lot_fry_flow"
    monkeypatch.setattr(f"{flow}.grading.grade_one", lambda name, *_, **__: made_up.graded(name))
    monkeypatch.setattr(f"{flow}.strips_of_photo", scored)
    at = opened("new_lot.py")
    photos = [(f"basket-{number}.jpg", b"made up %d" % number, "image/jpeg") for number in range(1, 6)]
    at.file_uploader(key="lot_photos").set_value(photos[:2]).run()
    assert "2 of 5 baskets so far." in words(at)
    at.file_uploader(key="lot_photos").set_value(photos).run()
    assert not at.exception
    told = words(at)
    assert "**No.** Sugar ends: 27% to 73% of the lot (95 %); the house allows 9%. No time mends them." in told
    assert "Sugar ends, new lot: 10 of 20 tubers, so 27% to 73% of the lot (exact, 95 %)." in told
    assert "new lot: body 1.2, stem end 3.5; 20 of 20 tubers have a stem end of 3.0 or darker." in told
    metrics = {one.label: one.value for one in at.metric}
    assert 0.4 < float(metrics["New lot darker by, steps"]) < 0.8
    at.file_uploader(key="lot_photos").set_value([*photos[:4], ("wrong.jpg", b"made up", "image/jpeg")]).run()
    assert any("3 pieces" in one.value for one in at.error)
    assert "No time mends them" not in words(at)
    at.file_uploader(key="lot_photos").set_value([*photos, ("basket-6.jpg", b"made up", "image/jpeg")]).run()
    assert [one.value for one in at.error] == ["6 photos of 5 baskets: give one of each."]


def test_photos_of_many_baskets_are_taken_in_their_order(opened: Open, monkeypatch: pytest.MonkeyPatch) -> None:
    flow, taken = "grader.pages.components.lot_fry_flow", []

    def note(planned: Sequence[Planned], graded: GradedPhoto, **_: object) -> tuple[TestStrip, ...]:
        taken.append((planned[0].basket, graded.name))
        return scored(planned, graded)

    monkeypatch.setattr(f"{flow}.grading.grade_one", lambda name, *_, **__: made_up.graded(name))
    monkeypatch.setattr(f"{flow}.strips_of_photo", note)
    at = opened("new_lot.py")
    at.number_input(key="lot_fry_baskets").set_value(10).run()
    photos = [(f"basket {number}.jpg", b"made up %d" % number, "image/jpeg") for number in range(1, 11)]
    at.file_uploader(key="lot_photos").set_value(photos).run()
    assert not at.exception
    assert taken[-10:] == [(str(number), f"basket {number}.jpg") for number in range(1, 11)]


def test_a_photo_given_twice_is_no_two_baskets(opened: Open, monkeypatch: pytest.MonkeyPatch) -> None:
    flow = "grader.pages.components.lot_fry_flow"
    monkeypatch.setattr(f"{flow}.grading.grade_one", lambda name, *_, **__: made_up.graded(name))
    monkeypatch.setattr(f"{flow}.strips_of_photo", scored)
    at = opened("new_lot.py")
    photos = [(f"basket-{number}.jpg", b"made up %d" % min(number, 4), "image/jpeg") for number in range(1, 6)]
    at.file_uploader(key="lot_photos").set_value(photos).run()
    told = words(at)
    assert "A photo that was given twice counts once." in told
    assert "4 of 5 baskets so far." in told


@pytest.mark.parametrize("counts", ["3 nan 6 2", "3 inf 6 2", "3 9.5 6 2"])
def test_tubers_are_counted_in_whole_numbers(opened: Open, counts: str) -> None:
    at = opened("new_lot.py")
    at.text_input(key="lot_counts").set_value(counts).run()
    assert [one.value for one in at.error] == ["Count tubers in whole numbers, with blanks between them: 3 9 6 2"]
    assert not any(one.label == "Mean specific gravity of the lot" for one in at.metric)


def test_a_trial_is_read_and_its_window_drawn(opened: Open) -> None:
    rng = np.random.default_rng(5)
    kitchen = draw_kitchen(rng)
    at = opened("the_line.py")
    at.session_state["line_trial_rows"] = [(one.time_s, one.celsius, one.place) for one in trial(kitchen, rng)]
    at.number_input(key="trial_celsius_CELSIUS").set_value(kitchen.celsius).run()
    press(at, "Read the trial")
    assert not at.error
    metrics = {one.label: one.value for one in at.metric}
    assert abs(float(metrics["Time to the middle of the target"].removesuffix(" s")) / kitchen.time_s - 1) < 0.2
    told = words(at)
    assert "Times over temperatures tried." in told
    assert "on plates left out in turn" in told
