"""The page on which a standard is edited: its preview, its faults, keeping it, taking it along."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from grader import pages
from grader.decision import judge_plate
from grader.fries.model import Fry
from grader.grading import GradedPhoto
from grader.records.kept_standards import load_kept, uses_of
from grader.standard import Standard, load_shipped, read_standard, standard_sha256, write_standard
from tests.cli.test_from_plates import COLOURS, plate_of
from tests.pages.conftest import Page
from tests.pages.test_judge_a_batch import PHOTO, shown
from tests.records import made_up

BASE = load_shipped()["strips-9.5mm-skin-on"]


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path))
    return tmp_path


@pytest.fixture
def judged_by(monkeypatch: pytest.MonkeyPatch) -> list[Standard]:
    """The standards by which the preview judged, in order."""
    by: list[Standard] = []

    def judge(fries: Sequence[Fry], standard: Standard) -> object:
        by.append(standard)
        return judge_plate(fries, standard)

    monkeypatch.setattr("grader.pages.components.standard_preview.judge_plate", judge)
    return by


@pytest.fixture
def editor(page: Page, judged_by: list[Standard]) -> AppTest:
    opened = page().switch_page(str(Path(pages.__file__).parent / "house_standard.py")).run()
    assert judged_by
    assert not opened.exception
    return opened


def key(field: str, base: Standard = BASE) -> str:
    return f"draft_{standard_sha256(base)[:12]}_{field}"


def words(at: AppTest) -> str:
    return shown(at).replace("\\", "")


def keep(at: AppTest, *, name: str | None, why: str, by: str = "AB", base: Standard = BASE) -> AppTest:
    if name is not None:
        at.text_input(key=key("key", base)).input(name)
    at.text_input(key=key("by", base)).input(by)
    at.text_input(key=key("why", base)).input(why)
    return at.button(key=key("keep", base)).click().run()


def test_the_plate_is_graded_once_and_judged_anew_at_each_change(
    editor: AppTest, judged_by: list[Standard], graded_names: list[str]
) -> None:
    assert graded_names == ["b1-plate1.jpg"]
    editor.number_input(key=key("scale.target_to")).set_value(4.2).run()
    assert not editor.exception
    assert judged_by[-1].scale.target_to == 4.2
    assert "scale.target_to 4.7 -> 4.2" in words(editor)
    assert graded_names == ["b1-plate1.jpg"]


def test_faults_stand_beside_their_fields_all_at_once_and_the_last_sound_one_judges(
    editor: AppTest, judged_by: list[Standard]
) -> None:
    editor.number_input(key=key("limits.short_share_at_most")).set_value(25.0)
    editor.number_input(key=key("scale.target_to")).set_value(2.0)
    editor.number_input(key=key("cut.width_mm")).set_value(None)
    editor.text_input(key=key("version")).input(" ")
    editor.run()
    assert not editor.exception
    told = words(editor)
    assert "4 faults are to be corrected, told beneath the fields of: Colour, Cut and Defects" in told
    assert "is blank" in told
    assert "25 % is 0.25" in told
    assert "not below target_to (2)" in told
    assert "is missing; give a number from 2 to 40 mm" in told
    assert editor.button(key=key("keep")).disabled
    assert judged_by[-1] == BASE


def test_a_first_version_is_kept_then_succeeded(editor: AppTest, own_home: Path) -> None:
    editor.number_input(key=key("scale.target_to")).set_value(4.5).run()
    told = keep(editor, name="house", why="as agreed")
    assert not told.exception
    assert "house@1" in told.success[0].value
    (first,) = load_kept(own_home / "standards", "house")
    assert (first.standard.scale.target_to, first.signed.by, first.signed.why) == (4.5, "AB", "as agreed")
    assert told.selectbox(key="edited_standard").value == "kept:house"
    told.number_input(key=key("scale.target_from", first.standard)).set_value(3.0).run()
    assert told.text_input(key=key("by", first.standard)).value == "AB"
    again = keep(told, name=None, why="too pale", base=first.standard)
    assert "scale.target_from 2.9 -> 3.0" in again.success[0].value.replace("\\", "")
    versions = load_kept(own_home / "standards", "house")
    assert [one.standard.version for one in versions] == ["1", "2"]
    assert "why: too pale" in words(again)


def test_what_speaks_against_keeping_stands_beside_its_field(editor: AppTest, own_home: Path) -> None:
    told = keep(editor, name="House!", why="", by=" ")
    assert all(said in words(told) for said in ("small letters", "give your initials", "give the reason"))
    assert not (own_home / "standards").exists()


def test_steps_and_length_shares_come_and_go(editor: AppTest, judged_by: list[Standard]) -> None:
    editor.button(key=key("scale.steps.6.away")).click().run()
    assert [step.name for step in judged_by[-1].scale.steps][-1] == "peat"
    editor.button(key=key("scale.steps.add")).click().run()
    assert "is missing; give three numbers" in words(editor)
    for axis, value in zip("Lab", (30.0, 9.0, 12.0), strict=True):
        editor.number_input(key=key(f"scale.steps.7.{axis}")).set_value(value)
    editor.text_input(key=key("scale.steps.7.name")).input("coal").run()
    assert not editor.exception
    assert (judged_by[-1].scale.steps[-1].name, judged_by[-1].scale.steps[-1].lab) == ("coal", (30.0, 9.0, 12.0))
    editor.button(key=key("limits.length_shares.0.away")).click().run()
    assert [share.length_mm for share in judged_by[-1].limits.length_shares] == [76.2]


def test_stages_are_switched_on_and_off_and_judged_as(editor: AppTest, judged_by: list[Standard]) -> None:
    at = editor.segmented_control(key=f"preview_{standard_sha256(BASE)[:12]}_stage_3").set_value("blanched").run()
    assert judged_by[-1].stage == "blanched"
    assert "aren't ready to eat" in words(at)
    at.toggle(key=key("stages.blanched")).set_value(False).run()
    assert not at.exception
    assert [stage.name for stage in judged_by[-1].as_read.stages] == ["held"]


def test_nothing_is_lost_when_another_page_is_opened_in_between(editor: AppTest, judged_by: list[Standard]) -> None:
    editor.number_input(key=key("scale.target_to")).set_value(4.2).run()
    folder = Path(pages.__file__).parent
    editor.switch_page(str(folder / "your_cards.py")).run()
    editor.switch_page(str(folder / "house_standard.py")).run()
    assert editor.number_input(key=key("scale.target_to")).value == 4.2
    assert judged_by[-1].scale.target_to == 4.2


def test_a_file_goes_through_the_page_without_loss(editor: AppTest, own_home: Path) -> None:
    shipped = write_standard(BASE)
    text = shipped.replace("length_mm = 76.2", "length_in = 3.0").replace('version = "1"', 'version = "x"')
    own = read_standard(text, name="mine.toml")
    editor.selectbox(key="edited_standard").set_value("own").run()
    editor.file_uploader(key="edited_standard_file").set_value(("mine.toml", text.encode(), "text/plain")).run()
    assert "Nothing was changed yet" in words(editor)
    kept = keep(editor, name="mine", why="brought in", base=own)
    assert not kept.exception
    assert [one.standard for one in load_kept(own_home / "standards", "mine")] == [own]


def test_another_measure_is_told_and_taken_on_request(
    editor: AppTest, graded_names: list[str], judged_by: list[Standard]
) -> None:
    editor.number_input(key=key("plate_height_above_card_mm")).set_value(12.0).run()
    assert "one of them was changed" in words(editor)
    assert len(graded_names) == 1
    editor.button(key=f"preview_{standard_sha256(BASE)[:12]}_again").click().run()
    assert "one of them was changed" not in words(editor)
    assert len(graded_names) == 2
    assert judged_by[-1].plate_height_above_card_mm == 12.0


def test_a_kept_standard_judges_batches_and_that_is_recorded_but_no_preview(editor: AppTest, own_home: Path) -> None:
    keep(editor, name="house", why="as agreed")
    folder = own_home / "standards"
    assert uses_of(folder, load_kept(folder, "house")[0]) == ()
    at = editor.switch_page(str(Path(pages.__file__).parent / "judge_a_batch.py")).run()
    at.selectbox(key="standard").set_value("kept:house").run()
    at.file_uploader(key="photos").set_value([PHOTO]).run()
    at.run()
    assert not at.exception
    assert [use.plates for use in uses_of(folder, load_kept(folder, "house")[0])] == [1]


def painted(monkeypatch: pytest.MonkeyPatch) -> None:
    """A photo's bytes name the colour of its fries and how far it is off in L*."""

    def grade_photo(data: bytes, *, name: str, **_: object) -> GradedPhoto:
        colour, off = data.decode().split()
        L, a, b = COLOURS[colour]
        plate = replace(plate_of((L + float(off), a, b), fries=12), labels=made_up.plate().labels)
        return replace(made_up.graded(name), plate=plate, reasons=())

    monkeypatch.setattr("grader.records.guarded.grade_photo", grade_photo)


