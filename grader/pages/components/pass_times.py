"""The next drawn sample time, told at the pass."""

from contextlib import closing

import streamlit as st

from grader.errors import GraderError
from grader.language import tr
from grader.pages.components.pass_setting import PassSetting
from grader.pages.components.plain_words import literal
from grader.records.database import open_house
from grader.records.database.house import records_there
from grader.records.database.sample_times import ShiftTimes, times_of


def drawn_times(told: PassSetting) -> ShiftTimes | None:
    """What was drawn for the shift at hand; None where nothing was."""
    if not told.kitchen or not told.shift or not records_there():
        return None
    try:
        with closing(open_house()) as house:
            return times_of(house, told.setting("plates"), told.now)
    except GraderError:  # a kitchen that the records don't know yet has no times
        return None


def show_next_time(told: PassSetting) -> None:
    """When the next plate is to be taken, where times were drawn for this shift; nothing else is told of them."""
    drawn = drawn_times(told)
    due = None if drawn is None else drawn.due(told.now)
    if due is not None:
        at = due.astimezone(told.now.tzinfo).strftime("%H:%M")
        st.caption(f":material/schedule: {literal(tr('Next drawn sample: {at}', at=at))}")
