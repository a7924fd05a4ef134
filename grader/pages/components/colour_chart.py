"""Colours on the house's own scale, with the house's own swatches."""

from collections.abc import Sequence

import altair as alt
import numpy as np
import pandas as pd
import streamlit as st

from grader.arrays import FloatArray
from grader.colour import lab_to_srgb8
from grader.fries.model import Fry
from grader.language import tr
from grader.pages.components.chart_parts import (
    HEADROOM,
    HEIGHT_PX,
    LIMIT_COLOUR,
    LIMIT_DASH,
    Chart,
    count_axis,
    highest,
    limit_words,
)
from grader.pages.components.plain_words import literal
from grader.records.scale_words import fry_place
from grader.standard.model import ColourScale, Standard

BINS_A_STEP = 4
_SWATCHES_A_STEP = 12
_SWATCH_SHARE, _NAMES_SHARE = 0.2, 0.28
"""Shares of the highest bar's height."""


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
            y=count_axis(counts, below=_SWATCH_SHARE + _NAMES_SHARE),
            y2=alt.datum(0),
            color=alt.Color("colour:N", scale=None),
            tooltip=["fries"],
        )
    )
    most = highest(counts)
    ends = pd.DataFrame({"at": [scale.target_from, scale.target_to]})
    rules = (
        alt.Chart(ends)
        .mark_rule(color=LIMIT_COLOUR, strokeDash=LIMIT_DASH, size=2)
        .encode(x="at:Q", y=alt.datum(0), y2=alt.datum(most * (1 + HEADROOM)))
    )
    words = limit_words(scale.target_from, tr("target"), most)
    return alt.layer(drawn, rules, words, *_swatches(scale, most), height=HEIGHT_PX)


def _swatches(scale: ColourScale, most: int) -> tuple[alt.Chart, ...]:
    """The scale as the house means it: a band that runs through its anchors, name and number at each."""
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
            stroke=alt.Stroke("colour:N", scale=None),  # closes the hairlines between neighbours
        )
    )
    steps = pd.DataFrame([{"at": at, "name": step.name} for at, step in enumerate(scale.steps, 1)])
    below = alt.datum(-_SWATCH_SHARE * most)
    text = alt.Chart(steps).mark_text(baseline="top", dy=4, limit=48, fontSize=12)
    names = text.encode(x="at:Q", y=below, text="name")
    numbers = text.mark_text(baseline="top", dy=19, fontSize=11, color="#666").encode(x="at:Q", y=below, text="at")
    return swatches, names, numbers


def plane_chart(fries: Sequence[Fry], scale: ColourScale) -> Chart:
    """Lightness over chroma: each fry a dot in its own colour, the house scale the line through its steps."""
    labs = [fry.colour.lab for fry in fries if fry.colour is not None]
    dots = _plane(np.reshape(labs, (-1, 3)))
    steps = _plane(np.array([step.lab for step in scale.steps]))
    steps["name"] = [step.name for step in scale.steps]
    x = alt.X("C:Q", title="C*", scale=alt.Scale(zero=False, nice=True), axis=alt.Axis(grid=False))
    y = alt.Y("L:Q", title="L*", scale=alt.Scale(zero=False, nice=True), axis=alt.Axis(grid=False))
    path = alt.Chart(steps).mark_line(color=LIMIT_COLOUR, strokeDash=LIMIT_DASH, size=2).encode(x=x, y=y, order="at:Q")
    ends = (
        alt.Chart(steps)
        .mark_square(size=110, stroke="#222", opacity=1)
        .encode(x=x, y=y, color=alt.Color("colour:N", scale=None))
    )
    names = alt.Chart(steps).mark_text(align="left", dx=9, fontSize=12).encode(x=x, y=y, text="name")
    points = (
        alt.Chart(dots)
        .mark_circle(size=60, stroke="#222", strokeWidth=0.8, opacity=1)
        .encode(x=x, y=y, color=alt.Color("colour:N", scale=None))
    )
    return alt.layer(path, ends, names, points, height=HEIGHT_PX)


def _plane(lab: FloatArray) -> pd.DataFrame:
    """Lightness, chroma and the colour itself of (n, 3) CIELAB."""
    colours = ["#{:02x}{:02x}{:02x}".format(*rgb) for rgb in lab_to_srgb8(lab).reshape(-1, 3).tolist()]
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    return pd.DataFrame({"L": lab[:, 0], "C": chroma, "colour": colours, "at": np.arange(len(lab))})


def show_plane(fries: Sequence[Fry], standard: Standard) -> None:
    """The chart, folded away: it is for whoever knows CIELAB."""
    if not any(fry.colour is not None for fry in fries):
        return
    with st.expander(tr("Lightness and chroma (CIELAB)")):
        described = tr("Each fry by lightness and chroma, with the path of the house scale")
        st.altair_chart(plane_chart(fries, standard.scale), alt=described, key="plane")
        st.caption(tr("Squares: the steps of the house scale. Dots: fries in their own colour, for viewing only."))


def show_colours(fries: Sequence[Fry], standard: Standard) -> None:
    """The chart, and how to read it."""
    described = tr("Colours of the fries on the house scale, with the target range and the house's own swatches")
    st.altair_chart(colour_chart(fries, standard), alt=described, key="colours")
    scale = standard.scale
    words = tr(
        "The house's own scale, {palest} to {darkest}; the target is {low} to {high}. A screen shows colours only "
        "roughly.",
        palest=scale.steps[0].name,
        darkest=scale.steps[-1].name,
        low=f"{scale.target_from:g}",
        high=f"{scale.target_to:g}",
    )
    st.caption(literal(words))
