"""A lot's density, tuber masses and expected yield on the page; each figure with its doubt and who says so."""

import streamlit as st

from grader.fries.model import Measured
from grader.language import said, tr
from grader.line.brine import salt_g_per_kg_water
from grader.line.cartons import hold_against_count, mean_tuber_g
from grader.line.floating import fit_float_test
from grader.line.fry_yield import OIL, WATER, fry_yield
from grader.line.solids import dry_matter, specific_gravity
from grader.pages.components.line_words import ask_figure
from grader.pages.components.manners import in_units

_BATHS = "1.070 1.080 1.090"


def show_weighing() -> None:
    """Tubers weighed in air and under water."""
    st.markdown(
        tr(
            "Weigh at least 3 kg of tubers, washed and shaken dry; then hang them under water in a basket whose own "
            "weight under water is taken off."
        )
    )
    left, right = st.columns(2)
    with left:
        air = ask_figure(said("In air"), "g", key="lot_air", value=None, can_be=(100.0, 100_000.0))
    with right:
        water = ask_figure(said("Under water"), "g", key="lot_water", value=None, can_be=(1.0, 20_000.0))
    if air is not None and water is not None:
        gravity = specific_gravity(air, water, u_g=1.0)
        st.metric(tr("Specific gravity"), f"{gravity.value:.4f} ± {2 * gravity.u:.4f}")
        st.caption(tr("± is 95 %, of weighing to 1 g; how single tubers differ isn't in it."))
        _show_solids(gravity)


def _show_solids(gravity: Measured) -> None:
    dry = dry_matter(gravity)
    made = fry_yield(dry)
    st.metric(tr("Dry matter"), f"{100 * dry.value:.1f} ± {200 * dry.u:.1f} %")
    st.caption(
        tr("By the equation of von Scheele and others (1937). 19.7 to 24.1 % is called good for fries, in a summary.")
    )
    st.metric(
        tr("Finished fries from a kilogram of raw strips"),
        f"{1000 * made.finished.value:.0f} ± {2000 * made.finished.u:.0f} g",
    )
    st.caption(
        tr(
            "{water} g of water go, {oil} g of oil come: if finished fries hold {wet} water (common practice) and "
            "{fat} fat (USDA FoodData Central 170698), and nothing is lost in soak and blanch. Weigh a batch of yours "
            "to know.",
            water=f"{1000 * made.water_lost.value:.0f}",
            oil=f"{1000 * made.oil_taken.value:.0f}",
            wet=f"{WATER.value:.0%}",
            fat=f"{OIL.value:.1%}",
        )
    )


def show_baths() -> None:
    """Salt for baths, and what floats and sinks."""
    baths = _numbers(st.text_input(tr("Specific gravities of the baths, the lightest first"), _BATHS, key="lot_baths"))
    left, right = st.columns(2)
    with left:
        litres = ask_figure(said("Water in each bath"), "l", key="lot_litres", value=10.0, can_be=(0.5, 500.0)) or 10.0
    with right:
        celsius = ask_figure(said("Temperature of the baths"), "°C", key="lot_bath_c", value=20.0, can_be=(5.0, 30.0))
    salts = [litres * salt_g_per_kg_water(one, temperature_c=20.0 if celsius is None else celsius) for one in baths]
    for gravity, salt in zip(baths, salts, strict=True):
        st.markdown(tr("- {gravity}: {salt} g of salt", gravity=f"{gravity:.3f}", salt=f"{salt:.0f}"))
    st.caption(
        in_units(
            tr(
                "Weigh the salt: a cup of one kind holds more than of another. Source: a published table of brines at "
                "20 °C. A hydrometer in the bath is surer. Wash tubers that were in it."
            )
        )
    )
    counts = _counts(
        st.text_input(
            tr("How many floated in the first, in the next, and so on; last, how many sank in all"),
            key="lot_counts",
            placeholder="3 9 6 2",
        )
    )
    if counts:
        told = fit_float_test(baths, counts, bath_u=0.001)
        st.metric(
            tr("Mean specific gravity of the lot"),
            f"{told.mean:.4f}",
            _span(told.mean_low, told.mean_high),
            delta_color="off",
            delta_arrow="off",
        )
        st.metric(
            tr("Its tubers spread by"),
            f"{told.spread:.4f}",
            _span(told.spread_low, told.spread_high),
            delta_color="off",
            delta_arrow="off",
        )
        if told.outside:
            st.warning(tr("All of them floated, or all sank: mix a bath beyond, and count again."))
        st.caption(tr("A tuber that floats or sinks says nothing of that tuber alone: this is about the lot."))
        _show_solids(Measured(value=told.mean, u=told.mean_u))


def _span(low: float, high: float) -> str:
    return f"{low:.4f}–{high:.4f} (95 %)"


def show_carton() -> None:
    """What tubers of a carton ought to weigh, and whether those weighed do."""
    count = ask_figure(
        said("Tubers to 50 lb (22.68 kg), as the carton says"),
        "",
        key="lot_count",
        value=80.0,
        can_be=(30.0, 200.0),
    )
    if count is None:
        return
    st.metric(tr("A tuber should weigh"), f"{mean_tuber_g(int(count)):.0f} g")
    st.caption(tr("Arithmetic: 22.68 kg over the count."))
    masses = _numbers(st.text_input(tr("Tubers weighed, g each; at least 5, better 20"), key="lot_masses"))
    if masses:
        told = hold_against_count(masses, int(count))
        st.metric(
            tr("Mean of those weighed"),
            f"{told.mean_g:.0f} g",
            f"{told.low_g:.0f}–{told.high_g:.0f} g (95 %)",
            delta_color="off",
            delta_arrow="off",
        )
        words = (
            tr("Lighter than marked: so light by chance in {share} of such samples.", share=f"{told.as_light_p:.1%}")
            if told.as_light_p < 0.05
            else tr("Not shown to be lighter than marked.")
        )
        st.markdown(f"{words} {tr('As a count that is {count}.', count=f'{told.count_as_weighed:.0f}')}")


def _counts(text: str) -> list[int]:
    """As `_numbers`, of what is counted: no tuber floats by half."""
    try:
        return [int(word) for word in text.replace(";", " ").split()]
    except ValueError:
        st.error(tr("Count tubers in whole numbers, with blanks between them: 3 9 6 2"))
        return []


def _numbers(text: str) -> list[float]:
    """Numbers with blanks between them; what is none is told, and nothing is taken."""
    try:
        return [float(word) for word in text.replace(";", " ").split()]
    except ValueError:
        st.error(tr("Write numbers with blanks between them: 262 301 240"))
        return []
