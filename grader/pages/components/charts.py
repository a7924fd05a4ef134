"""Lengths against the cut specification, and colours on the house's own scale."""

from collections.abc import Sequence

import altair as alt
import numpy as np
import pandas as pd
import streamlit as st
from numpy.typing import NDArray

from grader.arrays import FloatArray
from grader.colour import lab_to_srgb8
from grader.fries.model import Fry
from grader.pages.components.plain_words import literal
from grader.records.scale_words import fry_place
from grader.standard.model import ColourScale, Standard

BIN_MM = 10
BINS_A_STEP = 4
_SWATCHES_A_STEP = 12
_HEIGHT_PX = 240
_HEADROOM = 0.14
_SWATCH_SHARE, _NAMES_SHARE = 0.2, 0.16
"""Shares of the highest bar's height."""
_TICKS = [k * 10**n for n in range(8) for k in (1, 2, 5)]
_BAR, _LIMIT = "#4f6d8f", "#b3261e"


IntArray = NDArray[np.int_]
Chart = alt.LayerChart | alt.FacetChart  # what altair calls layers; here they are always the first


def lengths_mm(fries: Sequence[Fry], standard: Standard) -> list[float]:
    """The lengths that the standard means, of the fries that have one."""
    measured = [fry.straight_mm if standard.length_is == "straight" else fry.length_mm for fry in fries]
    return [length.value for length in measured if length is not None]


def _count_axis(counts: IntArray, *, below: float = 0.0) -> alt.Y:
    """Whole numbers of fries, with room above for words, and `below` (a share of the bars' height) for swatches."""
    most = max(int(counts.max(initial=0)), 1)
    step = next(step for step in _TICKS if most / step <= 5)
    domain = alt.Scale(domain=[-below * most, most * (1 + _HEADROOM)], nice=False, zero=False)
    ticks = list(range(0, most + 1, step))
    return alt.Y("fries:Q", title="fries", scale=domain, axis=alt.Axis(values=ticks, format="d", grid=False))


def _limit_words(at: float, words: str, most: int, *, before: bool = False) -> alt.Chart:
    """Words at the upper end of the line of a limit, behind or before it."""
    mark = alt.MarkDef(
        "text",
        align="right" if before else "left",
        dx=-4 if before else 4,
        baseline="top",
        color=_LIMIT,
        fontWeight="bold",
        fontSize=12,
    )
    upper = alt.Y(datum=most * (1 + _HEADROOM))
    return alt.Chart(pd.DataFrame({"at": [at]}), mark=mark).encode(x="at:Q", y=upper, text=alt.value(words))


