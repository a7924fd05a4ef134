"""Quick checks by hand beside a photo: what a photo can't know. Kept with the plate, each whenever it is known."""

from contextlib import closing
from typing import get_args

import streamlit as st

from grader.acts.plates import keep_facts
from grader.errors import GraderError
from grader.language import said, tr
from grader.pages.components import acting
from grader.pages.components.plain_words import literal, tell
from grader.pages.components.scale_words import scale_words
from grader.records.database import open_house
from grader.records.database.plate_checks import Bend, PlateFacts, facts_of
from grader.records.database.plate_weights import weighed_plates

_BENDS = {"bends": said("Bends"), "snaps": said("Snaps")}
_YES_NO = {True: said("Yes"), False: said("No")}


@st.fragment
def show_checks(plate_id: int, *, by: str) -> None:
    """The checks of one kept plate."""
    with closing(open_house()) as house:
        told = facts_of(house, plate_id)
    st.markdown(f"**{tr('Quick checks, by hand')}**")
    st.caption(tr("Colour is how a fry looks. These tell what a photo can't."))
    with st.form(f"checks_{plate_id}", border=False):
        bend = st.segmented_control(
            tr("A fry held at its end"),
            list(_BENDS),
            format_func=lambda one: tr(_BENDS[one]),
            default=told.bend or None,
            key=f"bend_{plate_id}",
        )
        crisp = _yes_no(tr("Crisp to the bite"), told.crisp, f"crisp_{plate_id}")
        limp = _yes_no(tr("Limp after five minutes"), told.limp_after_5_min, f"limp_{plate_id}")
        held = st.number_input(
            tr("Seconds held before the photo"),
            min_value=0,
            max_value=7200,
            value=_whole(told.held_s),
            step=10,
            key=f"held_{plate_id}",
        )
        mass = st.number_input(
            tr("Plate on the portion scale, g"),
            min_value=1,
            max_value=10_000,
            value=_whole(told.mass_g),
            step=1,
            key=f"mass_{plate_id}",
            help=tr("Optional. It shows where fries were taken off a plate before its photo."),
        )
        asked = st.form_submit_button(tr("Keep the checks"))
    if asked:
        _keep(
            plate_id,
            PlateFacts(bend=_bend(bend), crisp=crisp, limp_after_5_min=limp, held_s=held, mass_g=mass),
            by=by,
        )


def _keep(plate_id: int, facts: PlateFacts, *, by: str) -> None:
    try:
        with closing(open_house()) as house:
            keep_facts(acting.who_acts(), house, plate_id, facts, by=by)
            weighed = weighed_plates(house, [plate_id])
    except GraderError as error:
        tell(error)
        return
    st.caption(tr("Kept with the plate."))
    if plate_id in weighed:
        st.caption(literal(scale_words(weighed[plate_id])))


def _yes_no(label: str, told: bool | None, key: str) -> bool | None:  # noqa: FBT001 - what was told, not a switch
    return st.segmented_control(label, list(_YES_NO), format_func=lambda one: tr(_YES_NO[one]), default=told, key=key)


def _bend(chosen: str | None) -> Bend:
    return next((bend for bend in get_args(Bend) if bend == chosen), "")


def _whole(told: float | None) -> int | None:
    return None if told is None else round(told)
