"""How far a basket cools the oil: a picture over loads, the largest load for the house's limit, each term's source."""

from dataclasses import replace

import altair as alt
import numpy as np
import pandas as pd
import streamlit as st

from grader.language import said, tr
from grader.line.causes.facts import OIL_KG_PER_L
from grader.line.load import Fryer, Load, fall_of, heat_wanted, largest_load_kg, with_doubt
from grader.pages.components.line_words import FIELD_PX, ask_figure, degree_of_visitor
from grader.pages.components.manners import in_units, session_temperatures

_LINE, _LIMIT = "#7a3b00", "#141414"
_POINTS = 60


def show_load() -> None:
    """What is asked, the two curves, and what they are made of."""
    with st.container(horizontal=True):
        told = {name: _asked(name, *about) for name, about in _ASKED.items()}
    if None in told.values():
        st.info(tr("Fill in every figure."))
        return
    known = {name: value for name, value in told.items() if value is not None}
    fryer = Fryer(oil_kg=known["oil_l"] * OIL_KG_PER_L, power_kw=known["power_kw"], oil_c=known["oil_c"])
    load = Load(kg=known["kg"], celsius=known["food_c"], water=known["water"] / 100, lost=known["lost"] / 100,
                draws_s=known["draws_s"])  # fmt: skip
    fall = with_doubt(lambda one, other: fall_of(one, other).fall_c, fryer, load)
    most = with_doubt(lambda one, other: largest_load_kg(one, other, fall_at_most_c=known["fall_c"]), fryer, load)
    here, factor = fall_of(fryer, load), degree_of_visitor()
    first, second, third = st.columns(3)
    unit = session_temperatures()
    falls = f"{factor * fall.value:.0f} ± {factor * 2 * fall.u:.0f} {unit}"
    first.metric(tr("The oil falls by"), falls if here.boils else "–")
    second.metric(tr("It is back after"), f"{here.back_s:.0f} s" if here.boils else "–")
    third.metric(tr("Largest load"), f"{most.value:.2g} ± {2 * most.u:.1g} kg")
    if not here.boils:
        st.warning(
            in_units(
                tr(
                    "The oil would fall below 100 °C, where nothing boils: the balance says no more of such a load. "
                    "Fry it in parts."
                )
            )
        )
    _show_curves(fryer, load, known["fall_c"])
    _show_terms(fryer, load)


_ASKED = {
    "kg": (said("Strips in the basket"), said("kg"), 1.5, (0.1, 20.0)),
    "oil_l": (said("Oil in the fryer"), said("l"), 20.0, (1.0, 200.0)),
    "power_kw": (said("Power that reaches the oil"), said("kW"), 14.0, (0.5, 100.0)),
    "oil_c": (said("Temperature of the oil"), said("°C"), 177.0, (120.0, 220.0)),
    "food_c": (said("Temperature of the strips"), said("°C"), 4.0, (-30.0, 60.0)),
    "water": (said("Water in the strips"), said("%"), 75.0, (20.0, 90.0)),
    "lost": (said("Water boiled off"), said("%"), 25.0, (0.0, 80.0)),
    "draws_s": (said("Strips have drawn 63 % of their heat after"), said("s"), 60.0, (5.0, 600.0)),
    "fall_c": (said("The oil may fall by"), said("K"), 15.0, (1.0, 80.0)),
}


def _asked(name: str, title: str, unit: str, value: float, can_be: tuple[float, float]) -> float | None:
    with st.container(width=FIELD_PX):
        return ask_figure(title, unit, key=f"load_{name}", value=value, can_be=can_be)


def _show_curves(fryer: Fryer, load: Load, fall_at_most_c: float) -> None:
    loads, factor = np.linspace(0.1, 2.5 * load.kg, _POINTS), degree_of_visitor()
    falls = [(kg, fall_of(fryer, replace(load, kg=float(kg)))) for kg in loads]
    data = pd.DataFrame(
        [{"kg": kg, "fall": factor * one.fall_c, "back": one.back_s} for kg, one in falls if one.boils],
        columns=["kg", "fall", "back"],
    )
    x = alt.X("kg:Q", title=tr("strips in the basket, kg"))
    title = tr("the oil falls by, {unit}", unit=session_temperatures())
    fall = alt.Chart(data).mark_line(color=_LINE, size=3).encode(x=x, y=alt.Y("fall:Q", title=title))
    limit = alt.Chart(pd.DataFrame({"at": [factor * fall_at_most_c]})).mark_rule(
        color=_LIMIT, strokeDash=[6, 4], size=2
    )
    asked = alt.Chart(pd.DataFrame({"kg": [load.kg]})).mark_rule(color=_LIMIT, size=1).encode(x="kg:Q")
    described = tr("How far the oil falls over the load; dashed: the house's limit; upright: this load")
    st.altair_chart(alt.layer(fall, limit.encode(y="at:Q"), asked, height=240), alt=described, key="load_fall")
    st.caption(described)
    back = alt.Chart(data).mark_line(color=_LINE, size=3, strokeDash=[2, 3])
    described = tr("How long until the oil is back over the load")
    st.altair_chart(
        alt.layer(back.encode(x=x, y=alt.Y("back:Q", title=tr("the oil is back after, s"))), asked, height=240),
        alt=described,
        key="load_back",
    )
    st.caption(described)


def _show_terms(fryer: Fryer, load: Load) -> None:
    warm, boil = heat_wanted(load)
    rows = (
        (
            in_units(tr("Warming the strips to 100 °C")),
            f"{warm:.0f} kJ",
            tr("specific heat by Siebel (1892), from memory"),
        ),
        (tr("Boiling off their water"), f"{boil:.0f} kJ", tr("2257 kJ/kg, steam tables, from memory")),
        (
            tr("Heat that the oil gives up a degree"),
            f"{fryer.oil_kg * fryer.oil_heat_kj_kg_c:.0f} kJ/K",
            tr("2.2 kJ/(kg K), and 0.9 kg a litre, from memory"),
        ),
        (
            tr("Heat that comes in"),
            f"{fryer.power_kw:g} kW",
            tr("as you told: for gas about half of the plate's, common practice"),
        ),
        (tr("How soon strips draw it"), f"{load.draws_s:g} s", tr("house guess: measure how the oil falls")),
    )  # fmt: skip
    heading = f"| {tr('Term')} | {tr('Here')} | {tr('Source')} |\n| --- | --- | --- |\n"
    st.markdown(heading + "\n".join(f"| {' | '.join(row)} |" for row in rows))
    st.caption(tr("± is 95 %. A heat balance: hold a thermometer in the oil to see how far it holds for your fryer."))
