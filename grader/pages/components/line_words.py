"""What the pages about the fry line share: figures asked in the visitor's units, cautions, yes or no or not known."""

import streamlit as st

from grader.language import Lengths, Temperatures, tr
from grader.language.units import in_lengths, in_temperatures, to_celsius, to_mm
from grader.line.cautions import OIL, WHOLE_LINE, Caution
from grader.pages.components.manners import session_lengths, session_temperatures

_DEGREES, _KELVIN, _MM = "°C", "K", "mm"
_INCH_DECIMALS = 4
"""Of limits as of values: 3 mm, the least cut, is no less than its own limit in inches."""
FIELD_PX = 154
"""Two figures side by side on a phone, four at a desk."""


def ask_figure(
    title: str, unit: str, *, key: str, value: float | None = None, can_be: tuple[float, float] | None = None
) -> float | None:
    """A figure in °C, K, mm or whatever its unit is, asked in the visitor's own; None where it is left empty.

    A `value` of 0.1 °C or 0.01 mm that nobody touches comes back as it was, whatever the visitor's units.
    """
    if unit == _KELVIN:
        return _asked_difference(title, key, value, can_be)
    if unit == _DEGREES:
        return _asked_temperature(title, key, value, can_be)
    if unit == _MM:
        return _asked_length(title, key, value, can_be)
    low, high = can_be or (None, None)
    return _number(f"{tr(title)}, {tr(unit)}" if unit else tr(title), key, value, low, high)


def _asked_temperature(title: str, key: str, value: float | None, can_be: tuple[float, float] | None) -> float | None:
    unit = session_temperatures()
    shown = None if value is None else round(in_temperatures(value, unit), 1)
    low, high = (in_temperatures(one, unit) for one in can_be) if can_be else (None, None)
    told = _number(f"{tr(title)}, {unit}", f"{key}_{unit.name}", shown, low, high)
    return None if told is None else told if unit is Temperatures.CELSIUS else round(to_celsius(told, unit), 1)


def _asked_difference(title: str, key: str, value: float | None, can_be: tuple[float, float] | None) -> float | None:
    unit, degree = session_temperatures(), degree_of_visitor()
    low, high = (degree * one for one in can_be) if can_be else (None, None)
    shown = None if value is None else degree * value
    told = _number(f"{tr(title)}, {unit}", f"{key}_{unit.name}", shown, low, high)
    return None if told is None else told / degree


def degree_of_visitor() -> float:
    """The visitor's degrees to a kelvin: a difference of temperatures has no freezing point."""
    unit = session_temperatures()
    return in_temperatures(1.0, unit) - in_temperatures(0.0, unit)


def _asked_length(title: str, key: str, value: float | None, can_be: tuple[float, float] | None) -> float | None:
    unit = session_lengths()
    shown = None if value is None else round(in_lengths(value, unit), _INCH_DECIMALS)
    low, high = (round(in_lengths(one, unit), _INCH_DECIMALS) for one in can_be) if can_be else (None, None)
    told = _number(f"{tr(title)}, {unit}", f"{key}_{unit.name}", shown, low, high)
    return None if told is None else told if unit is Lengths.MILLIMETRES else round(to_mm(told, unit), 2)


def _number(label: str, key: str, value: float | None, low: float | None, high: float | None) -> float | None:
    told = st.number_input(
        label,
        min_value=None if low is None else float(low),
        max_value=None if high is None else float(high),
        value=None if value is None else float(value),
        format="%g",
        key=key,
    )
    return None if told is None else float(told)


def ask_yes_no(title: str, *, key: str, value: bool | None = None) -> bool | None:
    """Yes, no, or not known."""
    told = st.segmented_control(
        tr(title),
        [True, False],
        format_func=lambda one: tr("yes") if one else tr("no"),
        default=value,
        key=key,
    )
    return None if told is None else bool(told)


def show_cautions() -> None:
    """The usual cautions, each with its source: hot oil first, and in sight."""
    st.warning(_caution(OIL))
    with st.expander(tr("More cautions: cooling, holding, acrylamide, the law")):
        st.markdown("\n".join(f"- {_caution(one)}" for one in WHOLE_LINE if one is not OIL))


def _caution(one: Caution) -> str:
    return f"{tr(one.words)} _{tr(one.source)}_"
