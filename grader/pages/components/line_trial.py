"""A trial of time and temperature on the page: planned, fried, filled in, read; then the window and the next plate."""

import altair as alt
import pandas as pd
import streamlit as st

from grader.language import Temperatures, said, temperature_words, tr
from grader.language.units import in_temperatures, to_celsius
from grader.line.cut_time import time_for_cut
from grader.line.trial import (
    COLDEST_C,
    HOTTEST_C,
    LONGEST_S,
    SHORTEST_S,
    Noise,
    TrialPlate,
    Window,
    window_at,
    windows_over,
)
from grader.line.trial_choice import Choice, choose_curve
from grader.line.trial_plan import next_plate, plan_trial
from grader.line.trial_table import COLUMNS
from grader.pages.components import choosing
from grader.pages.components.line_words import FIELD_PX, ask_figure
from grader.pages.components.manners import session_temperatures
from grader.pages.components.plain_words import plain_words
from grader.standard.model import ColourScale
from grader.trueness.tables import table_text

_ROWS, _FILLED = "line_trial_rows", "line_trial_filled"
NARROW_ENOUGH = 0.08
_TARGET, _EDGE = "#c9862b", "#7a3b00"


def show_trial() -> None:
    """Where to begin with another cut; then three steps: plan, fill in, read."""
    _show_other_cut()
    st.markdown(f"**1. {tr('Plan twelve plates around what you do now')}**")
    with st.container(horizontal=True):
        guess = _asked(said("Time now"), "s", 150.0, (10.0, 1800.0), key="trial_guess")
        celsius = _asked(said("Temperature of the oil"), "°C", 170.0, (100.0, 195.0), key="trial_celsius")
        apart = _asked(said("Temperatures apart by"), "K", 6.0, (2.0, 25.0), key="trial_apart")
    if guess is None or celsius is None or apart is None:
        return
    if st.button(tr("Plan them"), key="trial_plan"):
        planned = plan_trial(guess_s=guess, celsius=celsius, apart_c=apart, seed=1)
        st.session_state[_ROWS] = [(one.time_s, one.celsius, None) for one in planned]
        st.session_state.pop(_FILLED, None)
    rows = st.session_state.get(_ROWS)
    if rows is None:
        return
    st.markdown(
        f"**2. {tr('Fry them in this order, from one lot, cut and blanched alike; grade each, enter its place')}**"
    )
    st.caption(
        tr(
            "Let the oil come back before each plate. The place is the plate's mean on your house scale, as its "
            "verdict tells it. Leave empty what wasn't fried."
        )
    )
    unit = session_temperatures()
    filled_in = st.session_state.get(_FILLED)
    if filled_in is not None and filled_in[0] is not unit:  # the table begins anew in the other unit, as it was filled
        rows = st.session_state[_ROWS] = filled_in[1]
    shown = [
        (time_s, None if one is None else round(in_temperatures(one, unit), 1), place) for time_s, one, place in rows
    ]
    low, high = (in_temperatures(one, unit) for one in (COLDEST_C, HOTTEST_C))
    filled = st.data_editor(
        pd.DataFrame(shown, columns=list(COLUMNS)),
        column_config={
            "time_s": st.column_config.NumberColumn(tr("time, s"), min_value=SHORTEST_S, max_value=LONGEST_S),
            "celsius": st.column_config.NumberColumn(f"{tr('oil')}, {unit}", min_value=low, max_value=high),
            "place": st.column_config.NumberColumn(tr("place, steps"), min_value=-5.0, max_value=99.0, format="%.2f"),
        },
        num_rows="dynamic",
        hide_index=True,
        key=f"trial_table_{unit.name}",
    )
    st.session_state[_FILLED] = (unit, _rows(filled, unit))
    plates = _plates(filled, unit)
    st.download_button(
        tr("The table as CSV"),
        table_text(COLUMNS, [(one.time_s, one.celsius, one.place) for one in plates] or rows).encode("utf-8-sig"),
        file_name="trial.csv",
        mime="text/csv",
        key="trial_csv",
        on_click="ignore",
    )
    st.markdown(f"**3. {tr('Read it')}**")
    standard = choosing.standard()
    if standard is not None and st.button(tr("Read the trial"), type="primary", key="trial_read"):
        choice = choose_curve(plates, Noise(), steps=len(standard.scale.steps))
        _show(choice, standard.scale, celsius)


def _show_other_cut() -> None:
    with st.expander(tr("Another cut? Where its trial may begin")), plain_words():
        with st.container(horizontal=True):
            seconds = _asked(said("Time of the one cut"), "s", 150.0, (10.0, 1800.0), key="cut_seconds")
            cut = _asked(said("That cut"), "mm", 9.5, (3.0, 40.0), key="cut_old")
            new = _asked(said("The other cut"), "mm", 12.7, (3.0, 40.0), key="cut_new")
        if seconds is None or cut is None or new is None:
            return
        told = time_for_cut(seconds, cut_mm=cut, new_cut_mm=new)
        st.metric(tr("Begin a trial near"), f"{told.value:.0f} ± {2 * told.u:.0f} s")
        st.caption(
            tr(
                "A starting point, no recipe; ± is 95 %. Time goes as thickness to a power between 1 and 2 "
                "(conduction: Carslaw and Jaeger, from memory): which, only plates tell."
            )
        )


