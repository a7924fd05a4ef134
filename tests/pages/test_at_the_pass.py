"""At the pass: photos in, one word out, everything kept, and what the page must never say."""

import errno
import re
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from grader import pages
from grader.pages.components.pass_shots import Shot
from grader.photo import Photo
from grader.places import HOME_VARIABLE
from grader.records.database import open_house
from grader.records.database.plate_checks import PlateFacts, facts_of
from grader.records.database.reading import Wanted, batches_page, plates_page
from grader.records.house_values import HouseValues, house_values, keep_house_values
from tests.pages.conftest import ROOT
from tests.pages.test_judge_a_batch import PHOTO, REFUSED, SECOND, shown
from tests.records import made_up

Page = Callable[[], AppTest]
PASS = str(Path(pages.__file__).parent / "at_the_pass.py")


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(HOME_VARIABLE, str(tmp_path / "home"))

    def read(data: bytes, *, name: str) -> Photo:
        assert data
        return replace(made_up.photo(), name=name)

    monkeypatch.setattr("grader.pages.components.grading.read_photo", read)


@pytest.fixture
def at_the_pass(page: Page) -> AppTest:
    """A kitchen that the house knows, before its first plate."""
    keep_house_values(HouseValues(kitchen="Quayside", zone="Europe/Lisbon", shift="lunch", by="AB"))
    at = page().switch_page(PASS).run()
    assert not at.exception
    return at


def shoot(at: AppTest, photo: tuple[str, bytes, str]) -> AppTest:
    """Hand in the next photo."""
    turn = at.session_state["pass_batch"].turn
    at.file_uploader(key=f"pass_photo_{turn}").set_value([photo]).run()
    assert not at.exception
    return at


def plates() -> tuple[str, ...]:
    """The outcomes of all plates that are kept, the newest first."""
    with closing(open_house()) as house:
        return tuple(one.outcome for one in plates_page(house, Wanted()))


def test_one_photo_gives_one_word_and_is_kept(at_the_pass: AppTest) -> None:
    at = shoot(at_the_pass, PHOTO)
    told = shown(at)
    assert ">PASS<" in told
    assert "1 plate kept" in told
    assert plates() == ("pass",)


def test_who_named_no_kitchen_gets_a_verdict_and_is_told_that_nothing_is_kept(
    page: Page, monkeypatch: pytest.MonkeyPatch
) -> None:
    # The test harness can't type a new option; a browser's test does.
    monkeypatch.setattr("grader.pages.components.pass_setting.known_kitchens", lambda: ("Quayside",))
    at = shoot(page().switch_page(PASS).run(), PHOTO)
    told = shown(at)
    assert ">PASS<" in told
    assert "Not kept yet" in told
    assert plates() == ()
    at.selectbox(key="pass_kitchen").set_value("Quayside")
    at.text_input(key="pass_zone").set_value("Europe/Lisbon")
    at.run()
    assert not at.exception
    assert "1 plate kept" in shown(at)
    assert plates() == ("pass",)
    assert house_values().kitchen == "Quayside"


