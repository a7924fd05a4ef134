"""The kept batches on the page: chosen by kitchen, shift and day; one opened; lots; exports."""

import io
import tempfile
import zipfile
from contextlib import closing
from datetime import UTC, date, datetime, time
from pathlib import Path

import pandas as pd
import streamlit as st

from grader.acts.reading import batches_page, export, lots, plates_of_batch
from grader.decision.model import Outcome
from grader.drawing.signs import SIGNS, spoken
from grader.language import length_words, retell, tr, trn
from grader.pages.components import acting
from grader.pages.components.kept_picture import kept_picture
from grader.pages.components.manners import heard, session_lengths
from grader.pages.components.plain_words import literal
from grader.pages.components.scale_words import scale_words
from grader.records.database import House, open_house
from grader.records.database.batch_plates import BatchPlate
from grader.records.database.exporting import Kind
from grader.records.database.house import records_there
from grader.records.database.plate_weights import weighed_plates
from grader.records.database.reading import BatchLine, Wanted
from grader.records.shift_sources import kitchen_names

_COLUMNS = 3
_OUTCOMES = {one.value: one for one in Outcome}


def show() -> None:
    """Everything that is kept, the newest first."""
    if not records_there():
        st.caption(tr("Nothing was kept yet."))
        return
    with closing(open_house()) as house:
        found = batches_page(acting.who_acts(), house, _wanted(house))
        chosen = _list(found)
        if chosen is not None:
            _show_batch(house, chosen)
        _show_lots(house)
        _show_export(house)


def _wanted(house: House) -> Wanted:
    with st.container(horizontal=True):
        kitchen = st.selectbox(
            tr("Kitchen"), ["", *kitchen_names(house)], format_func=lambda name: name or tr("all"), key="list_kitchen"
        )
        shift = st.text_input(tr("Shift"), key="list_shift", width=140).strip()
        lot = st.text_input(tr("Lot number"), key="list_lot", width=140).strip()
        until = st.date_input(tr("Up to the day"), value=None, key="list_until", width=160)
    before = datetime.combine(until, time.max, tzinfo=UTC) if isinstance(until, date) else None
    return Wanted(kitchen=kitchen or "", shift=shift, lot=lot, until=before)


def _list(found: tuple[BatchLine, ...]) -> BatchLine | None:
    """The batches in a table, of which one is chosen."""
    if not found:
        st.caption(tr("No batch is like that."))
        return None
    rows = [
        {
            tr("Day"): one.day.isoformat(),
            tr("Shift"): one.shift,
            tr("Kitchen"): one.kitchen,
            tr("Batch"): one.name,
            tr("Lot"): one.lot,
            tr("Plates"): one.plates,
            tr("Verdict"): _word(one.outcome),
        }
        for one in found
    ]
    st.dataframe(pd.DataFrame(rows), hide_index=True, alt=tr("The newest batches, with their verdicts"))
    place = st.selectbox(
        tr("Open a batch"),
        range(len(found)),
        index=None,
        placeholder=tr("Choose one"),
        format_func=lambda k: _title(found[k]),
        key="list_batch",
    )
    return None if place is None else found[place]


def _title(one: BatchLine) -> str:
    """With its number: Streamlit tells options apart by their words alone, and batches are often called alike."""
    words = " · ".join(word for word in (one.day.isoformat(), one.kitchen, one.shift, one.name) if word)
    return tr("{words} (batch {number})", words=words, number=one.batch_id)


def _word(outcome: str) -> str:
    """A verdict's word; a dash where there is none yet."""
    if not outcome:
        return "–"
    return retell(SIGNS[_OUTCOMES.get(outcome)].word)


def _show_batch(house: House, batch: BatchLine) -> None:
    plates = plates_of_batch(acting.who_acts(), house, batch.batch_id)
    st.subheader(literal(f"{batch.kitchen} · {batch.day.isoformat()} · {batch.name}"), anchor=False)
    if batch.headline:
        sign = SIGNS[_OUTCOMES.get(batch.outcome)]
        st.markdown(f"**{literal(_word(batch.outcome))}** {literal(heard(spoken(batch.headline, sign)))}")
    weighed = weighed_plates(house, [plate.plate_id for plate in plates])
    for start in range(0, len(plates), _COLUMNS):
        columns = st.columns(_COLUMNS)
        for k, (column, plate) in enumerate(zip(columns, plates[start : start + _COLUMNS], strict=False)):
            with column:
                _show_plate(house, plate, start + k + 1)
                if plate.plate_id in weighed:
                    st.caption(literal(scale_words(weighed[plate.plate_id])))


def _show_plate(house: House, plate: BatchPlate, number: int) -> None:
    picture = kept_picture(house, plate.photo_sha256)
    if picture is not None:
        st.image(picture, alt=tr("Plate {number} as it was photographed", number=number), width="stretch")
    told = [f"**{number}** {_word(plate.outcome)}", trn("{n} fry", "{n} fries", plate.fries)]
    if plate.place_mean is not None:
        told.append(tr("place {place}", place=f"{plate.place_mean:.1f}"))
    if plate.length_mean_mm is not None:
        told.append(length_words(plate.length_mean_mm, session_lengths()))
    st.caption(" · ".join(told))


def _show_lots(house: House) -> None:
    with st.expander(tr("Lots and suppliers")):
        rows = [
            {
                tr("Supplier"): one.supplier,
                tr("Lot"): one.number,
                tr("Variety"): one.variety,
                tr("Received"): "" if one.received is None else one.received.isoformat(),
                tr("Batches"): one.batches,
            }
            for one in lots(acting.who_acts(), house)
        ]
        if rows:
            st.dataframe(pd.DataFrame(rows), hide_index=True, alt=tr("Lots with their suppliers"))
        else:
            st.caption(tr("No lot was named yet."))


def _show_export(house: House) -> None:
    with st.expander(tr("Take the records along")):
        kind = st.segmented_control(tr("As"), list(Kind), default=Kind.CSV, required=True, key="export_kind")
        if st.button(tr("Write the files"), key="export_write"):
            st.session_state["export_files"] = _packed(house, Kind(kind or Kind.CSV))
        packed = st.session_state.get("export_files")
        if packed is not None:
            st.download_button(
                tr("Download the files"),
                packed,
                file_name="records.zip",
                mime="application/zip",
                key="export_download",
                on_click="ignore",
            )


def _packed(house: House, kind: Kind) -> bytes:
    """All tables in one file."""
    with tempfile.TemporaryDirectory() as folder:
        written = export(acting.who_acts(), house, Path(folder), kind)
        packed = io.BytesIO()
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as file:
            for one in written:
                file.write(one.file, one.file.name)
    return packed.getvalue()
