"""The fields of a house standard on the page, each with its faults beneath it."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, get_args

import streamlit as st

from grader.colour import lab_to_srgb8
from grader.pages.components.plain_words import literal
from grader.pages.components.standard_draft import (
    OTHER_STAGES,
    SHARES,
    STEPS,
    Checked,
    Values,
    checked,
    share_values,
    step_values,
    values_of,
)
from grader.standard.model import LengthIs, ShareBy, Standard, Surface

_LEFT_OUT = "Empty: left out, and not judged."
_SHARE = "A share, 0 to 1: 0.15 is 15 %."


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """The fields of one draft; `token` keeps them apart from those of another standard."""

    token: str

    @property
    def _kept(self) -> str:
        return f"draft_{self.token}"

    def key(self, field: str) -> str:
        """Of a field's widget."""
        return f"{self._kept}_{field}"

    def begin(self, standard: Standard, *, version: str) -> Values:
        """The values as last edited, at first the standard's own by this version; widgets drawn later start from them.

        What was edited is kept apart from the widgets too: those forget when another page is opened.
        """
        values: Values = st.session_state.setdefault(self._kept, {**values_of(standard), "version": version})
        for field, value in values.items():
            if field not in {STEPS, SHARES}:
                values[field] = st.session_state.setdefault(self.key(field), value)
        return values

    def add(self, name: str, make: Callable[[int], Values]) -> None:
        """Add an entry to a list."""
        values = st.session_state[self._kept]
        number = max(values[name], default=-1) + 1
        while f"{name}.{number}.{'name' if name == STEPS else 'unit'}" in values:
            number += 1
        values |= make(number)
        values[name] = [*values[name], number]

    def take_away(self, name: str, number: int) -> None:
        """Take an entry out of a list."""
        values = st.session_state[self._kept]
        values[name] = [one for one in values[name] if one != number]

    def take_over(self, values: Values) -> None:
        """Go on with other values; before any widget is drawn."""
        st.session_state[self._kept] = values
        for field in values:
            st.session_state.pop(self.key(field), None)

    def forget(self) -> None:
        """Begin anew from the standard."""
        for key in [key for key in st.session_state if str(key).startswith(self._kept)]:
            del st.session_state[key]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drawing:
    form: Form
    values: Mapping[str, Any]
    faults: Mapping[str, Sequence[str]]

    def told(self, field: str) -> None:
        """What is wrong with a field."""
        for message in self.faults.get(field, ()):
            st.markdown(f":red[✘ {literal(message)}]")

    def number(self, field: str, label: str, *, step: float = 0.1, help: str | None = None) -> None:  # noqa: A002 - Streamlit's own word
        """A number; empty where it was left out."""
        st.number_input(label, value=None, step=step, format="%g", key=self.form.key(field), help=help)
        self.told(field)

    def share(self, field: str, label: str, *, optional: bool = False) -> None:
        """A share by count."""
        self.number(field, label, step=0.01, help=f"{_SHARE} {_LEFT_OUT}" if optional else _SHARE)

    def text(self, field: str, label: str) -> None:
        """Some words."""
        st.text_input(label, key=self.form.key(field))
        self.told(field)

    def choice(self, field: str, label: str, options: Sequence[str], *, left_out: str = "") -> None:
        """One of a few words; `left_out` is what is shown for none."""
        st.selectbox(label, options, index=None, placeholder=left_out, key=self.form.key(field))
        self.told(field)

    def switch(self, field: str, label: str) -> None:
        """Yes or no."""
        st.toggle(label, key=self.form.key(field))
        self.told(field)


def show_form(form: Form, values: Values) -> Checked:
    """All fields but the version; gives what they say now."""
    told = checked(values)
    draw = _Drawing(form=form, values=values, faults=told.faults)
    for title, _, drawn in _SECTIONS:  # a title that changed would close its section
        with st.expander(title, expanded=title == _SECTIONS[0][0]):
            drawn(draw)
    return told


