"""A length on a page, kept in mm whatever the visitor reads: only what is typed in inches is turned into mm."""

import re
from typing import Literal

import streamlit as st

from grader.language import Lengths
from grader.language.units import in_lengths, to_mm
from grader.pages.components.manners import session_lengths

_INCH_DECIMALS, _MM_DECIMALS = 4, 4
"""Finer than any rule: 0.0001 in is 0.0025 mm."""
_INCH_STEP = 0.01


def length_field(
    label: str,
    *,
    key: str,
    step: float,
    help: str | None = None,  # noqa: A002 - Streamlit's own word
    width: int | Literal["stretch"] = "stretch",
) -> None:
    """A field for the length that is kept in the session under `key`, mm; None where it is empty.

    `label` names the unit as mm, or not at all. A length that nobody touches stays as it is, to the last decimal.
    """
    unit = session_lengths()
    if unit is Lengths.MILLIMETRES:
        st.number_input(label, value=None, step=step, format="%g", key=key, help=help, width=width)
        return
    shown = f"{key}_{unit.name}"
    mm = st.session_state.get(key)
    if mm != _mm(st.session_state.get(shown)):
        st.session_state[shown] = None if mm is None else round(in_lengths(mm, unit), _INCH_DECIMALS)

    def take() -> None:
        st.session_state[key] = _mm(st.session_state[shown])

    st.number_input(
        re.sub(r"\bmm\b", str(unit), label),
        value=None,
        step=_INCH_STEP,
        format="%g",
        key=shown,
        help=help,
        width=width,
        on_change=take,
    )


def _mm(inches: float | None) -> float | None:
    return None if inches is None else round(to_mm(inches, Lengths.INCHES), _MM_DECIMALS)


def convert_length(key: str, unit: Lengths) -> None:
    """The number kept under `key` in the other unit before, from now on in this one."""
    before = st.session_state.get(key)
    if before is not None:
        st.session_state[key] = (
            _mm(before) if unit is Lengths.MILLIMETRES else round(in_lengths(before, unit), _INCH_DECIMALS)
        )
