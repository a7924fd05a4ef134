"""Inches and Fahrenheit by choice: shown and taken wherever a length or a temperature stands, and nothing drifts.

An inch is 25.4 mm, exactly; degrees Fahrenheit are 9/5 of degrees Celsius, and 32 more (NIST SP 811, appendix B.8).
"""

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from grader import pages
from grader.language import Lengths
from grader.pages.components.mending import _fry_words
from grader.standard import Standard, standard_content
from tests.pages.test_house_standard import BASE, editor, judged_by, key, own_home, words  # noqa: F401 - fixtures too
from tests.pages.test_the_line import field, opened, press  # noqa: F401 - a fixture among them
from tests.records import made_up

WIDTH = "cut.width_mm"
LENGTHS = [
    "plate_height_above_card_mm",
    *(
        f"{table}.{name}"
        for table, fields in standard_content(BASE).items()
        if isinstance(fields, dict)
        for name in fields
        if name.endswith("_mm")
    ),
]


def inches(at: AppTest) -> AppTest:
    at.session_state["lengths"] = "in"
    at.run()
    assert not at.exception
    return at


def millimetres(at: AppTest) -> AppTest:
    at.session_state["lengths"] = "mm"
    at.run()
    assert not at.exception
    return at


def test_every_length_of_a_standard_is_shown_in_inches(editor: AppTest) -> None:  # noqa: F811
    at = inches(editor)
    shown = {one.key: one for one in at.number_input}
    assert len(LENGTHS) >= 9
    for name in LENGTHS:
        content = standard_content(BASE)
        table, _, last = name.rpartition(".")
        mm = content[table][last] if table else content[last]
        assert shown[key(f"{name}_INCHES")].value == pytest.approx(mm / 25.4, abs=5e-5)
    labels = [one.label for one in at.number_input]
    assert "Width, in" in labels
    assert not [label for label in labels if "mm" in label.split()]


def test_nothing_drifts_by_being_looked_at_in_inches(editor: AppTest, judged_by: list[Standard]) -> None:  # noqa: F811
    for _ in range(3):
        at = millimetres(inches(editor))
        assert at.number_input(key=key(WIDTH)).value == BASE.cut.width_mm
    assert "Nothing was changed yet" in words(at)
    assert judged_by[-1].cut.width_mm == BASE.cut.width_mm


def test_two_inches_are_50_8_mm_and_two_inches_again(editor: AppTest, judged_by: list[Standard]) -> None:  # noqa: F811
    short = "defects.short_below_mm"
    at = inches(editor)
    at.number_input(key=key(f"{short}_INCHES")).set_value(2.0).run()
    assert judged_by[-1].defects.short_below_mm == 50.8
    assert "defects.short_below_mm" in words(at)
    assert "-> 50.8" in words(at)
    assert at.number_input(key=key(f"{short}_INCHES")).value == 2.0
    at = millimetres(at)
    assert at.number_input(key=key(short)).value == 50.8
    at = inches(at)
    assert at.number_input(key=key(f"{short}_INCHES")).value == 2.0
    assert judged_by[-1].defects.short_below_mm == 50.8


def test_what_was_typed_in_inches_is_there_after_another_page(editor: AppTest, judged_by: list[Standard]) -> None:  # noqa: F811
    at = inches(editor)
    at.number_input(key=key(f"{WIDTH}_INCHES")).set_value(0.5).run()
    folder = Path(pages.__file__).parent
    at.switch_page(str(folder / "your_cards.py")).run()
    at.switch_page(str(folder / "house_standard.py")).run()
    assert at.number_input(key=key(f"{WIDTH}_INCHES")).value == 0.5
    assert judged_by[-1].cut.width_mm == 12.7


def test_a_fault_of_a_length_is_told_in_inches(editor: AppTest) -> None:  # noqa: F811
    at = inches(editor)
    at.number_input(key=key(f"{WIDTH}_INCHES")).set_value(20.0).run()
    told = words(at)
    assert "is 20.00 in; it must be a number from 0." in told
    assert " mm" not in told[told.index("it must be a number") :].split("✘")[0].split("\n")[0]


def test_a_length_share_is_kept_as_it_is_written(editor: AppTest, judged_by: list[Standard]) -> None:  # noqa: F811
    at = inches(editor)
    length, unit = "limits.length_shares.1.length", key("limits.length_shares.1.unit")
    assert at.selectbox(key=unit).value == "mm"
    assert at.number_input(key=key(f"{length}_INCHES")).value == pytest.approx(3.0)
    at.number_input(key=key(f"{length}_INCHES")).set_value(4.0).run()
    assert judged_by[-1].limits.length_shares[-1].length_mm == 101.6
    at.selectbox(key=unit).set_value("in").run()
    assert at.number_input(key=key(length)).value == 4.0
    assert (judged_by[-1].limits.length_shares[-1].length_mm, judged_by[-1].limits.length_shares[-1].length_in) == (
        101.6,
        4.0,
    )
    at.selectbox(key=unit).set_value("mm").run()
    assert judged_by[-1].limits.length_shares[-1].length_mm == 101.6
    at.button(key=key("limits.length_shares.add")).click().run()
    assert at.selectbox(key=key("limits.length_shares.2.unit")).value == "in"


def test_fries_to_mend_and_their_table_are_told_in_inches(monkeypatch: pytest.MonkeyPatch) -> None:
    fry = made_up.fries()[0]
    assert _fry_words(fry) == "1 · 100 mm"
    monkeypatch.setattr("grader.pages.components.mending.session_lengths", lambda: Lengths.INCHES)
    assert _fry_words(fry) == "1 · 3.94 in"


def test_a_trial_is_planned_filled_in_and_read_in_fahrenheit(opened: object) -> None:  # noqa: F811
    at = opened("the_line.py")  # type: ignore[operator]
    at.session_state["temperatures"] = "°F"
    at.run()
    labels = [one.label for one in at.number_input]
    assert not [label for label in labels if "°C" in label or label.endswith(", K")]
    assert field(at, "Temperatures apart by, °F").value == pytest.approx(10.8)  # type: ignore[attr-defined]
    press(at, "Plan them")
    (table,) = [one.value for one in at.dataframe if "celsius" in one.value.columns]
    assert table["celsius"].between(300, 400).all()
    planned = {celsius for _, celsius, _ in at.session_state["line_trial_rows"]}
    assert {round((one - 32) * 5 / 9, 1) for one in table["celsius"]} == {round(one, 1) for one in planned}
