"""Likely causes on the page: what is wrong, what the house found, then the list with its reasons and next checks."""

from contextlib import closing
from typing import Any

import streamlit as st

from grader.acts.plates import keep_sheet
from grader.errors import GraderError
from grader.language import retell, tr
from grader.line.causes import (
    SYMPTOMS,
    Cause,
    Grade,
    Ranked,
    Ranking,
    facts_of,
    load_causes,
    rank_causes,
    seen_by_eye,
    seen_in,
)
from grader.line.causes.naming import FACT_TITLES
from grader.line.house_notes import NOTES, HouseNotes, read_notes
from grader.line.sheet import LineSheet
from grader.pages.components import acting
from grader.pages.components.line_place import LinePlace
from grader.pages.components.line_words import ask_figure, ask_yes_no
from grader.pages.components.manners import heard
from grader.pages.components.plain_words import literal
from grader.records.database import open_house
from grader.records.database.line_history import causes_of_kitchen
from grader.records.database.line_sheets import judged_limits, sheet_of, usual_sheet

_SHOWN = 6
_SIGNS = {Grade.LIKELY: ":red-badge", Grade.POSSIBLE: ":orange-badge", Grade.UNLIKELY: ":gray-badge"}


def show_causes(place: LinePlace | None) -> None:
    """From what is wrong to what to check; of a kept batch verdict, sheet and notes are taken from the records."""
    batch_id = None if place is None else place.batch_id
    by_verdict, sheet, notes, usual = _kept(place)
    told = st.multiselect(
        tr("What is wrong?"),
        list(SYMPTOMS),
        default=[symptom for symptom, so in by_verdict.items() if so],
        format_func=lambda one: tr(SYMPTOMS[one]),
        key=f"cause_seen_{batch_id}",
        placeholder=tr("Choose all that is so"),
    )
    if batch_id is None:
        st.caption(tr("Choose a batch on the line sheet to take in its verdict and what was recorded of it."))
    found = _asked_notes(notes, key=f"cause_note_{batch_id}")
    if not told:
        return
    seen = dict.fromkeys(by_verdict, False) | seen_by_eye(told)  # what the verdict has and a person takes out isn't so
    ranking = rank_causes(_causes(place), facts_of(seen, sheet, found, usual))
    _show_ranking(ranking)
    if place is not None and batch_id is not None:
        _keep(place, batch_id, found, ranking)


def _kept(place: LinePlace | None) -> tuple[dict[str, bool], LineSheet, HouseNotes, LineSheet | None]:
    if place is None or place.batch_id is None:
        return {}, LineSheet(), HouseNotes(), None
    with closing(open_house()) as house:
        kept = sheet_of(house, place.batch_id)
        usual = usual_sheet(house, place.setting.kitchen, fryer=place.setting.fryer, but=place.batch_id)
        try:
            seen = seen_in(*judged_limits(house, place.batch_id))
        except GraderError:  # its plates aren't judged yet: then somebody says what is wrong
            seen = {}
    return seen, kept.sheet, kept.notes, usual


def _causes(place: LinePlace | None) -> tuple[Cause, ...]:
    if place is None or place.batch_id is None:
        return load_causes()
    with closing(open_house()) as house:
        return causes_of_kitchen(house, place.setting.kitchen, but=place.batch_id)


def _asked_notes(notes: HouseNotes, *, key: str) -> HouseNotes:
    told: dict[str, Any] = {}
    with st.expander(tr("What else is known? Each answer sharpens the list")):
        for name, note in NOTES.items():
            value = getattr(notes, name)
            if note.can_be is None:
                told[name] = ask_yes_no(note.title, key=f"{key}_{name}", value=value)
            else:
                told[name] = ask_figure(note.title, note.unit, key=f"{key}_{name}", value=value, can_be=note.can_be)
    return read_notes(told)


def _show_ranking(told: Ranking) -> None:
    open_ones = [one for one in told.causes if one.grade is not Grade.UNLIKELY]
    if not any(one.reasons_for for one in open_ones):
        st.info(tr("Nothing recorded speaks for any of them: the order is how common they are."))
    for turn, one in enumerate(open_ones[:_SHOWN], 1):
        _show_cause(turn, one)
    others = "; ".join(retell(one.cause.name) for one in open_ones[_SHOWN:])
    if others:
        st.caption(tr("Less likely: {names}.", names=literal(others)))
    cleared = "; ".join(retell(one.cause.name) for one in told.causes if one.grade is Grade.UNLIKELY)
    if cleared:
        st.caption(tr("Spoken against: {names}.", names=literal(cleared)))
    if told.to_record:
        names = "; ".join(tr(FACT_TITLES[one]) for one in told.to_record)
        st.caption(tr("Would tell most, and isn't known: {names}.", names=literal(names)))
    st.caption(
        tr(
            "The order is made of rules of the trade, not of probabilities; they stand in calibration/causes.toml. "
            "Only who is trained for it checks or changes hot oil."
        )
    )


def _show_cause(turn: int, one: Ranked) -> None:
    with st.container(border=True):
        st.markdown(f"**{turn}. {literal(retell(one.cause.name))}** {_SIGNS[one.grade]}[{tr(one.grade)}]")
        lines = [f"- {tr('for')}: {_reason(reason.words, reason.source)}" for reason in one.reasons_for]
        lines += [f"- {tr('against')}: {_reason(reason.words, reason.source)}" for reason in one.reasons_against]
        lines.append(f"- **{tr('check')}: {literal(heard(one.cause.check))}**")
        st.markdown("\n".join(lines))


def _reason(words: str, source: str) -> str:
    return f"{literal(heard(words))} _{literal(retell(source))}_"


def _keep(place: LinePlace, batch_id: int, notes: HouseNotes, ranking: Ranking) -> None:
    names = {one.cause.key: retell(one.cause.name) for one in ranking.causes}
    found = st.selectbox(
        tr("It was in the end"),
        list(names),
        index=None,
        format_func=lambda key: names[key],
        placeholder=tr("not known"),
        key=f"cause_found_{batch_id}",
    )
    if st.button(tr("Keep what is known"), key=f"cause_keep_{batch_id}"):
        with closing(open_house()) as house:
            keep_sheet(
                acting.who_acts(), house, batch_id, LineSheet(), notes, cause_found=found or "", by=place.setting.by
            )
        st.success(tr("Kept with batch {number}.", number=batch_id))
