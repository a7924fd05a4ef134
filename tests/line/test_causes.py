import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.decision.model import Outcome
from grader.errors import DocumentFaulty
from grader.line.causes import (
    SYMPTOMS,
    Cause,
    CausesError,
    Grade,
    JudgedLimit,
    facts_of,
    load_causes,
    rank_causes,
    read_causes,
    seen_by_eye,
    seen_in,
)
from grader.line.causes.learning import ToldCase, learnt_causes
from grader.line.causes.naming import FACT_TITLES
from grader.line.house_notes import NOTES, HouseNotes, read_notes
from grader.line.sheet import FIGURES, WORDS, LineSheet, read_sheet
from tests.line.cause_cases import CASES, faults_of, rank_case

CAUSES = load_causes()


@pytest.mark.parametrize("case", CASES, ids=[case["name"] for case in CASES])
def test_a_case_comes_out_as_the_trade_says(case: dict[str, object]) -> None:
    assert case["because"]
    assert not faults_of(case, CAUSES)


def test_every_symptom_and_every_note_is_asked_about() -> None:
    explained = {symptom for cause in CAUSES for symptom in cause.explains}
    assert explained == set(SYMPTOMS)
    asked = {one.fact for cause in CAUSES for rule in cause.rules for one in rule.when}
    assert set(NOTES) <= asked
    assert asked <= set(FACT_TITLES)


def test_rules_and_causes_say_where_they_come_from() -> None:
    for cause in CAUSES:
        assert cause.source
        assert cause.check.endswith((".", "?"))
        for rule in cause.rules:
            assert rule.source
            assert rule.why.endswith((".", "?"))


def test_what_is_not_recorded_is_named_and_counts_neither_way() -> None:
    bare = rank_causes(CAUSES, seen_by_eye(["dark"]))
    assert all(one.grade is Grade.POSSIBLE for one in bare.causes)
    assert {"finish_c_over", "finish_time", "kept_lot_right"} & set(bare.to_record)
    first = next(one for one in bare.causes if one.cause.key == "oil_too_hot")
    assert "finish_c_over" in first.missing
    known = rank_causes(CAUSES, facts_of(seen_by_eye(["dark"]), LineSheet(finish_c=180), HouseNotes()))
    assert "finish_c_over" not in next(one for one in known.causes if one.cause.key == "oil_too_hot").missing


def test_dark_and_pale_at_once_is_uneven() -> None:
    assert rank_causes(CAUSES, seen_by_eye(["dark", "pale", "short"])).seen == ("uneven", "short")


def test_nothing_seen_is_nothing_to_explain() -> None:
    with pytest.raises(CausesError, match="Nothing was seen"):
        rank_causes(CAUSES, seen_by_eye([]))


def test_figures_stand_in_the_reasons() -> None:
    told = rank_case({"seen": ["short"], "notes": {"raw_short_share": 0.35}}, CAUSES)
    words = " ".join(reason.words for one in told.causes for reason in (*one.reasons_for, *one.reasons_against))
    assert "35 %" in words
    told = rank_case({"seen": ["dark"], "sheet": {"finish_c": 160}}, CAUSES)
    assert any("10 °C cooler" in reason.words for one in told.causes for reason in one.reasons_for)


FIGURE = st.one_of(*(st.tuples(st.just(name), st.floats(*one.can_be)) for name, one in FIGURES.items()))
WORD = st.one_of(*(st.tuples(st.just(name), st.sampled_from(list(kind))) for name, (_, kind) in WORDS.items()))
NOTE = st.one_of(
    *(
        st.tuples(st.just(name), st.booleans() if one.can_be is None else st.floats(*one.can_be))
        for name, one in NOTES.items()
    )
)


@settings(max_examples=200, deadline=None)
@given(
    seen=st.sets(st.sampled_from(list(SYMPTOMS)), min_size=1),
    sheet=st.lists(FIGURE | WORD).map(dict),
    notes=st.lists(NOTE).map(dict),
)
def test_any_records_however_odd_are_ranked(seen: set[str], sheet: dict[str, object], notes: dict[str, object]) -> None:
    told = rank_causes(CAUSES, facts_of(seen_by_eye(seen), read_sheet(sheet), read_notes(notes)))
    assert set(told.first_of) == set(told.seen)
    assert [one.score for one in told.causes] == sorted((one.score for one in told.causes), reverse=True)
    for one in told.causes:
        assert one.explains
        assert one.reasons_for or one.grade is not Grade.LIKELY
        assert "{" not in "".join(reason.words for reason in (*one.reasons_for, *one.reasons_against))


