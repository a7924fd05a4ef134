"""A print run given its colours by photos of a card beside a 24-patch chart, where no instrument is at hand."""

import streamlit as st

from grader.acts.cards import keep_values
from grader.card import load_layouts
from grader.card.imprint import DEFAULT_MONTHS, MOST_MONTHS, months_later
from grader.card_values import values_folder, values_lines
from grader.chart.editions import DEFAULT_EDITION, load_editions
from grader.chart.home import HomeCalibration, calibrate_by_chart
from grader.language import retell, said, tr
from grader.pages.components import acting
from grader.pages.components.plain_words import literal
from grader.records.house import today
from grader.records.naming import PHOTO_SUFFIXES

_MADE = {
    "after-november-2014": said("after November 2014"),
    "before-november-2014": said("before November 2014"),
    "2005": said("by the values of 2005"),
    "1976": said("by the values of 1976"),
}


def calibrate() -> None:
    """A form for the photos; what comes of them is kept for the whole print run."""
    st.subheader(tr("Measure a card by a chart"), anchor=False)
    st.caption(
        tr(
            "Lay card and chart flat beside each other, without reflections. Take one photo in daylight by a window "
            "and one under a warm lamp, without the other light. Less sure than an instrument, and told how much."
        )
    )
    editions = [DEFAULT_EDITION, *(name for name in load_editions() if name != DEFAULT_EDITION)]
    with st.form("by_chart"):
        photos = st.file_uploader(
            tr("Photos of card and chart, two lights at least"),
            type=[suffix.removeprefix(".") for suffix in sorted(PHOTO_SUFFIXES)],
            accept_multiple_files=True,
            key="chart_photos",
        )
        edition = st.selectbox(tr("24-patch chart, made"), editions, format_func=_made, key="chart_edition")
        run = st.text_input(
            tr("Print run"), max_chars=5, key="chart_run", help=tr("Left empty: the serial in the photos tells it.")
        )
        by = st.text_input(tr("Measured by (initials)"), max_chars=40, key="chart_by").strip()
        taken_on = st.date_input(tr("Taken on"), value=today(), max_value=today(), key="chart_taken_on")
        months = st.number_input(tr("Months that it counts"), 1, MOST_MONTHS, value=DEFAULT_MONTHS, key="chart_months")
        if not st.form_submit_button(tr("Measure by the chart"), key="chart_go") or not photos:
            return
    with st.spinner(tr("Reading card and chart")):
        found = calibrate_by_chart(
            [(photo.name, photo.getvalue()) for photo in photos],
            load_editions()[edition],
            run=run.strip().upper() or None,
            measured_on=taken_on,
            expires_on=months_later(taken_on, int(months)),
            by=by,
        )
    _tell(found, keep_values(acting.who_acts(), values_folder(), found.values).name)


def _made(edition: str) -> str:
    """An edition in the visitor's language; one that came later, by its own name."""
    return tr(_MADE[edition]) if edition in _MADE else edition


def _tell(found: HomeCalibration, kept: str) -> None:
    layout = next(one for one in load_layouts() if one.key == found.values.layout)
    told = [
        *(literal(retell(line.strip())) for line in values_lines(found.values, layout, on=today())),
        literal(
            tr(
                "The lights differ by {between} on the card; a chart patch that is left out is missed by {left_out} "
                "(CIE 2000, in the middle).",
                between=f"{found.between_de:.1f}",
                left_out=f"{found.left_out_de:.1f}",
            )
        ),
        literal(tr("Kept as {name}.", name=kept)),
    ]
    st.success("  \n".join(told))
