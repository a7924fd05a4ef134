"""Every fry in a table, to look at and to take along."""

from collections.abc import Sequence
from statistics import median
from typing import Any

import pandas as pd
import streamlit as st

from grader.decision import length_as_meant
from grader.drawing.marks import doubtful, marks_of
from grader.fries.model import FLAG_WORDS, Fry, Measured
from grader.language import Lengths, retell, tr
from grader.language.units import in_lengths
from grader.pages.components.grading import SeenBatch
from grader.pages.components.manners import session_lengths
from grader.pages.components.plain_words import literal
from grader.records.readings import json_bytes
from grader.records.scale_words import fry_place
from grader.records.summary import BatchEntry, PhotoEntry, fries_csv, summary_record
from grader.standard.model import Standard


def _length(measured: Measured | None) -> float | None:
    return None if measured is None else in_lengths(measured.value, session_lengths())


def _doubt(fry: Fry) -> str:
    return "; ".join(retell(words) for flag, words in FLAG_WORDS.items() if fry.flags & flag)


def _row(plate: int, fry: Fry, standard: Standard) -> dict[str, object]:
    place = fry_place(fry, standard.scale)
    lab = (None, None, None) if fry.colour is None else fry.colour.lab
    return {
        "plate": plate,
        "fry": fry.number,
        "length": _length(length_as_meant(fry, standard)),
        "width": _length(fry.width_mm),
        "bow": None if fry.bow_share is None else 100 * fry.bow_share.value,
        "mass": None if fry.mass_g is None else fry.mass_g.value,
        "place": None if place is None else place.steps,
        "step": None if place is None else place.step_name,
        "noted": ", ".join(retell(mark.words) for mark in marks_of(fry, standard)) + (" ?" if doubtful(fry) else ""),
        "dark end": _length(fry.dark_end_mm),
        "L*": lab[0],
        "a*": lab[1],
        "b*": lab[2],
        "doubt": _doubt(fry),
    }


def fry_frame(batch: SeenBatch) -> pd.DataFrame:
    """A row a fry."""
    judged = [one.graded.plate for one in batch.photos if one.graded.plate is not None]
    rows = [_row(number, fry, batch.standard) for number, plate in enumerate(judged, 1) for fry in plate.fries]
    return pd.DataFrame(rows)


def fries_of(batch: SeenBatch) -> list[Fry]:
    """All fries of the photos that could be judged."""
    return [fry for one in batch.photos if one.graded.plate is not None for fry in one.graded.plate.fries]


def mass_words(fries: Sequence[Fry]) -> str:
    """That thickness is not seen, and how sure masses are."""
    masses = [fry.mass_g for fry in fries if fry.mass_g is not None]
    unseen = tr("Thickness is not seen in a photo from above.")
    if not masses:
        return unseen
    whole = 100 * median(mass.u / mass.value for mass in masses)
    shared = 100 * median(mass.shared_u / mass.value for mass in masses)
    sure = tr(
        "Masses are estimates that take it to be the cut's width: each is sure to about ± {whole} %, of which ± "
        "{shared} % would be the same for all fries of a plate.",
        whole=f"{whole:.0f}",
        shared=f"{shared:.0f}",
    )
    return f"{unseen} {sure}"


def batch_entry(batch: SeenBatch) -> BatchEntry:
    """The batch as the records know it."""
    photos = tuple(PhotoEntry(stem=one.graded.name, source="page", graded=one.graded) for one in batch.photos)
    return BatchEntry(name="batch", photos=photos, verdict=batch.verdict, unmended_verdict=batch.unmended_verdict)


def _columns() -> dict[str, Any]:
    """What each column is called, and how its figures are written."""
    length = "%.1f mm" if session_lengths() is Lengths.MILLIMETRES else "%.2f in"
    number, text = st.column_config.NumberColumn, st.column_config.TextColumn
    return {
        "plate": number(tr("plate")),
        "fry": number(tr("fry")),
        "length": number(tr("length"), format=length),
        "width": number(tr("width"), format=length),
        "bow": number(tr("bow"), format="%.0f %%", help=tr("Bow, as a share of the straight length")),
        "mass": number(tr("mass"), format="%.1f g", help=tr("Estimated: thickness is not seen")),
        "place": number(tr("place"), format="%.1f", help=tr("Place on the house's colour scale")),
        "step": text(tr("step")),
        "noted": text(tr("noted")),
        "dark end": number(tr("dark end"), format=length),
        "L*": number(format="%.1f"),
        "a*": number(format="%.1f"),
        "b*": number(format="%.1f"),
        "doubt": text(tr("doubt")),
    }


def show(batch: SeenBatch) -> None:
    """The table, and both files to take along."""
    st.dataframe(
        fry_frame(batch),
        hide_index=True,
        placeholder="",
        column_config=_columns(),
        alt=tr("Every fry: length, width, bow, estimated mass, place on the colour scale, what was noted"),
        key="fries",
    )
    st.caption(literal(mass_words(fries_of(batch))))
    entry = batch_entry(batch)
    with st.container(horizontal=True):
        st.download_button(
            tr("Fries as CSV"),
            fries_csv([entry], standard=batch.standard),
            file_name="fries.csv",
            mime="text/csv",
            key="fries_csv",
            on_click="ignore",
        )
        st.download_button(
            tr("Verdict as JSON"),
            json_bytes(summary_record([entry], standard=batch.standard)),
            file_name="verdict.json",
            mime="application/json",
            key="verdict_json",
            on_click="ignore",
        )