def _asked(title: str, unit: str, value: float, can_be: tuple[float, float], *, key: str) -> float | None:
    with st.container(width=FIELD_PX):
        return ask_figure(title, unit, key=key, value=value, can_be=can_be)


def _rows(filled: pd.DataFrame, unit: Temperatures) -> list[tuple[float | None, float | None, float | None]]:
    """The table as it is filled in, its temperatures in °C."""
    whole = filled.astype(object).where(filled.notna(), None)
    return [
        (time_s, None if degrees is None else round(to_celsius(float(degrees), unit), 2), place)
        for time_s, degrees, place in whole.itertuples(index=False)
    ]


def _plates(filled: pd.DataFrame, unit: Temperatures) -> list[TrialPlate]:
    """The plates of the table, whose temperatures stand there in `unit`."""
    return [
        TrialPlate(
            time_s=float(row["time_s"]),
            celsius=round(to_celsius(float(row["celsius"]), unit), 2),
            place=float(row["place"]),
        )
        for row in filled.dropna().to_dict("records")
    ]


def _show(choice: Choice, scale: ColourScale, celsius: float) -> None:
    window = window_at(choice.fit, celsius, target_from=scale.target_from, target_to=scale.target_to)
    first, second = st.columns(2)
    first.metric(
        tr("Time to the middle of the target"),
        f"{window.centre_s:.0f} s",
        f"{window.low_s:.0f}–{window.high_s:.0f} s (95 %)",
        delta_color="off",
        delta_arrow="off",
    )
    surely = f"{window.from_s:.0f}–{window.to_s:.0f} s" if window.from_s < window.to_s else tr("no time surely")
    second.metric(tr("Surely within the target"), surely)
    _show_windows(choice, scale)
    for line in _lines(choice, window, scale, celsius):
        st.markdown(f"- {line}")


def _show_windows(choice: Choice, scale: ColourScale) -> None:
    """Time over temperature: where a plate is surely in the target, and how sure the middle's time is."""
    windows = windows_over(choice.fit, target_from=scale.target_from, target_to=scale.target_to)
    unit = session_temperatures()
    rows = [
        {
            "at": in_temperatures(one.celsius, unit),
            "centre": one.centre_s,
            "low": one.low_s,
            "high": one.high_s,
            "from": min(one.from_s, one.to_s) if one.from_s < one.to_s else None,
            "to": one.to_s if one.from_s < one.to_s else None,
        }
        for one in windows
    ]
    domain = alt.Scale(zero=False, nice=False)
    x = alt.X("at:Q", title=f"{tr('oil')}, {unit}", scale=domain)
    drawn = alt.Chart(pd.DataFrame(rows)).encode(x=x)
    y = alt.Y("low:Q", title=tr("time, s"), scale=alt.Scale(zero=False))
    layers = (
        drawn.mark_area(color=_TARGET, opacity=0.35).encode(y=alt.Y("from:Q", title=tr("time, s")), y2="to:Q"),
        drawn.mark_line(color=_EDGE, strokeDash=[5, 4]).encode(y=y),
        drawn.mark_line(color=_EDGE, strokeDash=[5, 4]).encode(y="high:Q"),
        drawn.mark_line(color=_EDGE, size=3).encode(y="centre:Q"),
    )
    described = tr(
        "Times over temperatures tried. Line: to the middle of the target; dashed: its 95 % interval; filled: surely "
        "within the target"
    )
    st.altair_chart(alt.layer(*layers, height=280), alt=described, key="trial_windows")
    st.caption(described)


def _lines(choice: Choice, window: Window, scale: ColourScale, celsius: float) -> list[str]:
    theory = tr("first-order browning, its rate by Arrhenius")
    curve = theory if choice.by_theory else tr("a response surface, no theory")
    lines = [
        tr(
            "By {curve}; on plates left out in turn browning is off by {browning} steps, a surface by {surface}.",
            curve=curve,
            browning=f"{choice.browning_off:.2f}",
            surface=f"{choice.surface_off:.2f}",
        )
    ]
    if window.beyond:
        lines.append(tr("Part of that lies outside the times that were tried: fry plates there before you rely on it."))
    if window.half_width > NARROW_ENOUGH:
        middle = (scale.target_from + scale.target_to) / 2
        one = next_plate(choice.fit, place=middle, celsius=celsius)
        lines.append(
            tr(
                "Not narrow enough (± {share} of the time; ± 8 % wanted). Most telling next: {seconds} s at {degrees}.",
                share=f"{window.half_width:.0%}",
                seconds=f"{one.time_s:.0f}",
                degrees=temperature_words(one.celsius, session_temperatures()),
            )
        )
    else:
        lines.append(tr("Narrow enough. It holds for this lot, this cut, this fryer and load, at temperatures tried."))
    return lines