def faulty_sections(told: Checked) -> list[str]:
    """The titles under which faults stand."""
    return [title for title, names, _ in _SECTIONS if any(field.startswith(names) for field in told.faults)]


def _rows(*drawn: Callable[[], None]) -> None:
    """Fields two by two beside each other; on a phone, which shows one beneath the other, in their own order."""
    for first in range(0, len(drawn), 2):
        for column, draw_field in zip(st.columns(2), drawn[first : first + 2], strict=False):
            with column:
                draw_field()


def _colour(draw: _Drawing) -> None:
    where = "Where a plate's mean colour belongs on the scale"
    _rows(
        partial(draw.number, "scale.target_from", "Target from", help=where),
        partial(draw.number, "scale.target_to", "Target to", help=where),
        partial(draw.number, "limits.spread_steps_at_most", "Spread at most, steps", step=0.05),
        partial(draw.share, "limits.out_of_target_at_most", "Outside the target at most"),
    )


def _steps(draw: _Drawing) -> None:
    st.caption("From pale to too dark; colours in CIELAB, D65. A fry's place runs on between steps.")
    for place, number in enumerate(draw.values[STEPS], 1):
        at = f"{STEPS}.{number}"
        with st.container(horizontal=True, vertical_alignment="bottom"):
            st.html(_swatch([draw.values[f"{at}.{axis}"] for axis in "Lab"]), width="content")
            st.text_input(f"Step {place}", key=draw.form.key(f"{at}.name"), width=150)
            _take_away(draw, STEPS, number, f"step {place}")
            for axis in "Lab":
                key = draw.form.key(f"{at}.{axis}")
                st.number_input(f"{axis}*", value=None, step=0.25, format="%g", key=key, width=85)
        draw.told(at)
    draw.told(STEPS)
    _add(draw, STEPS, "Add a step", lambda number: step_values(number, "", (None, None, None)))
    draw.number("scale.off_scale_de", "On no step from, CIE 2000 units", help="How far from the way through the steps")


def _swatch(lab: Sequence[float | None]) -> str:
    known = [value for value in lab if value is not None]
    if len(known) < len(lab):
        return '<div style="width:2rem;height:2.4rem"></div>'
    r, g, b = lab_to_srgb8(known).tolist()
    return f'<div style="width:2rem;height:2.4rem;border-radius:.3rem;background:rgb({r},{g},{b})"></div>'


def _stages(draw: _Drawing) -> None:
    st.caption("What isn't said here is as for finished fries. Blanched ones are pale and matt (common practice).")
    for name in OTHER_STAGES:
        at = f"stages.{name}"
        draw.switch(at, f"Limits for {name} fries")
        if not draw.values[at]:
            continue
        told = name.capitalize()
        _rows(
            partial(draw.number, f"{at}.target_from", f"{told}: target from", help="0 is however pale."),
            partial(draw.number, f"{at}.target_to", f"{told}: target to"),
            partial(draw.choice, f"{at}.surface", f"{told}: surface", get_args(Surface), left_out="as finished ones"),
            partial(draw.number, f"{at}.spread_steps_at_most", f"{told}: spread at most, steps", step=0.05),
            partial(draw.share, f"{at}.out_of_target_at_most", f"{told}: outside the target at most", optional=True),
            partial(draw.share, f"{at}.dark_end_share_at_most", f"{told}: dark ends at most", optional=True),
            partial(draw.share, f"{at}.spotted_share_at_most", f"{told}: spotted at most", optional=True),
        )


def _cut(draw: _Drawing) -> None:
    draw.text("cut.name", "Name of the cut")
    _rows(
        partial(draw.number, "cut.width_mm", "Width, mm"),
        partial(draw.number, "cut.tolerance_mm", "Tolerance, mm"),
        partial(draw.share, "limits.width_off_share_at_most", "Off width at most"),
        partial(draw.switch, "cut.skin_on", "Skin on"),
    )


