"""Training on the page: plates from the records to call, agreement told, the wall guide to print."""

from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
import pandas as pd
import streamlit as st

from grader.acts.plates import keep_call
from grader.consistency.kappa import Agreement
from grader.drawing.wall_guide import wall_guide_pdf
from grader.language import tr
from grader.pages.components import acting, choosing
from grader.pages.components.colour_call import ask_call, call_word
from grader.pages.components.plain_picture import plain_picture
from grader.pages.components.plain_words import literal
from grader.pages.components.signing import ask_name
from grader.photo import read_photo
from grader.records.agreement import between_cooks, by_week, method_call, with_oneself
from grader.records.database import House, open_house
from grader.records.database.colour_calls import Called, calls_since
from grader.records.database.house import records_there
from grader.records.database.reading import Wanted, chart_plates
from grader.records.house import today
from grader.records.house_values import house_values
from grader.records.shift_sources import photos_of
from grader.sampling.eye_training import next_to_call
from grader.standard import standard_sha256
from grader.standard.model import Standard

_WEEKS = 12
_PLATES = 300
"""The newest plates, of which one is drawn."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shown:
    """The plate that a cook looks at: its photo, what the method calls it by a standard, whether it came back."""

    turn: int
    photo: str
    standard: Standard
    method: str
    again: bool
    cook: str


def show_calling() -> None:
    """A plate from the records, the cook's call, then the method's."""
    st.subheader(tr("Call a plate"), anchor=False)
    st.markdown(
        tr("Look, call it, and only then see what the method says. Now and then a plate comes back without a word.")
    )
    cook = ask_name(tr("Initials"), key="train_by", usual=house_values().by, at_most=8)
    standard = choosing.standard(key="train_standard", usual=house_values().standard)
    if standard is None or not cook:
        st.caption(tr("Say whose eye it is."))
        return
    if not records_there():
        st.caption(tr("No plate was kept yet. Plates come from the pass."))
        return
    with closing(open_house()) as house:
        _show_one(house, standard, cook)


def _show_one(house: House, standard: Standard, cook: str) -> None:
    before = st.session_state.pop("train_told", None)
    if before is not None:
        called, method = (call_word(one) for one in before)
        st.info(literal(tr("You called it: {called}. The method: {method}.", called=called, method=method)))
    shown: _Shown | None = st.session_state.get("train_shown")
    if shown is None or (shown.cook, shown.standard) != (cook, standard) or house.photos.size(shown.photo) is None:
        shown = _draw(house, standard, cook)  # the first one, another eye or standard, or its photo is deleted by now
    if shown is None:
        st.caption(tr("No plate is left to call: keep more at the pass."))
        return
    st.session_state["train_shown"] = shown
    st.image(_picture(house, shown.photo), alt=tr("A plate of fries to call, without any verdict"), width="stretch")
    answer = ask_call(f"train_{shown.turn}")  # buttons of its own: a second click calls no plate that nobody saw
    if answer is not None:
        call = Called(
            by=cook,
            at=datetime.now(UTC),
            photo_sha256=shown.photo,
            called=answer,
            method=shown.method,
            again=shown.again,
        )
        keep_call(acting.who_acts(), house, call)
        st.session_state["train_told"] = (answer, shown.method)
        del st.session_state["train_shown"]
        st.rerun()


def _draw(house: House, standard: Standard, cook: str) -> _Shown | None:
    plates = chart_plates(
        house, Wanted(), standard_sha256=standard_sha256(standard), stage=standard.stage, at_most=_PLATES
    )
    photos = photos_of(house, plates)
    place = {photos[one.plate]: one.place_mean for one in plates if one.plate in photos and one.place_mean is not None}
    there = [photo for photo in place if house.photos.size(photo) is not None]
    calls = calls_since(house, datetime.now(UTC) - timedelta(weeks=_WEEKS))
    called = [one.photo_sha256 for one in calls if one.by == cook]
    drawn = next_to_call(there, called, np.random.default_rng())
    if drawn is None:
        return None
    photo, again = drawn
    return _Shown(
        turn=len(called),
        photo=photo,
        standard=standard,
        method=method_call(place[photo], standard.scale),
        again=again,
        cook=cook,
    )


def _picture(house: House, photo: str) -> bytes:
    """The photo as it was taken; the last one is remembered."""
    kept: dict[str, bytes] = st.session_state.setdefault("train_picture", {})
    if photo not in kept:
        kept.clear()
        kept[photo] = plain_picture(read_photo(house.photos.get(photo), name=photo).pixels)
    return kept[photo]


def show_agreement() -> None:
    """Who agrees with the method, with each other, with themselves."""
    st.subheader(tr("How far we agree"), anchor=False)
    if not records_there():
        st.caption(tr("Nobody called a plate yet."))
        return
    with closing(open_house()) as house:
        calls = calls_since(house, datetime.now(UTC) - timedelta(weeks=_WEEKS))
    if not calls:
        st.caption(tr("Nobody called a plate yet."))
        return
    st.caption(
        tr(
            "Weighted kappa: 1 is full agreement, 0 is what chance alone would give; pale for dark counts double. "
            "In brackets where it lies with 95 %. From ten plates on."
        )
    )
    weeks = [
        {
            tr("Cook"): one.cook,
            tr("Week from"): tr("all") if one.monday is None else one.monday.isoformat(),
            **_columns(one.told),
        }
        for one in by_week(calls)
    ]
    _table(tr("With the method"), weeks)
    _table(tr("With each other"), [_pair(one.first, one.second, one.told) for one in between_cooks(calls)])
    _table(
        tr("With oneself, on plates that came back"),
        [{tr("Cook"): one.first, **_columns(one.told)} for one in with_oneself(calls)],
    )


def _pair(first: str, second: str, told: Agreement) -> dict[str, object]:
    return {tr("Cooks"): f"{first}, {second}", **_columns(told)}


def _columns(told: Agreement) -> dict[str, object]:
    kappa = "–" if told.kappa is None else f"{told.kappa:.2f} [{told.low:.2f}; {told.high:.2f}]"
    return {tr("Plates"): told.plates, tr("Called alike"): told.same, tr("Kappa"): kappa}


def _table(title: str, rows: list[dict[str, object]]) -> None:
    if rows:
        st.markdown(f"**{literal(title)}**")
        st.dataframe(pd.DataFrame(rows), hide_index=True, alt=title)


def show_wall_guide() -> None:
    """The house scale to print and hang up."""
    st.subheader(tr("The scale for the wall"), anchor=False)
    standard = choosing.standard(key="guide_standard", usual=house_values().standard)
    if standard is not None:
        st.download_button(
            tr("Wall guide as PDF"),
            wall_guide_pdf(standard, printed=today()),
            file_name="wall-guide.pdf",
            mime="application/pdf",
            key="wall_guide",
            on_click="ignore",
        )
        st.caption(tr("For viewing only: no printer hits these colours. What counts is the photo beside the card."))