def with_plates(at: AppTest, third: str = "dark") -> AppTest:
    for place, colour in enumerate(("pale", "gold", third), 1):
        photos = [(f"{colour}{off}.jpg", f"{colour} {off}".encode(), "image/jpeg") for off in (-0.5, 0.1, 0.4)]
        at.file_uploader(key=key(f"plates_{place}")).set_value(photos)
    return at.run().button(key=key("propose")).click().run()


def test_a_scale_from_plates_is_proposed_and_taken_over(
    editor: AppTest, judged_by: list[Standard], monkeypatch: pytest.MonkeyPatch
) -> None:
    painted(monkeypatch)
    editor.number_input(key=key("cut.width_mm")).set_value(9.25).run()
    told = with_plates(editor)
    assert not told.exception
    assert "9 of 9 right" in words(told)
    assert "pale and right" in words(told)
    assert "would be left out" in words(told)
    told.button(key=key("take")).click().run()
    assert not told.exception
    taken = judged_by[-1]
    assert [(step.name, step.lab) for step in taken.scale.steps] == [
        ("pale", COLOURS["pale"]),
        ("right", COLOURS["gold"]),
        ("dark", COLOURS["dark"]),
    ]
    assert (taken.cut.width_mm, taken.stages) == (9.25, ())
    assert "scale.steps[7].name" in words(told)


def test_too_few_plates_are_told_and_nothing_is_graded(editor: AppTest, graded_names: list[str]) -> None:
    before = list(graded_names)
    at = editor.button(key=key("propose")).click().run()
    assert "each step needs at least 2 plates" in at.error[0].value
    assert graded_names == before


def test_a_scale_that_no_standard_can_hold_is_not_taken_over(
    editor: AppTest, judged_by: list[Standard], monkeypatch: pytest.MonkeyPatch
) -> None:
    painted(monkeypatch)
    told = with_plates(editor, third="pale")
    assert told.warning
    told.button(key=key("take")).click().run()
    assert "No standard can hold this scale" in told.error[0].value
    assert judged_by[-1].scale == BASE.scale