def _lengths(draw: _Drawing) -> None:
    draw.choice("length_is", "Length is", get_args(LengthIs))
    for place, number in enumerate(draw.values[SHARES], 1):
        at = f"{SHARES}.{number}"
        key = draw.form.key
        with st.container(horizontal=True, vertical_alignment="bottom"):
            share, length = key(f"{at}.at_least_share"), key(f"{at}.length")
            st.number_input("At least", value=None, step=0.01, format="%g", key=share, help=_SHARE, width=120)
            st.selectbox("by", get_args(ShareBy), key=key(f"{at}.by"), width=100)
            st.number_input("are this long", value=None, step=0.1, format="%g", key=length, width=120)
            st.selectbox("unit", ("mm", "in"), key=key(f"{at}.unit"), width=80)
            _take_away(draw, SHARES, number, f"length share {place}")
        draw.told(at)
    draw.told(SHARES)
    _add(draw, SHARES, "Add a length share", lambda number: share_values(number, {"length_mm": None}))


_PAIRS = (
    ("short_below_mm", "Short below, mm", "short_share_at_most", "Short at most", False),
    ("scrap_below_mm", "Scrap below, mm", "scrap_share_at_most", "Scraps at most", True),
    ("piece_from_mm", "Crumb below, mm", "crumb_share_at_most", "Crumbs at most", True),
    ("sliver_below_width_mm", "Sliver below, mm wide", "sliver_share_at_most", "Slivers at most", False),
    ("dark_end_from_mm", "Dark end from, mm", "dark_end_share_at_most", "Dark ends at most", False),
    ("spot_from_mm", "Spot from, mm", "spotted_share_at_most", "Spotted at most", False),
    ("curved_from_bow_share", "Curved from, bow as a share", "curved_share_at_most", "Curved at most", True),
    ("torn_end_from_mm", "Torn end from, mm of gap", "torn_end_share_at_most", "Torn ends at most", True),
)


def _defects(draw: _Drawing) -> None:
    for threshold, from_when, limit, at_most, optional in _PAIRS:
        step = 0.01 if threshold.endswith("_share") else 0.5
        _rows(
            partial(draw.number, f"defects.{threshold}", from_when, step=step),
            partial(draw.share, f"limits.{limit}", at_most, optional=optional),
        )
    draw.number("defects.dark_end_from_dl", "Dark end: darker than the fry by, L*", step=0.5)


def _about(draw: _Drawing) -> None:
    draw.text("name", "Name of the standard")
    st.text_area("Note", key=draw.form.key("note"))
    draw.told("note")
    _rows(
        partial(draw.choice, "surface", "Surface of finished fries", get_args(Surface)),
        partial(draw.number, "plate_height_above_card_mm", "Plate higher than the card by, mm", step=1.0),
    )


_SECTIONS: tuple[tuple[str, tuple[str, ...], Callable[[_Drawing], None]], ...] = (
    (
        "Colour",
        ("scale.target_", "limits.spread_steps_at_most", "limits.out_of_target_at_most"),
        _colour,
    ),
    ("The scale's steps", (STEPS, "scale.off_scale_de"), _steps),
    ("Blanched and held", ("stages",), _stages),
    ("Cut", ("cut", "limits.width_off_share_at_most"), _cut),
    ("Lengths", ("length_is", SHARES), _lengths),
    ("Defects", ("defects", *(f"limits.{limit}" for _, _, limit, _, _ in _PAIRS)), _defects),
    ("Name, note, surface", ("name", "note", "surface", "plate_height_above_card_mm"), _about),
)
"""Title, how the names of its fields begin, and what draws it."""


def _take_away(draw: _Drawing, name: str, number: int, what: str) -> None:
    st.button(
        "✕",
        key=draw.form.key(f"{name}.{number}.away"),
        help=f"Take away {what}",
        on_click=partial(draw.form.take_away, name, number),
    )


def _add(draw: _Drawing, name: str, label: str, make: Callable[[int], Values]) -> None:
    st.button(label, key=draw.form.key(f"{name}.add"), on_click=partial(draw.form.add, name, make))