def test_a_full_disk_is_told_in_words_and_plates_are_judged_all_the_same(
    at_the_pass: AppTest, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_path: Path, _data: bytes) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    def full_log(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device", "uses")

    monkeypatch.setattr("grader.records.house_values.write_whole", full)
    monkeypatch.setattr("grader.pages.components.grading.note_judged", full_log)
    at = at_the_pass.selectbox(key="pass_shift").set_value("dinner").run()
    (told,) = [error.value.replace("\\", "") for error in at.error]
    assert told == "A file: No space left on device. Check the path, your rights to it and the space left."
    assert house_values().shift == "lunch"
    assert ">PASS<" in shown(shoot(at, PHOTO))
    at.selectbox(key="language").set_value("es").run()
    assert "Revise la ruta" in at.error[0].value


def test_another_plate_joins_the_batch_and_finish_keeps_its_decision(at_the_pass: AppTest) -> None:
    at = shoot(shoot(at_the_pass, PHOTO), SECOND)
    assert ">FAIL<" in shown(at)  # the made-up pipeline fails a batch of two
    at.button(key="pass_finish").click().run()
    assert not at.exception
    assert at.info[0].value.startswith("Batch of 2 plates\\: FAIL")
    with closing(open_house()) as house:
        (batch,) = batches_page(house, Wanted())
    assert (batch.kitchen, batch.shift, batch.plates, batch.outcome) == ("Quayside", "lunch", 2, "fail")
    assert ">PASS<" not in shown(shoot(at, REFUSED))


def test_a_batch_over_midnight_stays_one_batch(at_the_pass: AppTest, monkeypatch: pytest.MonkeyPatch) -> None:
    def read(data: bytes, *, name: str) -> Photo:
        assert data
        taken_at = "2026-03-06T00:05:00" if name == SECOND[0] else "2026-03-05T23:55:00"
        return replace(made_up.photo(), name=name, taken_at=taken_at)

    monkeypatch.setattr("grader.pages.components.grading.read_photo", read)
    at = shoot(shoot(at_the_pass, PHOTO), SECOND)
    at.button(key="pass_finish").click().run()
    assert "Its decision is kept" in at.info[0].value
    with closing(open_house()) as house:
        batches = batches_page(house, Wanted())
    assert [(one.plates, one.day.isoformat()) for one in batches] == [(2, "2026-03-05")]


def test_a_refused_photo_says_why_shows_how_and_leaves_the_batch(at_the_pass: AppTest) -> None:
    at = shoot(shoot(at_the_pass, PHOTO), REFUSED)
    told = shown(at)
    assert "can't be used" in told.replace("\\", "")
    assert "Lay the card beside the plate" in told
    assert ">PASS<" in told, "the batch is judged by its other plate"
    assert any("Drawing:" in str(image.proto) for image in at.get("image"))
    assert sorted(plates()) == ["pass", "refused"]


def test_a_refused_photo_leaves_the_batch_where_its_run_was_cut_off(at_the_pass: AppTest) -> None:
    at = shoot(at_the_pass, PHOTO)
    batch = at.session_state["pass_batch"]
    name, data, _ = REFUSED
    batch.shots.append(Shot(name=name, data=data, what="plain", lifted_s=None))  # as after a tap while it was graded
    batch.turn += 1
    at.run()
    assert not at.exception
    assert "can't be used" in shown(at).replace("\\", "")
    assert len(batch.shots) == 1
    assert sorted(plates()) == ["pass", "refused"]
    at.button(key="pass_finish").click().run()
    assert at.info[0].value.startswith("Batch of 1 plate\\: PASS")


def test_a_photo_refused_after_midnight_belongs_to_the_day_of_its_batch(
    at_the_pass: AppTest, monkeypatch: pytest.MonkeyPatch
) -> None:
    def read(data: bytes, *, name: str) -> Photo:
        assert data
        return replace(made_up.photo(), name=name, taken_at="2026-03-05T23:55:00")

    monkeypatch.setattr("grader.pages.components.grading.read_photo", read)
    shoot(shoot(at_the_pass, PHOTO), REFUSED)
    with closing(open_house()) as house:
        batches = batches_page(house, Wanted())
    assert [(one.plates, one.day.isoformat()) for one in batches] == [(2, "2026-03-05")]


@pytest.mark.parametrize("photo", [PHOTO, REFUSED])
def test_a_plate_that_is_kept_but_not_chained_is_told_until_the_next_is(
    at_the_pass: AppTest, tmp_path: Path, photo: tuple[str, bytes, str]
) -> None:
    in_the_way = tmp_path / "home" / "evidence"
    in_the_way.parent.mkdir(exist_ok=True)
    in_the_way.write_text("no folder")
    at = shoot(at_the_pass, photo)
    assert len(plates()) == 1
    assert "not entered in the chain" in shown(at)
    in_the_way.unlink()
    assert "not entered in the chain" not in shown(shoot(at, SECOND))


def test_a_seasoned_plate_has_lengths_and_no_colour(at_the_pass: AppTest) -> None:
    at_the_pass.segmented_control(key="pass_what").set_value("seasoned").run()
    at = shoot(at_the_pass, PHOTO)
    assert "colour is withheld" in shown(at)


def test_a_look_into_a_basket_is_no_grade_and_is_not_kept(at_the_pass: AppTest) -> None:
    at_the_pass.segmented_control(key="pass_what").set_value("look").run()
    at = shoot(at_the_pass, PHOTO)
    told = shown(at)
    assert "A look, not a grade" in told
    assert 'fg-word">' not in told
    assert plates() == ()


def test_quick_checks_are_kept_with_their_plate(at_the_pass: AppTest) -> None:
    at = shoot(at_the_pass, PHOTO)
    plate = at.session_state["pass_batch"].kept[0].plate_id
    at.segmented_control(key=f"bend_{plate}").set_value("snaps")
    at.segmented_control(key=f"crisp_{plate}").set_value(True)
    at.number_input(key=f"mass_{plate}").set_value(212)
    next(button for button in at.button if button.label == "Keep the checks").click().run()
    assert not at.exception
    with closing(open_house()) as house:
        assert facts_of(house, plate) == PlateFacts(
            bend="snaps", crisp=True, mass_g=212, window_from_s=20, window_until_s=120
        )


def test_a_scale_that_says_far_more_than_the_photo_shows_is_told(at_the_pass: AppTest) -> None:
    """Fries that were picked off between the scale and the photo; a mass that fits the photo is told to fit."""
    at = shoot(at_the_pass, PHOTO)
    plate = at.session_state["pass_batch"].kept[0].plate_id

    def told(mass_g: int) -> str:
        at.number_input(key=f"mass_{plate}").set_value(mass_g)
        next(button for button in at.button if button.label == "Keep the checks").click().run()
        assert not at.exception
        return next(one.value for one in at.caption if one.value.startswith("Scale "))

    shows = float(re.findall(r"about (\d+)", told(1000))[0])
    assert "fries may have been taken off before the photo" in told(round(4 * shows))
    assert told(round(shows)).endswith("that fits")
    assert "was the plate weighed later" in told(max(round(shows / 4), 1))


def reloaded(at: AppTest) -> AppTest:
    """The page opened anew at the address that it had: nothing of the session is left."""
    again = AppTest.from_file(str(ROOT / "app.py"), default_timeout=30)
    for name, values in at.query_params.items():
        again.query_params[name] = values
    again.run()
    again.switch_page(PASS)
    for name, values in at.query_params.items():
        again.query_params[name] = values
    return again.run()


def test_a_batch_that_was_not_finished_goes_on_after_a_reload(at_the_pass: AppTest) -> None:
    at = reloaded(shoot(at_the_pass, PHOTO))
    assert not at.exception
    told = shown(at)
    assert ">PASS<" in told
    assert "Carried on" in told
    at = shoot(at, SECOND)
    at.button(key="pass_finish").click().run()
    with closing(open_house()) as house:
        (batch,) = batches_page(house, Wanted())
    assert (batch.plates, batch.outcome) == (2, "fail")
    assert "Carried on" not in shown(reloaded(at)), "what is finished doesn't come back"


def test_another_visit_sees_nothing_of_it(at_the_pass: AppTest) -> None:
    at = shoot(at_the_pass, PHOTO)
    at.query_params.pop("visit")
    assert ">PASS<" not in shown(reloaded(at))


def test_the_houses_window_is_kept_with_the_plate_and_the_next_window_with_the_next(at_the_pass: AppTest) -> None:
    at = shoot(at_the_pass, PHOTO)
    at.number_input(key="pass_window_until").set_value(90).run()
    assert house_values().lift_until_s == 90
    shoot(at, SECOND)
    with closing(open_house()) as house:
        windows = {facts_of(house, k.plate_id).window_until_s for k in at.session_state["pass_batch"].kept.values()}
    assert windows == {120, 90}


def test_the_same_photo_twice_is_one_plate(at_the_pass: AppTest) -> None:
    shoot(shoot(at_the_pass, PHOTO), PHOTO)
    assert plates() == ("pass",)


def test_the_page_never_says_that_fries_are_done_or_safe(at_the_pass: AppTest) -> None:
    told = shown(shoot(shoot(at_the_pass, PHOTO), REFUSED)).lower().replace("of safety", "")
    assert not re.search(r"\b(done|safe|cooked through|ready)\b", told)
