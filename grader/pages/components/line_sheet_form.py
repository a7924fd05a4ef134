"""The line sheet on the page: begun with the fryer's last values, what is unusual asked about, kept with its batch."""

from contextlib import closing
from functools import partial
from typing import Any

import streamlit as st

from grader.acts.plates import keep_sheet
from grader.drawing.line_papers import line_sheet_paper, usual_words
from grader.drawing.paper import paper_pdf
from grader.language import temperature_words, tr
from grader.line.cautions import LAW
from grader.line.sheet import (
    FIGURES,
    WORDS,
    LineSheet,
    against_the_law,
    contradictions,
    law_holds,
    questions,
    range_of,
    read_sheet,
    told_fields,
)
from grader.pages.components import acting
from grader.pages.components.later import later
from grader.pages.components.line_place import LinePlace, choose_batch
from grader.pages.components.line_words import FIELD_PX, ask_figure
from grader.pages.components.manners import heard, in_units, session_temperatures
from grader.records.database import open_house
from grader.records.database.house import records_there
from grader.records.database.line_sheets import batch_on_line, last_sheet, sheet_of, usual_sheet

_GROUPS = (
    ("wash", "cut_mm", "soak_h", "water_changes", "vinegar_ml_l", "air_min", "drying"),
    ("load_kg", "oil_kind", "oil_l", "oil_age_days"),
    ("blanch_c", "blanch_s", "cooling", "cooling_min"),
    ("finish_c", "finish_s", "oil_lowest_c", "salt_g_kg", "hold", "hold_min"),
)


def show_sheet(place: LinePlace) -> None:
    """The form, and what is to be asked about what was told."""
    begun, usual = _begun(place), _usual(place)
    here = f"sheet_{place.setting.kitchen}_{place.setting.fryer}_{place.batch_id}"
    told: dict[str, Any] = {}
    with st.form(here, border=False):
        for group in _GROUPS:
            with st.container(horizontal=True):
                for name in group:
                    with st.container(width=FIELD_PX):
                        told[name] = _asked(name, begun, key=f"{here}_{name}")
        keep = st.form_submit_button(tr("Keep this sheet"), type="primary")
    sheet = read_sheet(told)
    if keep:
        batch_id = place.kept_id()
        with closing(open_house()) as house:
            keep_sheet(acting.who_acts(), house, batch_id, sheet, by=place.setting.by)
        choose_batch(batch_id)
        st.rerun()
    if place.batch_id is not None and _is_kept(place.batch_id):
        with closing(open_house()) as house:
            zone = batch_on_line(house, place.batch_id).zone
        st.success(tr("Kept with batch {number}.", number=place.batch_id))
        _show_questions(begun, usual, zone=zone)


def show_print(place: LinePlace | None) -> None:
    """The sheet as PDF: as it is kept, or empty."""
    sheet = LineSheet() if place is None else _begun(place)
    usual = None if place is None else _usual(place)
    with st.container(horizontal=True):
        for words, filled in ((tr("Sheet to print, empty"), None), (tr("Sheet to print, filled in"), sheet)):
            st.download_button(
                words,
                later(partial(paper_pdf, line_sheet_paper(filled, usual))),
                file_name="line-sheet.pdf",
                mime="application/pdf",
                key=f"print_{'empty' if filled is None else 'filled'}",
                on_click="ignore",
            )


def _begun(place: LinePlace) -> LineSheet:
    """What is kept of the batch; else what its fryer, or kitchen, did last."""
    if not records_there():
        return LineSheet()
    with closing(open_house()) as house:
        if place.batch_id is not None:
            kept = sheet_of(house, place.batch_id).sheet
            if kept != LineSheet():
                return kept
        return last_sheet(house, place.setting.kitchen, fryer=place.setting.fryer)


def _is_kept(batch_id: int) -> bool:
    with closing(open_house()) as house:
        return sheet_of(house, batch_id).sheet != LineSheet()


def _usual(place: LinePlace) -> LineSheet | None:
    if not records_there():
        return None
    with closing(open_house()) as house:
        return usual_sheet(house, place.setting.kitchen, fryer=place.setting.fryer, but=place.batch_id)


def _asked(name: str, begun: LineSheet, *, key: str) -> Any:
    value = told_fields(begun).get(name)
    if name in WORDS:
        title, kind = WORDS[name]
        options = list(kind)
        return st.selectbox(
            tr(title),
            options,
            index=options.index(value) if value in options else None,
            format_func=lambda one: tr(str(one)),
            placeholder=tr("not known"),
            key=key,
        )
    if name not in FIGURES:
        return st.text_input(tr("Kind of oil"), value=value or "", max_chars=60, key=key)
    figure = FIGURES[name]
    return ask_figure(figure.title, figure.unit, key=key, value=value, can_be=figure.can_be)


def _show_questions(sheet: LineSheet, usual: LineSheet | None, *, zone: str) -> None:
    lines = [
        in_units(
            tr(
                "{title}: {value} {unit}. Usual is {usual} ({source}).",
                title=tr(FIGURES[one.field].title),
                value=f"{one.value:g}",
                unit=tr(FIGURES[one.field].unit),
                usual=usual_words(one.field, usual),
                source=tr(range_of(one.field, usual)[2]),
            )
        )
        for one in questions(sheet, usual)
    ]
    lines += [heard(words) for words in contradictions(sheet)]
    if lines:
        st.warning("\n".join([tr("Is that right? It is kept as told:"), "", *(f"- {line}" for line in lines)]))
    against = [
        f"{tr(FIGURES[name].title)} {temperature_words(getattr(sheet, name), session_temperatures())}"
        for name in against_the_law(sheet)
    ]
    if against:
        holds = tr("It holds where this kitchen is.") if law_holds(zone) else tr("Ask whether it holds where you are.")
        (st.error if law_holds(zone) else st.info)(f"{'; '.join(against)}. {tr(LAW.words)} {holds} _{tr(LAW.source)}_")
