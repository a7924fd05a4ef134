"""How a visitor wants the page to speak: language and units, chosen at the foot of every page, kept for the session."""

from collections.abc import Mapping

import streamlit as st
from streamlit.runtime.scriptrunner import get_script_run_ctx

from grader.language import LANGUAGES, SOURCE, Lengths, Temperatures, lengths_told, retell, temperatures_told, tr

_LANGUAGE, _LENGTHS, _TEMPERATURES = "language", "lengths", "temperatures"


def session_language() -> str:
    """What was chosen, else what the browser asks for; English outside a page."""
    if get_script_run_ctx(suppress_warning=True) is None:
        return SOURCE
    return _chosen(_LANGUAGE, {name: code for code, name in LANGUAGES.items()}) or _of_browser()


def session_lengths() -> Lengths:
    """The unit of lengths that was chosen; millimetres, in which standards are written, where nobody did."""
    return Lengths(_chosen(_LENGTHS, {unit.value: unit.value for unit in Lengths}) or Lengths.MILLIMETRES)


def session_temperatures() -> Temperatures:
    """The unit of temperatures that was chosen, else degrees Celsius."""
    return Temperatures(
        _chosen(_TEMPERATURES, {unit.value: unit.value for unit in Temperatures}) or Temperatures.CELSIUS
    )


def heard(english: str) -> str:
    """What a lower room said, in the visitor's language, its lengths and temperatures in the visitor's units."""
    return in_units(retell(english))


def in_units(text: str) -> str:
    """A sentence with its lengths and temperatures in the visitor's units."""
    return temperatures_told(lengths_told(text, session_lengths()), session_temperatures())


def show_manners() -> None:
    """The choices. What is chosen stands in the page's address too, so that it outlasts a reload."""
    with st.container(horizontal=True):
        codes = list(LANGUAGES)
        st.selectbox(
            tr("Language"),
            codes,
            index=codes.index(_of_browser()),
            format_func=lambda code: LANGUAGES[code],
            key=_LANGUAGE,
            bind="query-params",
            width=160,
        )
        st.segmented_control(
            tr("Lengths"), list(Lengths), default=Lengths.MILLIMETRES, required=True, key=_LENGTHS, bind="query-params"
        )
        st.segmented_control(
            tr("Temperatures"),
            list(Temperatures),
            default=Temperatures.CELSIUS,
            required=True,
            key=_TEMPERATURES,
            bind="query-params",
        )


def _chosen(key: str, in_address: Mapping[str, str]) -> str:
    """What was chosen, empty where nobody did.

    After a reload it stands in the page's address alone until the choices at the page's foot are drawn again.
    """
    told = st.session_state.get(key)
    return str(told) if told else in_address.get(st.query_params.get(key, ""), "")


def _of_browser() -> str:
    asked = (st.context.locale or SOURCE).partition("-")[0]
    return asked if asked in LANGUAGES else SOURCE
