"""The control photograph on the page: the card alone, held against what it looked like at first."""

from datetime import datetime

import streamlit as st

from grader.consistency.control.causes import State, state_of
from grader.drawing.control_chart import NARROW_PX, control_chart_svg
from grader.drawing.control_photos import control_photos_chart
from grader.pages.components.plain_words import literal
from grader.records.control_photos import ControlRun, RowOf, run_lines, take_control
from grader.records.house import known_today
from grader.records.naming import PHOTO_SUFFIXES

_WHY = (
    "Photograph the card alone, each shift, where plates are photographed. The first ten photos set what is usual; "
    "from then on it is told whether phone, print or light have changed, and whether fries would be read wrong by it."
)


def show() -> None:
    """A form, and what the photo came to."""
    st.subheader("Control photograph", anchor=False)
    st.caption(_WHY)
    with st.form("control"):
        file = st.file_uploader(
            "The card alone", type=[suffix.removeprefix(".") for suffix in sorted(PHOTO_SUFFIXES)], key="control_photo"
        )
        phone = st.text_input("Phone (the same words each time)", max_chars=80, key="control_phone")
        light = st.text_input("Light", max_chars=80, key="control_light")
        anew = st.text_input(
            "Begin anew? Then why",
            max_chars=200,
            key="control_anew",
            help="After a new lamp, say. Else leave it empty.",
        )
        if not st.form_submit_button("Hold against the first ones", key="control_hold") or file is None:
            return
    _tell(
        take_control(
            file.getvalue(),
            name=file.name,
            row=RowOf(phone=phone, light=light, anew=anew),
            known=known_today(),
            now=datetime.now().astimezone(),
        )
    )


def _tell(run: ControlRun) -> None:
    show_as = st.warning if state_of(run.watch) is State.LEFT else st.info
    show_as("  \n".join(literal(line.strip()) for line in run_lines(run)))
    chart = control_photos_chart(run.watch, title="Control photographs")
    if chart is not None:
        st.image(control_chart_svg(chart, width_px=NARROW_PX), width=NARROW_PX)
