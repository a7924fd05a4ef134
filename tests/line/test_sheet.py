import pytest

from grader.line.sheet import (
    FIGURES,
    LAW_BELOW_C,
    Drying,
    LineSheet,
    SheetError,
    against_the_law,
    contradictions,
    questions,
    read_sheet,
    told_fields,
    usual_of,
)


def test_a_sheet_is_read_from_what_was_told() -> None:
    told = read_sheet({"finish_c": "182", "drying": "spun", "oil_kind": "high oleic", "salt_g_kg": "", "soak_h": None})
    assert told == LineSheet(finish_c=182.0, drying=Drying.SPUN, oil_kind="high oleic")
    assert told_fields(told) == {"finish_c": 182.0, "drying": "spun", "oil_kind": "high oleic"}


def test_what_is_unusual_is_asked_about_and_kept() -> None:
    sheet = read_sheet({"finish_c": 205, "finish_s": 150, "hold_min": 25})
    assert [(one.field, one.by) for one in questions(sheet)] == [
        ("finish_c", "common practice"),
        ("hold_min", "common practice"),
    ]
    assert sheet.finish_c == 205


def test_what_the_house_does_is_usual_there() -> None:
    usual = usual_of([LineSheet(finish_c=168, finish_s=200), LineSheet(finish_c=170), LineSheet(finish_c=171)])
    assert usual == LineSheet(finish_c=170, finish_s=200)
    assert not questions(LineSheet(finish_c=168, finish_s=210), usual)
    (asked,) = questions(LineSheet(finish_c=182), usual)
    assert (asked.low, asked.high, asked.by) == (166, 174, "the house's own sheets")
    assert questions(LineSheet(oil_age_days=12), usual_of([LineSheet(oil_age_days=12)]))


def test_what_cannot_be_is_refused_all_at_once() -> None:
    with pytest.raises(SheetError) as refused:
        read_sheet({"finish_c": 400, "wash": "boiled", "speed": 3, "soak_h": "long"})
    for words in ("finish_c is 400", "wash is boiled", "speed is no field", "soak_h is long"):
        assert words in str(refused.value)


def test_what_contradicts_itself_is_told() -> None:
    assert len(contradictions(read_sheet({"finish_c": 170, "oil_lowest_c": 180, "blanch_c": 175}))) == 2
    assert not contradictions(LineSheet())


def test_common_practice_conflicts_with_the_law_where_it_holds() -> None:
    """Regulation (EU) 2017/2158, annex II, part A: frying below 175 C."""
    assert LAW_BELOW_C == 175
    assert against_the_law(LineSheet(finish_c=191, blanch_c=163)) == ("finish_c",)
    assert against_the_law(LineSheet(finish_c=175)) == ("finish_c",)
    assert not against_the_law(LineSheet(finish_c=174.9))
    low, high = FIGURES["finish_c"].usual
    assert low < LAW_BELOW_C < high
