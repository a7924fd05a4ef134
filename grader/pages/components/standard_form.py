"""The fields of a house standard on the page, each with its faults beneath it."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, get_args

import streamlit as st

from grader.colour import lab_to_srgb8
from grader.language import Lengths, retell, said, tr
from grader.pages.components.length_field import convert_length, length_field
from grader.pages.components.manners import heard, session_lengths
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

_LEFT_OUT = said("Empty: left out, and not judged.")
_SHARE = said("A share, 0 to 1: 0.15 is 15 %.")


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
            st.markdown(f":red[✘ {literal(heard(message))}]")

    def number(self, field: str, label: str, *, step: float = 0.1, help: str | None = None) -> None:  # noqa: A002 - Streamlit's own word
        """A number; empty where it was left out. A length is kept in mm, as a standard has it."""
        key = self.form.key(field)
        if field.endswith("_mm"):
            length_field(label, key=key, step=step, help=help)
        else:
            st.number_input(label, value=None, step=step, format="%g", key=key, help=help)
        self.told(field)

    def share(self, field: str, label: str, *, optional: bool = False) -> None:
        """A share by count."""
        self.number(field, label, step=0.01, help=f"{tr(_SHARE)} {tr(_LEFT_OUT)}" if optional else tr(_SHARE))

    def text(self, field: str, label: str) -> None:
        """Some words."""
        st.text_input(label, key=self.form.key(field))
        self.told(field)

    def choice(self, field: str, label: str, options: Sequence[str], *, left_out: str = "") -> None:
        """One of a few words; `left_out` is what is shown for none."""
        st.selectbox(label, options, index=None, placeholder=left_out, format_func=retell, key=self.form.key(field))
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
        with st.expander(tr(title), expanded=title == _SECTIONS[0][0]):
            drawn(draw)
    return told


def faulty_sections(told: Checked) -> list[str]:
    """The titles under which faults stand."""
    return [tr(title) for title, names, _ in _SECTIONS if any(field.startswith(names) for field in told.faults)]


def _rows(*drawn: Callable[[], None]) -> None:
    """Fields two by two beside each other; on a phone, which shows one beneath the other, in their own order."""
    for first in range(0, len(drawn), 2):
        for column, draw_field in zip(st.columns(2), drawn[first : first + 2], strict=False):
            with column:
                draw_field()


def _colour(draw: _Drawing) -> None:
    where = tr("Where a plate's mean colour belongs on the scale")
    _rows(
        partial(draw.number, "scale.target_from", tr("Target from"), help=where),
        partial(draw.number, "scale.target_to", tr("Target to"), help=where),
        partial(draw.number, "limits.spread_steps_at_most", tr("Spread at most, steps"), step=0.05),
        partial(draw.share, "limits.out_of_target_at_most", tr("Outside the target at most")),
    )


def _steps(draw: _Drawing) -> None:
    st.caption(tr("From pale to too dark; colours in CIELAB, D65. A fry's place runs on between steps."))
    for place, number in enumerate(draw.values[STEPS], 1):
        at = f"{STEPS}.{number}"
        with st.container(horizontal=True, vertical_alignment="bottom"):
            st.html(_swatch([draw.values[f"{at}.{axis}"] for axis in "Lab"]), width="content")
            st.text_input(tr("Step {n}", n=place), key=draw.form.key(f"{at}.name"), width=150)
            _take_away(draw, STEPS, number, tr("Step {n}", n=place))
            for axis in "Lab":
                key = draw.form.key(f"{at}.{axis}")
                st.number_input(f"{axis}*", value=None, step=0.25, format="%g", key=key, width=85)
        draw.told(at)
    draw.told(STEPS)
    _add(draw, STEPS, tr("Add a step"), lambda number: step_values(number, "", (None, None, None)))
    draw.number(
        "scale.off_scale_de", tr("On no step from, CIE 2000 units"), help=tr("How far from the way through the steps")
    )


def _swatch(lab: Sequence[float | None]) -> str:
    known = [value for value in lab if value is not None]
    if len(known) < len(lab):
        return '<div style="width:2rem;height:2.4rem"></div>'
    r, g, b = lab_to_srgb8(known).tolist()
    return f'<div style="width:2rem;height:2.4rem;border-radius:.3rem;background:rgb({r},{g},{b})"></div>'


def _stages(draw: _Drawing) -> None:
    st.caption(tr("What isn't said here is as for finished fries. Blanched ones are pale and matt (common practice)."))
    for name in OTHER_STAGES:
        at = f"stages.{name}"
        draw.switch(at, tr("Limits for {stage} fries", stage=retell(name)))
        if not draw.values[at]:
            continue
        told = retell(name).capitalize()
        _rows(
            partial(draw.number, f"{at}.target_from", f"{told}: {tr('target from')}", help=tr("0 is however pale.")),
            partial(draw.number, f"{at}.target_to", f"{told}: {tr('target to')}"),
            partial(
                draw.choice,
                f"{at}.surface",
                f"{told}: {tr('surface')}",
                get_args(Surface),
                left_out=tr("as finished ones"),
            ),
            partial(draw.number, f"{at}.spread_steps_at_most", f"{told}: {tr('spread at most, steps')}", step=0.05),
            partial(
                draw.share, f"{at}.out_of_target_at_most", f"{told}: {tr('outside the target at most')}", optional=True
            ),
            partial(draw.share, f"{at}.dark_end_share_at_most", f"{told}: {tr('dark ends at most')}", optional=True),
            partial(draw.share, f"{at}.spotted_share_at_most", f"{told}: {tr('spotted at most')}", optional=True),
        )


def _cut(draw: _Drawing) -> None:
    draw.text("cut.name", tr("Name of the cut"))
    _rows(
        partial(draw.number, "cut.width_mm", tr("Width, mm")),
        partial(draw.number, "cut.tolerance_mm", tr("Tolerance, mm")),
        partial(draw.share, "limits.width_off_share_at_most", tr("Off width at most")),
        partial(draw.switch, "cut.skin_on", tr("Skin on")),
    )


def _lengths(draw: _Drawing) -> None:
    units = _unit_words()
    draw.choice("length_is", tr("Length is"), get_args(LengthIs))
    for place, number in enumerate(draw.values[SHARES], 1):
        at = f"{SHARES}.{number}"
        key = draw.form.key
        with st.container(horizontal=True, vertical_alignment="bottom"):
            share, length = key(f"{at}.at_least_share"), key(f"{at}.length")
            st.number_input(tr("At least"), value=None, step=0.01, format="%g", key=share, help=tr(_SHARE), width=120)
            st.selectbox(tr("by"), get_args(ShareBy), format_func=retell, key=key(f"{at}.by"), width=100)
            unit = key(f"{at}.unit")
            if st.session_state[unit] == Lengths.MILLIMETRES:
                length_field(tr("are this long"), key=length, step=0.1, width=120)
            else:
                st.number_input(tr("are this long"), value=None, step=0.1, format="%g", key=length, width=120)
            st.selectbox(
                tr("unit"),
                list(units),
                format_func=units.__getitem__,
                key=unit,
                width=190 if session_lengths() is Lengths.INCHES else 80,
                on_change=partial(_change_unit, length, unit),
            )
            _take_away(draw, SHARES, number, tr("Length share {n}", n=place))
        draw.told(at)
    draw.told(SHARES)
    _add(draw, SHARES, tr("Add a length share"), _new_share)


def _new_share(number: int) -> Values:
    """Written in the unit that the visitor reads."""
    return share_values(number, {"length_in" if session_lengths() is Lengths.INCHES else "length_mm": None})


def _unit_words() -> dict[str, str]:
    """How a length share is written in the file; what is written in mm is shown in inches where those were chosen."""
    in_mm = tr("in, kept in mm") if session_lengths() is Lengths.INCHES else str(Lengths.MILLIMETRES)
    return {str(Lengths.MILLIMETRES): in_mm, str(Lengths.INCHES): str(Lengths.INCHES)}


def _change_unit(length: str, unit: str) -> None:
    convert_length(length, Lengths(st.session_state[unit]))


_PAIRS = (
    ("short_below_mm", said("Short below, mm"), "short_share_at_most", said("Short at most"), False),
    ("scrap_below_mm", said("Scrap below, mm"), "scrap_share_at_most", said("Scraps at most"), True),
    ("piece_from_mm", said("Crumb below, mm"), "crumb_share_at_most", said("Crumbs at most"), True),
    ("sliver_below_width_mm", said("Sliver below, mm wide"), "sliver_share_at_most", said("Slivers at most"), False),
    ("dark_end_from_mm", said("Dark end from, mm"), "dark_end_share_at_most", said("Dark ends at most"), False),
    ("spot_from_mm", said("Spot from, mm"), "spotted_share_at_most", said("Spotted at most"), False),
    (
        "curved_from_bow_share",
        said("Curved from, bow as a share"),
        "curved_share_at_most",
        said("Curved at most"),
        True,
    ),
    ("torn_end_from_mm", said("Torn end from, mm of gap"), "torn_end_share_at_most", said("Torn ends at most"), True),
)


def _defects(draw: _Drawing) -> None:
    for threshold, from_when, limit, at_most, optional in _PAIRS:
        step = 0.01 if threshold.endswith("_share") else 0.5
        _rows(
            partial(draw.number, f"defects.{threshold}", tr(from_when), step=step),
            partial(draw.share, f"limits.{limit}", tr(at_most), optional=optional),
        )
    draw.number("defects.dark_end_from_dl", tr("Dark end: darker than the fry by, L*"), step=0.5)


def _about(draw: _Drawing) -> None:
    draw.text("name", tr("Name of the standard"))
    st.text_area(tr("Note"), key=draw.form.key("note"))
    draw.told("note")
    _rows(
        partial(draw.choice, "surface", tr("Surface of finished fries"), get_args(Surface)),
        partial(draw.number, "plate_height_above_card_mm", tr("Plate higher than the card by, mm"), step=1.0),
    )


_SECTIONS: tuple[tuple[str, tuple[str, ...], Callable[[_Drawing], None]], ...] = (
    (
        said("Colour"),
        ("scale.target_", "limits.spread_steps_at_most", "limits.out_of_target_at_most"),
        _colour,
    ),
    (said("The scale's steps"), (STEPS, "scale.off_scale_de"), _steps),
    (said("Blanched and held"), ("stages",), _stages),
    (said("Cut"), ("cut", "limits.width_off_share_at_most"), _cut),
    (said("Lengths"), ("length_is", SHARES), _lengths),
    (said("Defects"), ("defects", *(f"limits.{limit}" for _, _, limit, _, _ in _PAIRS)), _defects),
    (said("Name, note, surface"), ("name", "note", "surface", "plate_height_above_card_mm"), _about),
)
"""Title, how the names of its fields begin, and what draws it."""


def _take_away(draw: _Drawing, name: str, number: int, what: str) -> None:
    st.button(
        "✕",
        key=draw.form.key(f"{name}.{number}.away"),
        help=tr("Take away: {what}", what=what),
        on_click=partial(draw.form.take_away, name, number),
    )


def _add(draw: _Drawing, name: str, label: str, make: Callable[[int], Values]) -> None:
    st.button(label, key=draw.form.key(f"{name}.add"), on_click=partial(draw.form.add, name, make))
