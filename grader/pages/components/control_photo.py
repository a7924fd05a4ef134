"""The control photograph on the page: the card alone, held against what it looked like at first."""

from datetime import datetime

import streamlit as st

from grader.acts.method import take_control
from grader.consistency.control.causes import State, state_of
from grader.drawing.control_chart import NARROW_PX, control_chart_svg
from grader.drawing.control_photos import control_photos_chart
from grader.language import retell, said, tr
from grader.pages.components import acting
from grader.pages.components.plain_words import literal
from grader.records.control_photos import ControlRun, RowOf, run_lines
from grader.records.house import known_today
from grader.records.naming import PHOTO_SUFFIXES

_WHY = said(
    "Photograph the card alone, each shift, where plates are photographed. The first ten photos set what is usual; "
    "from then on it is told whether phone, print or light have changed, and whether fries would be read wrong by it."
)


def show() -> None:
    """A form, and what the photo came to."""
    st.subheader(tr("Control photograph"), anchor=False)
    st.caption(tr(_WHY))
    with st.form("control"):
        file = st.file_uploader(
            tr("The card alone"),
            type=[suffix.removeprefix(".") for suffix in sorted(PHOTO_SUFFIXES)],
            key="control_photo",
        )
        phone = st.text_input(tr("Phone (the same words each time)"), max_chars=80, key="control_phone")
        light = st.text_input(tr("Light"), max_chars=80, key="control_light")
        anew = st.text_input(
            tr("Begin anew? Then why"),
            max_chars=200,
            key="control_anew",
            help=tr("After a new lamp, say. Else leave it empty."),
        )
        if not st.form_submit_button(tr("Hold against the first ones"), key="control_hold") or file is None:
            return
    _tell(
        take_control(
            acting.who_acts(),
            file.getvalue(),
            name=file.name,
            row=RowOf(phone=phone, light=light, anew=anew),
            known=known_today(),
            now=datetime.now().astimezone(),
        )
    )


def _tell(run: ControlRun) -> None:
    show_as = st.warning if state_of(run.watch) is State.LEFT else st.info
    where, *lines = run_lines(run)
    show_as("  \n".join(literal(line) for line in (where, *(retell(line.strip()) for line in lines))))
    chart = control_photos_chart(run.watch, title=tr("Control photographs"))
    if chart is not None:
        st.image(
            control_chart_svg(chart, width_px=NARROW_PX), width=NARROW_PX, alt=tr("The control photographs on a chart")
        )
