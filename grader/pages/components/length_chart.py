"""Lengths against the cut specification."""

from collections.abc import Sequence

import altair as alt
import numpy as np
import pandas as pd
import streamlit as st

from grader.decision import LongShare, length_as_meant, long_shares
from grader.decision.words import length, percent
from grader.fries.model import Fry, Measured
from grader.pages.components.chart_parts import (
    HEIGHT_PX,
    LIMIT_COLOUR,
    LIMIT_DASH,
    Chart,
    count_axis,
    highest,
    limit_words,
)
from grader.pages.components.plain_words import literal
from grader.standard.model import LengthShare, Standard

BIN_MM = 10
_BAR = "#4f6d8f"


def lengths_mm(fries: Sequence[Fry], standard: Standard) -> list[float]:
    """The lengths that the standard means, of the fries that have one."""
    measured = [length_as_meant(fry, standard) for fry in fries]
    return [one.value for one in measured if one is not None]


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
            y=count_axis(counts),
            y2=alt.datum(0),
            tooltip=["from", "to", "fries"],
        )
    )
    shares = standard.limits.length_shares
    short = standard.defects.short_below_mm
    lines = pd.DataFrame({"at": [short, *(share.length_mm for share in shares)]})
    rules = alt.Chart(lines).mark_rule(color=LIMIT_COLOUR, strokeDash=LIMIT_DASH, size=2).encode(x="at:Q")
    most = highest(counts)
    words = [limit_words(share.length_mm, f"≥ {percent(share.at_least_share)}{_of(share)}", most) for share in shares]
    return alt.layer(drawn, rules, limit_words(short, "short", most, before=True), *words, height=HEIGHT_PX)


def _of(share: LengthShare) -> str:
    return " of mass" if share.by == "mass" else ""


def show_lengths(plates: Sequence[Sequence[Fry]], standard: Standard) -> None:
    """The chart of all plates' fries, how to read it, and each length's share told by count and by mass."""
    fries = [fry for plate in plates for fry in plate]
    if not lengths_mm(fries, standard):
        st.caption("No fry has a length: none lies free from end to end.")
        return
    described = "Lengths of the fries in bars of 10 mm, with the limits of the cut"
    st.altair_chart(length_chart(fries, standard), alt=described, key="lengths")
    asked = [
        f"at least {percent(one.at_least_share)}{_of(one)} must be {length(one.length_mm, one.length_in)} or longer"
        for one in standard.limits.length_shares
    ]
    words = "; ".join([f"Short is below {length(standard.defects.short_below_mm)}", *asked])
    st.caption(literal(" ".join([f"{words}.", *map(both_ways, long_shares(plates, standard))])))


def both_ways(told: LongShare) -> str:
    """One length's share by count and by estimated mass, each with its standard uncertainty."""
    if told.by_count is None:
        return ""
    by_mass = "" if told.by_mass is None else f", by estimated mass {_share(told.by_mass)}"
    return f"{length(told.length_mm, told.length_in)} or longer: by count {_share(told.by_count)}{by_mass}."


def _share(share: Measured) -> str:
    return f"{percent(share.value)} (± {percent(share.u)})"
