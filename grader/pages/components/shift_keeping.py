"""What is kept from a chart: its baseline, frozen as it is shown, and events after which a level may move."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, tzinfo

import streamlit as st

from grader.acts.method import keep_baseline, keep_event
from grader.consistency.change_words import Clock
from grader.consistency.model import EventKind, PlateSummary
from grader.consistency.shift_watch import Line, ShiftWatch
from grader.language import retell, tr
from grader.pages.components import acting
from grader.pages.components.plain_words import literal
from grader.pages.components.signing import ask_name
from grader.records.database.house import House
from grader.records.database.setting import Setting
from grader.records.kept_files import Signed
from grader.records.shift_baselines import kept_baseline
from grader.records.shift_sources import baseline_chart

_SAID = "shift_said"


def show_freezing(house: House, plates: Sequence[PlateSummary], told: ShiftWatch, clock: Clock) -> None:
    """The baseline that the chart rests on, to be frozen with initials and a reason."""
    _say_once()
    chart, shown = baseline_chart(plates, told.measure), told.watched.baseline
    with st.expander(tr("Freeze this baseline")):
        if kept_baseline(house, chart) == shown:
            words = tr(
                "It is frozen already: from {from_at} to {to_at}.",
                from_at=clock(shown.from_at),
                to_at=clock(shown.to_at),
            )
            st.caption(literal(words))
            return
        st.caption(
            tr(
                "Later plates never change a frozen baseline. A new one takes its place when you freeze it; the old "
                "one stays in the records."
            )
        )
        with st.form("shift_freeze", border=False):
            by = ask_name(tr("Your initials"), key="shift_freeze_by")
            why = st.text_input(tr("Why this is what is usual"), key="shift_freeze_why", max_chars=400)
            asked = st.form_submit_button(tr("Freeze it"))
    if asked:
        keep_baseline(acting.who_acts(), house, chart, shown, Signed(by=by, at=datetime.now(UTC), why=why))
        st.session_state[_SAID] = tr("Frozen: from now on these batches say what is usual, whatever comes later.")
        st.rerun()


def show_event(house: House, line: Line, *, zone: tzinfo | None) -> None:
    """A form for an event of the kitchen and fryer that the chart shows, by the kitchen's own clock."""
    with st.expander(tr("Add an event")):
        st.caption(tr("After an event the level may move: the chart then learns it anew and says what the event did."))
        now = datetime.now(zone)
        with st.form("shift_event", border=False):
            kind = st.selectbox(
                tr("What happened"), list(EventKind), format_func=lambda one: retell(one.value), key="shift_event_kind"
            )
            day = st.date_input(tr("Day of the event"), value=now.date(), key="shift_event_day")
            at = st.time_input(tr("Time"), value=now.time().replace(second=0, microsecond=0), key="shift_event_time")
            words = st.text_input(tr("In a few words"), key="shift_event_words", max_chars=200)
            by = ask_name(tr("Your initials"), key="shift_event_by")
            asked = st.form_submit_button(tr("Keep the event"))
    if asked and kind is not None and isinstance(day, date):
        moment = datetime.combine(day, at, zone).astimezone(UTC)
        setting = Setting(kitchen=line.kitchen, fryer=line.fryer, by=by)
        keep_event(acting.who_acts(), house, setting, EventKind(kind), at=moment, words=words.strip())
        st.session_state[_SAID] = tr("The event is kept: the level is learned anew from there on.")
        st.rerun()


def _say_once() -> None:
    """What was kept just before the page was drawn anew."""
    told = st.session_state.pop(_SAID, None)
    if told is not None:
        st.success(told)
