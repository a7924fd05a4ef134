"""A plate mended on the page: real photograph, real mending; `test_browser.py` taps on the picture itself."""

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest
from streamlit.testing.v1.element_tree import Button

from grader.arrays import FloatArray
from grader.drawing import MendPicture, draw_for_mending
from grader.fries.mends import Drop, Join, Restore, Split, mend_words
from grader.grading import GradedPhoto, grade_photo
from grader.mending import mend_photo
from grader.pages.components.mend_choice import Choice, Hand, Kind, candidates, mend_of, tapped, wanted
from grader.standard import load_shipped
from tests.fries.photographs import file_of, picture
from tests.pages.conftest import JUDGE_A_BATCH

ROOT = Path(__file__).parents[2]
STANDARD = load_shipped()["strips-9.5mm-skin-on"]
NAME = "six fries.jpg"


@pytest.fixture(scope="module")
def file() -> bytes:
    return file_of(picture())


@pytest.fixture(scope="module")
def graded(file: bytes) -> GradedPhoto:
    found = grade_photo(file, name=NAME, standard=STANDARD)
    assert found.plate is not None
    assert len(found.plate.fries) == 6
    return found


@pytest.fixture
def at(file: bytes, graded: GradedPhoto, monkeypatch: pytest.MonkeyPatch) -> Iterator[AppTest]:
    """The page with the photo judged, and the place for mends open."""
    monkeypatch.setattr("grader.records.guarded.grade_photo", lambda *_, **__: graded)
    st.cache_resource.clear()
    page = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60).run().switch_page(JUDGE_A_BATCH).run()
    page.file_uploader(key="photos").set_value([(NAME, file, "image/jpeg")]).run()
    page.toggle[0].set_value(True).run()
    assert not page.exception
    yield page
    st.cache_resource.clear()


def photo_key(at: AppTest) -> str:
    key = at.toggle[0].key
    assert key is not None
    return key.removeprefix("mend_open_")


def shown(at: AppTest) -> str:
    kinds = ("html", "markdown", "caption", "error")
    return "\n".join(
        str(element.value if hasattr(element, "value") else element.proto) for kind in kinds for element in at.get(kind)
    )


def choose(at: AppTest, kind: Kind, numbers: list[int], *, by: str = "AB") -> None:
    at.segmented_control(key=f"mend_kind_{photo_key(at)}").set_value(kind).run()
    at.multiselect[0].set_value(numbers).run()
    at.text_input(key=f"mend_by_{photo_key(at)}").set_value(by).run()


def type_points(at: AppTest, middle: FloatArray) -> None:
    """Two points above and below a point of a fry that lies nearly level."""
    above_below = [middle[0], middle[1] - 40, middle[0], middle[1] + 40]
    for place, value in enumerate(above_below):
        at.number_input[place].set_value(round(value)).run()
    at.text_input(key=f"mend_by_{photo_key(at)}").set_value("AB").run()


def do(at: AppTest) -> None:
    at.button(key=f"mend_do_{photo_key(at)}").click().run()
    assert not at.exception


def ways_back(at: AppTest) -> list[Button]:
    return [one for one in at.button if one.label == "Take back"]


def kept(at: AppTest) -> tuple[str, ...]:
    return tuple(mend_words(mend) for mend in at.session_state["mends"].get(photo_key(at), ()))


def test_nothing_is_told_of_mending_until_somebody_mends(at: AppTest) -> None:
    assert "Without mending" not in shown(at)
    assert at.session_state["mends"] == {}
    assert at.button(key=f"mend_do_{photo_key(at)}").label == "Join"


def test_a_dropped_fry_is_told_with_both_verdicts(at: AppTest) -> None:
    choose(at, Kind.DROP, [3])
    do(at)
    told = shown(at)
    assert kept(at) == ("3 dropped",)
    assert "<b>Mended by AB:</b> 3 dropped." in told
    assert told.count("With mending") == told.count("Without mending") == 1
    assert "5 fries on 1 plate" in told
    assert "6 fries on 1 plate" in told


def test_joining_gives_a_new_number_and_leaves_the_others(at: AppTest) -> None:
    choose(at, Kind.JOIN, [2, 1])
    assert at.button(key=f"mend_do_{photo_key(at)}").label == "Join 1 and 2"
    do(at)
    assert kept(at) == ("1 and 2 joined: now 7",)
    assert list(at.dataframe[0].value["fry"]) == [3, 4, 5, 6, 7]
    assert at.multiselect[0].value == []