def limit(key: str, outcome: Outcome, measured: float, *, lower: float | None = None) -> JudgedLimit:
    return JudgedLimit(key=key, outcome=outcome, measured=measured, lower=lower, upper=0.5, counted=30)


def test_a_verdict_shows_what_is_beyond_its_limits() -> None:
    limits = [
        limit("colour", Outcome.FAIL, 0.2, lower=0.3),
        limit("spread", Outcome.UNDECIDED, 0.6),
        limit("dark_end", Outcome.PASS, 0.1),
        limit("sliver", Outcome.UNDECIDED, 0.4),
        limit("length_50.8", Outcome.FAIL, 0.1, lower=0.3),
        limit("short", Outcome.PASS, 0.1),
    ]
    seen = {"dark": False, "pale": True, "uneven": True, "dark_ends": False, "slivers": False, "short": True}
    assert seen_in(limits, "finished") == seen


@pytest.mark.parametrize(
    ("stage", "symptom"), [("blanched", "blanch_dark"), ("finished", "dark"), ("held", "hold_dark")]
)
def test_dark_is_told_by_the_stage_that_plates_show(stage: str, symptom: str) -> None:
    assert seen_in([limit("colour", Outcome.FAIL, 0.9)], stage)[symptom]  # type: ignore[arg-type]


def test_every_fault_of_a_file_comes_out_at_once() -> None:
    text = """
schema_version = 1
[[causes]]
key = "a"
name = "A"
explains = { dim = 1 }
check = "Look."
source = "common practice"
rules = [
  { key = "b", when = "finish_c_over > 3", weight = 1, why = "It was {finish_s}." },
  { key = "c", when = "nobody is yes", weight = 0, why = "So." },
  { key = "d", when = "finish_s >= 3", weight = 1, why = "It was {finish_c}." },
]
"""
    with pytest.raises(DocumentFaulty) as faulty:
        read_causes(text, name="causes.toml")
    told = str(faulty.value)
    for words in ("names no symptom", "finish_c_over > 3", "nobody is yes", "is 0", "names finish_c, which"):
        assert words in told


def told(cause: str, times: int, *seen: str) -> list[ToldCase]:
    return [ToldCase(seen=frozenset(seen), cause=cause)] * times


def first_of_dark(causes: tuple[Cause, ...]) -> str:
    return rank_causes(causes, seen_by_eye(["dark"])).causes[0].cause.key


def test_a_houses_own_history_moves_how_common_a_cause_is() -> None:
    """From 20 told batches on; rules and other symptoms stay as they are."""
    assert learnt_causes(CAUSES, told("old_oil", 19, "dark")) == CAUSES
    assert learnt_causes(CAUSES, told("old_oil", 60, "short")) == CAUSES  # it explains no short piece
    learnt = learnt_causes(CAUSES, told("old_oil", 30, "dark"))
    assert first_of_dark(CAUSES) == "oil_too_hot"
    assert first_of_dark(learnt) == "old_oil"
    for before, after in zip(CAUSES, learnt, strict=True):
        assert before.rules == after.rules
        assert {symptom: often for symptom, often in before.explains.items() if symptom != "dark"} == {
            symptom: often for symptom, often in after.explains.items() if symptom != "dark"
        }


def test_no_history_outweighs_a_strong_record() -> None:
    learnt = learnt_causes(CAUSES, told("old_oil", 1000, "dark"))
    facts = facts_of(seen_by_eye(["dark"]), LineSheet(finish_c=203, oil_age_days=1), HouseNotes())
    assert rank_causes(learnt, facts).causes[0].cause.key == "oil_too_hot"


def test_a_mixed_history_changes_little() -> None:
    dark = {cause.key: cause.explains["dark"] for cause in CAUSES if "dark" in cause.explains}
    cases = [case for key in dark for case in told(key, 10, "dark")]
    learnt = {cause.key: cause.explains["dark"] for cause in learnt_causes(CAUSES, cases) if "dark" in cause.explains}
    assert all(abs(learnt[key] - dark[key]) < 0.6 for key in dark)
