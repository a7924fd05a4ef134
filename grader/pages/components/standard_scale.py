"""A colour scale made on the page, of photos of plates that the house names; taken over into the edited standard."""

from collections.abc import Iterator, Sequence
from functools import partial

import pandas as pd
import streamlit as st

from grader.errors import GraderError
from grader.grading import GradedPhoto
from grader.language import retell, said, tr
from grader.pages.components.grading import grade_one
from grader.pages.components.manners import heard
from grader.pages.components.plain_words import literal, tell
from grader.pages.components.standard_draft import values_of
from grader.pages.components.standard_form import Form
from grader.records.naming import PHOTO_SUFFIXES
from grader.records.step_plates import ALL_PLATES, StepPlates, gather_plates, standard_of_plates
from grader.scale_fit import ScaleProposal, check_steps, propose_scale
from grader.standard.model import Standard

_HOW = said(
    "Photograph plates that the house calls too pale, right and too dark, or by more names: at least 2 of each, better "
    "3 or more, each photo of another plate, all beside the same card and in the same light as later ones."
)
_STEPS = said("pale, right, dark")

Files = dict[str, list[tuple[str, bytes]]]


def show_scale_from_plates(form: Form, edited: Standard) -> None:
    """Photos a step, the proposal with how well its steps separate, and a button that takes it over."""
    with st.expander(tr("Make the scale from plates")):
        st.caption(tr(_HOW))
        words = st.text_input(tr("Steps, palest first, with commas between"), tr(_STEPS), key=form.key("plates_steps"))
        steps = [step.strip() for step in words.split(",") if step.strip()]
        right = st.multiselect(
            tr("Which are as the house wants them"),
            steps,
            default=steps[1:-1],
            placeholder=tr("Choose"),
            key=form.key("right"),
        )
        files = {step: _photos(form, place, step) for place, step in enumerate(steps, 1)}
        key = form.key("proposal")
        if st.button(tr("Propose a scale"), key=form.key("propose")):
            st.session_state[key] = _proposed(files, steps, right, edited)
        proposed = st.session_state.get(key)
        if proposed is not None:
            _show(form, edited, *proposed)


def _photos(form: Form, place: int, step: str) -> list[tuple[str, bytes]]:
    given = st.file_uploader(
        tr("Plates that are {step}", step=step),
        type=[suffix.removeprefix(".") for suffix in sorted(PHOTO_SUFFIXES)],
        accept_multiple_files=True,
        key=form.key(f"plates_{place}"),
    )
    once = {file.getvalue(): file.name for file in given}  # a photo given twice is one plate
    return [(name, data) for data, name in once.items()]


def _proposed(
    files: Files, steps: Sequence[str], right: Sequence[str], standard: Standard
) -> tuple[StepPlates, ScaleProposal] | None:
    """What comes out; None where it can't be made, which is told."""

    def graded() -> Iterator[tuple[str, str, GradedPhoto]]:
        for step, photos in files.items():
            for name, data in photos:
                yield f"{step}/{name}", step, grade_one(name, data, standard, what=name)

    try:
        check_steps({step: len(photos) for step, photos in files.items()}, steps=steps, right=right)
        plates = gather_plates(graded(), standard=standard)
        _say(plates)
        return plates, propose_scale(plates.plates, steps=steps, right=right)
    except GraderError as error:
        tell(error)
        return None


def _say(plates: StepPlates) -> None:
    for name, words in plates.said:
        whose = tr("All plates") if name == ALL_PLATES else name
        st.caption(f"{literal(whose)}: {literal(heard(words))}")


def _show(form: Form, edited: Standard, plates: StepPlates, proposal: ScaleProposal) -> None:
    scale, confusion = proposal.scale, proposal.confusion
    names = [step.name for step in scale.steps]
    st.dataframe(
        pd.DataFrame([step.lab for step in scale.steps], index=names, columns=["L*", "a*", "b*"]),
        key=form.key("anchors"),
        alt=tr("The proposed steps with their colours"),
    )
    st.markdown(tr("Target {low} to {high}.", low=f"{scale.target_from:g}", high=f"{scale.target_to:g}"))
    st.dataframe(
        pd.DataFrame(confusion.put, index=names, columns=[tr("put on {name}", name=name) for name in names]),
        key=form.key("put"),
        alt=tr("On which step each plate is put by a scale made without it"),
    )
    st.caption(
        tr(
            "Each plate put on a step by a scale made without it: {right} of {plates} right.",
            right=confusion.right,
            plates=confusion.plates,
        )
    )
    for pair in proposal.separations:
        told = tr(
            "{paler} and {darker}: {apart} CIE 2000 apart; put wrong {doubt} by one plate's doubt, {all} in all.",
            paler=pair.paler,
            darker=pair.darker,
            apart=f"{pair.apart_de:.1f}",
            doubt=f"{100 * pair.wrong_by_method:.1f} %",
            all=f"{100 * pair.wrong_with_plates:.1f} %",
        )
        st.caption(literal(told))
    for one in proposal.warnings:
        st.warning(f"{literal(heard(one.message))} {literal(heard(one.hint))}")
    if plates.standing is not None:
        level = tr("Colour, {level}:", level=retell(plates.standing.level))
        why = heard(f"{plates.standing.colour_reason} {plates.standing.colour_lift}".strip())
        st.caption(literal(f"{level} {why}"))
    if edited.stages:
        st.caption(
            tr("Limits for blanched and held fries would be left out: their targets are places on the old scale.")
        )
    st.button(tr("Take it over"), key=form.key("take"), on_click=partial(_take, form, edited, plates, proposal))


def _take(form: Form, edited: Standard, plates: StepPlates, proposal: ScaleProposal) -> None:
    try:
        made = standard_of_plates(edited, plates, proposal, name=edited.name, version=edited.version)
    except GraderError as error:
        tell(error)
        return
    form.take_over(values_of(made))