def test_a_fry_is_split_by_points_that_are_typed(at: AppTest, graded: GradedPhoto) -> None:
    at.segmented_control(key=f"mend_kind_{photo_key(at)}").set_value(Kind.SPLIT).run()
    assert graded.plate is not None
    type_points(at, graded.plate.fries[0].centreline_px.mean(axis=0))
    number = graded.plate.fries[0].number
    assert at.button(key=f"mend_do_{photo_key(at)}").label == f"Split {number}"
    do(at)
    assert kept(at) == (f"{number} split: now 7 and 8",)


@pytest.mark.parametrize(("numbers", "by", "told"), [([3], "", "initials"), ([], "AB", "Choose a fry")])
def test_a_mend_that_lacks_something_is_not_made(at: AppTest, numbers: list[int], by: str, told: str) -> None:
    choose(at, Kind.DROP, numbers, by=by)
    do(at)
    assert kept(at) == ()
    assert told in at.error[0].value


def test_a_mend_that_contradicts_is_told_and_changes_nothing(at: AppTest, graded: GradedPhoto) -> None:
    at.segmented_control(key=f"mend_kind_{photo_key(at)}").set_value(Kind.SPLIT).run()
    assert graded.plate is not None
    ends = graded.plate.fries[0].centreline_px[[0, -1]]
    type_points(at, ends[0] + (ends[1] - ends[0]) * 0.02)
    do(at)
    assert kept(at) == ()
    assert "less than a crumb" in at.error[0].value.replace("\\", "")
    assert "Without mending" not in shown(at)


def test_what_is_taken_back_is_as_if_it_had_not_been(at: AppTest) -> None:
    choose(at, Kind.JOIN, [1, 2])
    do(at)
    choose(at, Kind.DROP, [7])
    do(at)
    assert kept(at) == ("1 and 2 joined: now 7", "7 dropped")
    back = ways_back(at)[0]
    assert "7 dropped" in back.help
    back.click().run()
    assert kept(at) == ()
    assert "Without mending" not in shown(at)
    assert list(at.dataframe[0].value["fry"]) == [1, 2, 3, 4, 5, 6]


def test_a_second_click_takes_back_no_other_mend(at: AppTest) -> None:
    for number in (3, 4):
        choose(at, Kind.DROP, [number])
        do(at)
    back = ways_back(at)[0]
    back.click().run()
    assert kept(at) == ("4 dropped",)
    assert back.proto.id not in [one.proto.id for one in at.button]


def test_a_dropped_fry_is_restored_by_its_number(at: AppTest) -> None:
    choose(at, Kind.DROP, [3])
    do(at)
    choose(at, Kind.RESTORE, [3], by="CD")
    do(at)
    assert kept(at) == ("3 dropped", "3 restored")
    assert "Mended by AB, CD" in shown(at)


def test_the_file_to_take_along_holds_both(at: AppTest, monkeypatch: pytest.MonkeyPatch) -> None:
    written: list[dict[str, Any]] = []

    def keep(one: dict[str, Any]) -> bytes:
        written.append(one)
        return b"{}"

    monkeypatch.setattr("grader.pages.components.tables.json_bytes", keep)
    choose(at, Kind.DROP, [3])
    do(at)
    batch = written[-1]["batches"][0]
    assert batch["verdict"]["fries_counted"] == 5
    assert batch["unmended_verdict"]["fries_counted"] == 6
    assert batch["photos"][0]["mending"]["by"] == ["AB"]


def test_a_fry_is_seen_close_with_why_it_is_marked(at: AppTest) -> None:
    next(one for one in at.selectbox if str(one.key).startswith("closer_")).set_value(1).run()
    assert not at.exception
    assert any("Fry 1 seen close" in str(image.proto) for image in at.get("image"))


def test_a_mend_stays_when_the_page_is_read_in_another_language(at: AppTest) -> None:
    choose(at, Kind.DROP, [3])
    do(at)
    at.selectbox(key="language").set_value("es").run()
    assert not at.exception
    assert kept(at) == ("3 dropped",)
    assert "5 papas en 1 plato" in shown(at)


def test_two_plates_are_mended_side_by_side(at: AppTest, file: bytes) -> None:
    choose(at, Kind.DROP, [3])
    do(at)
    at.file_uploader(key="photos").set_value(
        [(NAME, file, "image/jpeg"), ("again.jpg", file + b"\0", "image/jpeg")]
    ).run()
    at.toggle[1].set_value(True).run()
    assert not at.exception
    assert not at.error
    asked = [field.value for field in at.text_input if str(field.key).startswith("mend_by_")]
    assert asked == ["AB", "AB"], "initials are asked for once"
    assert len(at.session_state["mends"]) == 1
    assert shown(at).count("Without mending") == 2, "over the batch, and on the plate that was mended"