def length_chart(fries: Sequence[Fry], standard: Standard) -> Chart:
    """A bar a centimetre; a line where short pieces end and at each length that a share of the fries must reach."""
    lengths = lengths_mm(fries, standard)
    top = BIN_MM * (int(max([*lengths, 100.0]) // BIN_MM) + 1)
    edges = np.arange(0, top + BIN_MM, BIN_MM)
    counts, _ = np.histogram(lengths, edges)
    bars = pd.DataFrame({"from": edges[:-1], "to": edges[1:], "fries": counts})
    domain = alt.Scale(domain=[0, top], nice=False)
    drawn = (
        alt.Chart(bars)
        .mark_bar(color=_BAR, stroke="white")
        .encode(
            x=alt.X("from:Q", title="length, mm", scale=domain, axis=alt.Axis(grid=False, tickCount=6)),
            x2="to:Q",
            y=_count_axis(counts),
            y2=alt.datum(0),
            tooltip=["from", "to", "fries"],
        )
    )
    shares = standard.limits.length_shares
    short = standard.defects.short_below_mm
    lines = pd.DataFrame({"at": [short, *(share.length_mm for share in shares)]})
    rules = alt.Chart(lines).mark_rule(color=_LIMIT, strokeDash=[5, 3], size=2).encode(x="at:Q")
    most = max(int(counts.max()), 1)
    words = [_limit_words(share.length_mm, f"≥ {share.at_least_share:.0%}", most) for share in shares]
    return alt.layer(drawn, rules, _limit_words(short, "short", most, before=True), *words, height=_HEIGHT_PX)


def scale_colours(scale: ColourScale, places: FloatArray) -> list[str]:
    """The house's own colours at these places as #rrggbb; beyond the ends the end's own."""
    anchors = np.array([step.lab for step in scale.steps])
    lab = np.stack([np.interp(places, np.arange(1, len(anchors) + 1), anchors[:, axis]) for axis in range(3)], axis=-1)
    return ["#{:02x}{:02x}{:02x}".format(*rgb) for rgb in lab_to_srgb8(lab).tolist()]


def colour_chart(fries: Sequence[Fry], standard: Standard) -> Chart:
    """Bars over the places on the scale, the target range marked, the house's swatches and their names beneath."""
    scale = standard.scale
    found = [fry_place(fry, scale) for fry in fries]
    edges = np.linspace(0.5, len(scale.steps) + 0.5, len(scale.steps) * BINS_A_STEP + 1)
    counts, _ = np.histogram([place.steps for place in found if place is not None], edges)
    colours = scale_colours(scale, (edges[:-1] + edges[1:]) / 2)
    bars = pd.DataFrame({"from": edges[:-1], "to": edges[1:], "fries": counts, "colour": colours})
    domain = alt.Scale(domain=[edges[0], edges[-1]], nice=False)
    drawn = (
        alt.Chart(bars[bars["fries"] > 0])
        .mark_bar(stroke="#333", strokeWidth=1)
        .encode(
            x=alt.X("from:Q", title=None, scale=domain, axis=None),
            x2="to:Q",
            y=_count_axis(counts, below=_SWATCH_SHARE + _NAMES_SHARE),
            y2=alt.datum(0),
            color=alt.Color("colour:N", scale=None),
            tooltip=["fries"],
        )
    )
    most = max(int(counts.max()), 1)
    ends = pd.DataFrame({"at": [scale.target_from, scale.target_to]})
    rules = (
        alt.Chart(ends)
        .mark_rule(color=_LIMIT, strokeDash=[5, 3], size=2)
        .encode(x="at:Q", y=alt.datum(0), y2=alt.datum(most * (1 + _HEADROOM)))
    )
    words = _limit_words(scale.target_from, "target", most)
    return alt.layer(drawn, rules, words, *_swatches(scale, most), height=_HEIGHT_PX)


def _swatches(scale: ColourScale, most: int) -> tuple[alt.Chart, alt.Chart]:
    """The scale as the house means it: a band that runs through its anchors, a name at each."""
    edges = np.linspace(0.5, len(scale.steps) + 0.5, len(scale.steps) * _SWATCHES_A_STEP + 1)
    colours = scale_colours(scale, (edges[:-1] + edges[1:]) / 2)
    band = pd.DataFrame({"from": edges[:-1], "to": edges[1:], "colour": colours})
    swatches = (
        alt.Chart(band)
        .mark_rect()
        .encode(
            x="from:Q",
            x2="to:Q",
            y=alt.datum(-0.03 * most),
            y2=alt.datum(-_SWATCH_SHARE * most),
            color=alt.Color("colour:N", scale=None),
        )
    )
    names = pd.DataFrame({"at": range(1, len(scale.steps) + 1), "name": [step.name for step in scale.steps]})
    words = (
        alt.Chart(names)
        .mark_text(baseline="top", dy=4, limit=48, fontSize=12)
        .encode(x="at:Q", y=alt.datum(-_SWATCH_SHARE * most), text="name")
    )
    return swatches, words


def show_lengths(fries: Sequence[Fry], standard: Standard) -> None:
    """The chart, and how to read it."""
    if not lengths_mm(fries, standard):
        st.caption("No fry has a length: none lies free from end to end.")
        return
    described = "Lengths of the fries in bars of 10 mm, with the limits of the cut"
    st.altair_chart(length_chart(fries, standard), alt=described, key="lengths")
    asked = [
        f"at least {share.at_least_share:.0%} must be {share.length_mm:g} mm or longer"
        for share in standard.limits.length_shares
    ]
    words = "; ".join([f"Short is below {standard.defects.short_below_mm:g} mm", *asked])
    st.caption(literal(f"{words}."))


def show_colours(fries: Sequence[Fry], standard: Standard) -> None:
    """The chart, and how to read it."""
    described = "Colours of the fries on the house scale, with the target range and the house's own swatches"
    st.altair_chart(colour_chart(fries, standard), alt=described, key="colours")
    scale = standard.scale
    words = f"The house's own scale, {scale.steps[0].name} to {scale.steps[-1].name}; the target is "
    st.caption(literal(f"{words}{scale.target_from:g} to {scale.target_to:g}. A screen shows colours only roughly."))
