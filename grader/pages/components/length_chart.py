"""Lengths against the cut specification."""

from collections.abc import Sequence

import altair as alt
import numpy as np
import pandas as pd
import streamlit as st

from grader.decision import LongShare, length_as_meant, long_shares
from grader.decision.words import length, percent
from grader.fries.model import Fry, Measured
from grader.language import Lengths, lengths_told, tr
from grader.language.units import in_lengths
from grader.pages.components.chart_parts import (
    HEIGHT_PX,
    LIMIT_COLOUR,
    LIMIT_DASH,
    Chart,
    count_axis,
    highest,
    limit_words,
)
from grader.pages.components.manners import session_lengths
from grader.pages.components.plain_words import literal
from grader.standard.model import LengthShare, Standard

BIN = {Lengths.MILLIMETRES: 10.0, Lengths.INCHES: 0.5}
_SHOWN_MM = 100.0
"""The axis reaches at least this far."""
_BAR = "#4f6d8f"


def lengths_mm(fries: Sequence[Fry], standard: Standard) -> list[float]:
    """The lengths that the standard means, of the fries that have one."""
    measured = [length_as_meant(fry, standard) for fry in fries]
    return [one.value for one in measured if one is not None]


def length_chart(fries: Sequence[Fry], standard: Standard, unit: Lengths = Lengths.MILLIMETRES) -> Chart:
    """A bar a centimetre or half an inch; a line where short pieces end and at each length that a share must reach."""
    lengths, wide = [in_lengths(mm, unit) for mm in lengths_mm(fries, standard)], BIN[unit]
    bins = int(max([*lengths, in_lengths(_SHOWN_MM, unit)]) // wide) + 1
    edges = wide * np.arange(bins + 1)
    top = float(edges[-1])
    counts, _ = np.histogram(lengths, edges)
    bars = pd.DataFrame({"from": edges[:-1], "to": edges[1:], "fries": counts})
    domain = alt.Scale(domain=[0, top], nice=False)
    drawn = (
        alt.Chart(bars)
        .mark_bar(color=_BAR, stroke="white")
        .encode(
            x=alt.X(
                "from:Q",
                title=tr("length, {unit}", unit=unit.value),
                scale=domain,
                axis=alt.Axis(grid=False, tickCount=6),
            ),
            x2="to:Q",
            y=count_axis(counts),
            y2=alt.datum(0),
            tooltip=["from", "to", "fries"],
        )
    )
    shares = standard.limits.length_shares
    short = standard.defects.short_below_mm
    lines = pd.DataFrame({"at": [in_lengths(mm, unit) for mm in (short, *(share.length_mm for share in shares))]})
    rules = alt.Chart(lines).mark_rule(color=LIMIT_COLOUR, strokeDash=LIMIT_DASH, size=2).encode(x="at:Q")
    most = highest(counts)
    words = [
        limit_words(in_lengths(share.length_mm, unit), f"≥ {percent(share.at_least_share)}{_of(share)}", most)
        for share in shares
    ]
    return alt.layer(
        drawn, rules, limit_words(in_lengths(short, unit), tr("short"), most, before=True), *words, height=HEIGHT_PX
    )


def _of(share: LengthShare) -> str:
    return f" {tr('of mass')}" if share.by == "mass" else ""


def show_lengths(plates: Sequence[Sequence[Fry]], standard: Standard) -> None:
    """The chart of all plates' fries, how to read it, and each length's share told by count and by mass."""
    fries = [fry for plate in plates for fry in plate]
    if not lengths_mm(fries, standard):
        st.caption(tr("No fry has a length: none lies free from end to end."))
        return
    unit = session_lengths()
    described = tr(
        "Lengths of the fries in bars of {bar}, with the limits of the cut", bar=f"{BIN[unit]:g} {unit.value}"
    )
    st.altair_chart(length_chart(fries, standard, unit), alt=described, key="lengths")
    asked = [
        tr(
            "at least {share} must be {length} or longer",
            share=f"{percent(one.at_least_share)}{_of(one)}",
            length=length(one.length_mm, one.length_in),
        )
        for one in standard.limits.length_shares
    ]
    words = "; ".join([tr("Short is below {length}", length=length(standard.defects.short_below_mm)), *asked])
    told = " ".join([f"{words}.", *map(both_ways, long_shares(plates, standard))])
    st.caption(literal(lengths_told(told, session_lengths())))


def both_ways(told: LongShare) -> str:
    """One length's share by count and by estimated mass, each with its standard uncertainty."""
    if told.by_count is None:
        return ""
    long_enough, count = length(told.length_mm, told.length_in), _share(told.by_count)
    if told.by_mass is None:
        return tr("{length} or longer: by count {count}.", length=long_enough, count=count)
    return tr(
        "{length} or longer: by count {count}, by estimated mass {mass}.",
        length=long_enough,
        count=count,
        mass=_share(told.by_mass),
    )


def _share(share: Measured) -> str:
    return f"{percent(share.value)} (± {percent(share.u)})"