# --- what a tap does; the browser's part is in test_browser.py ---


@pytest.fixture(scope="module")
def picture_to_tap(graded: GradedPhoto) -> MendPicture:
    shown = draw_for_mending(graded, STANDARD)
    assert shown is not None
    return shown


def test_a_tap_chooses_a_fry_and_another_leaves_it(graded: GradedPhoto, picture_to_tap: MendPicture) -> None:
    fries, view = candidates(graded, Kind.JOIN), picture_to_tap.view
    choice = Choice()
    for fry, chosen in ((0, (1,)), (1, (1, 2)), (0, (2,))):
        x, y = picture_to_tap.place(tuple(fries[fry].centreline_px[12].tolist()))
        choice = tapped(choice, Kind.JOIN, fries, picture_to_tap, (x / view.width_px, y / view.height_px))
        assert choice.numbers == chosen
    assert choice.taps == 3
    assert choice.cleared().numbers == ()


def test_two_taps_set_two_points_and_a_third_begins_anew(graded: GradedPhoto, picture_to_tap: MendPicture) -> None:
    fries, choice = candidates(graded, Kind.SPLIT), Choice()
    for tap, points in enumerate((1, 2, 1)):
        choice = tapped(choice, Kind.SPLIT, fries, picture_to_tap, (0.2 + tap / 10, 0.5))
        assert len(choice.whole_points) == points
    assert choice.whole_points[0] == pytest.approx(picture_to_tap.in_photo(0.4, 0.5), abs=0.5)


def test_what_is_still_wanted_is_told_step_by_step(graded: GradedPhoto) -> None:
    one, two, nobody = Choice(numbers=(1,)), Choice(numbers=(1, 2)), ""
    assert wanted(one, Kind.JOIN, graded, "AB") == "Choose two or more fries."
    assert wanted(two, Kind.JOIN, graded, "AB") is None
    assert "initials" in str(wanted(two, Kind.JOIN, graded, nobody))
    assert wanted(one, Kind.RESTORE, graded, "AB") == "Choose a fry.", "it was not dropped"
    assert wanted(Choice(), Kind.SPLIT, graded, "AB") == "Tap two points."
    beside = Choice(points=((0.0, 0.0), (0.0, 30.0)))
    assert "over no fry" in str(wanted(beside, Kind.SPLIT, graded, "AB"))


def test_a_tap_on_what_was_dropped_restores_it_and_nothing_else(graded: GradedPhoto) -> None:
    hand = Hand(by=" AB ", at=datetime(2026, 3, 5, 12, 10, tzinfo=UTC))
    drop = mend_of(Choice(numbers=(2,)), Kind.DROP, graded, (), hand)
    assert drop == Drop(numbers=(2,), by="AB", at=hand.at)
    gone = mend_photo(graded, [drop], standard=STANDARD)
    shown, fries = draw_for_mending(gone, STANDARD), candidates(gone, Kind.RESTORE)
    assert shown is not None
    assert graded.plate is not None
    choice = Choice()
    for fry in graded.plate.fries:
        x, y = shown.place(tuple(fry.centreline_px[12].tolist())) / (shown.view.width_px, shown.view.height_px)
        choice = tapped(choice, Kind.RESTORE, fries, shown, (float(x), float(y)))
    assert choice.numbers == (2,)
    assert mend_of(choice, Kind.RESTORE, gone, (drop,), hand) == Restore(numbers=(2,), by="AB", at=hand.at)


def test_the_kinds_of_mends_are_made_with_the_next_free_numbers(graded: GradedPhoto) -> None:
    hand = Hand(by="AB", at=datetime(2026, 3, 5, 12, 10, tzinfo=UTC))
    join = mend_of(Choice(numbers=(2, 1)), Kind.JOIN, graded, (), hand)
    assert join == Join(numbers=(1, 2), becomes=7, by="AB", at=hand.at)
    x, y = candidates(graded, Kind.SPLIT)[2].centreline_px[12].tolist()
    line = (x - 60, y - 60), (x + 60, y + 60)
    split = mend_of(Choice(points=line), Kind.SPLIT, graded, (join,), hand)
    assert split == Split(number=3, line_px=line, becomes=(8, 9), by="AB", at=hand.at)
