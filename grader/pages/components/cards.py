"""Cards that were measured: what is known, readings brought in, a card against its twin from the dark."""

import streamlit as st

from grader.acts.cards import compare_photo, keep_values
from grader.card import load_layouts
from grader.card.imprint import DEFAULT_MONTHS, MOST_MONTHS, months_later
from grader.card.model import Layout
from grader.card_values import (
    Measurement,
    import_readings,
    newest_of_each,
    template_csv,
    values_folder,
    values_lines,
)
from grader.card_values.importing import INSTRUMENT_U
from grader.card_values.readings import White
from grader.language import retell, said, tr
from grader.pages.components import acting
from grader.pages.components.plain_words import literal
from grader.records.card_drift import drift_lines
from grader.records.house import known_today, today
from grader.records.naming import PHOTO_SUFFIXES

WHITES: dict[str, White | None] = {said("the file says it, or spectra"): None, "D50": "D50", "D65": "D65"}


def _white_words(white: str) -> str:
    """An illuminant as it is; what is no illuminant in the visitor's language."""
    return white if WHITES[white] else tr(white)


def show_known() -> None:
    """The newest measurement of each print run."""
    known = known_today()
    layouts = {layout.key: layout for layout in load_layouts()}
    newest = newest_of_each(known)
    if not newest:
        st.caption(tr("No print run has been measured yet: colours show trends only, beside the same card."))
    for values in newest:
        head, *lines = (
            literal(retell(line.strip())) for line in values_lines(values, layouts[values.layout], on=known.on)
        )
        st.markdown("  \n".join([f"**{head}**", *lines]))


def bring_in_readings() -> None:
    """A form for an instrument's readings of a print run."""
    st.subheader(tr("Bring in readings"), anchor=False)
    st.caption(
        tr("Read each patch, the bare paper and a mat's field, of two or three cards of the run; one file a card.")
    )
    layouts = {layout.key: layout for layout in load_layouts() if layout.printable}
    layout = layouts[
        st.selectbox(tr("Sheet"), list(layouts), format_func=lambda key: retell(layouts[key].name), key="card_sheet")
    ]
    st.download_button(
        tr("Table to fill in"),
        template_csv(layout).encode("utf-8-sig"),
        file_name=f"{layout.key}.readings.csv",
        mime="text/csv",
        key="card_template",
        on_click="ignore",
    )
    with st.form("readings"):
        files = st.file_uploader(tr("Readings (CGATS text or CSV)"), accept_multiple_files=True, key="card_files")
        run = st.text_input(
            tr("Print run"), max_chars=5, key="card_run", help=tr("The first five signs of the serial.")
        )
        by = st.text_input(tr("Measured by (initials)"), max_chars=40, key="card_by")
        measured_on = st.date_input(tr("Measured on"), value=today(), max_value=today(), key="card_measured_on")
        white = WHITES[
            st.selectbox(tr("White of the readings"), list(WHITES), format_func=_white_words, key="card_white")
        ]
        instrument = st.text_input(tr("Instrument, and how it measured"), max_chars=400, key="card_instrument")
        months = st.number_input(tr("Months that it counts"), 1, MOST_MONTHS, value=DEFAULT_MONTHS, key="card_months")
        if not st.form_submit_button(tr("Bring in"), key="card_bring_in") or not files:
            return
    measurement = Measurement(
        run=run.strip().upper(),
        white=white,
        measured_on=measured_on,
        expires_on=months_later(measured_on, int(months)),
        measured_by=by.strip(),
        instrument=instrument.strip(),
        instrument_u=INSTRUMENT_U,
    )
    _keep([(file.name, file.getvalue()) for file in files], layout, measurement)


def _keep(files: list[tuple[str, bytes]], layout: Layout, measurement: Measurement) -> None:
    values = import_readings(files, layout, measurement=measurement)
    kept = keep_values(acting.who_acts(), values_folder(), values)
    told = [*(retell(line.strip()) for line in values_lines(values, layout, on=today()))]
    st.success("  \n".join(literal(line) for line in (*told, tr("Kept as {name}.", name=kept.name))))


def compare_twins() -> None:
    """A photo of two cards, and whether the one in use has faded."""
    st.subheader(tr("Has a card faded?"), anchor=False)
    st.caption(tr("Lay the card in use left and its twin from the dark right, and photograph both at once."))
    photo = st.file_uploader(
        tr("Photo of both cards"),
        type=[suffix.removeprefix(".") for suffix in sorted(PHOTO_SUFFIXES)],
        key="twins_photo",
    )
    keep = st.checkbox(tr("Add it to the card's record"), value=True, key="twins_keep")
    if photo is None or not st.button(tr("Compare"), key="twins_compare"):
        return
    run = compare_photo(acting.who_acts(), photo.getvalue(), name=photo.name, kept=None, on=None, keep=keep)
    _, *lines = drift_lines(run)
    whose = run.line.working or tr("The card, whose serial can't be read")
    told = [f"{whose}: {retell(run.trend.words)}.", *(retell(line.strip()) for line in lines)]
    st.info("  \n".join(literal(line) for line in told))
