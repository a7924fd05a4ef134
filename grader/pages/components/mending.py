"""A plate mended by hand on the page: fries chosen by a tap or by number, mends listed and taken back."""

from datetime import datetime
from functools import partial

import streamlit as st

from grader.drawing import draw_for_mending, picture_jpeg
from grader.drawing.plate_picture import plate_fries
from grader.errors import GraderError
from grader.fries.mends import Mend, mend_words, resting_on, taken_back
from grader.fries.model import Fry
from grader.grading import GradedPhoto
from grader.pages.components.grading import SeenPhoto, grader, keep_mends, kept_mends
from grader.pages.components.mend_choice import (
    BY,
    HELP,
    Fields,
    Kind,
    candidates,
    chosen_kind,
    chosen_points,
    clear,
    mend_of,
    mend_words_to_be,
    take_tap,
    wanted,
)
from grader.pages.components.plain_words import literal, plain_words, tell
from grader.pages.components.tap_picture import TapPicture, show_tap_picture
from grader.standard.model import Standard

_CHANGED = "mends_changed"
_FAULT = "mend_fault"
_KEPT_NOWHERE = (
    "Fries that a mend makes get new numbers and are measured anew; no other changes. The verdict is shown with and "
    "without. This page keeps nothing: take the files below along, they hold both."
)


def show_mending(one: SeenPhoto, data: bytes, standard: Standard) -> None:
    """A switch, and behind it what it takes to mend one plate; `data` are the photo's bytes."""
    if st.toggle("Mend this plate by hand", key=f"mend_open_{one.key}"):
        _panel(one, data, standard)
    _list_of_mends(one)


@st.fragment
def _panel(one: SeenPhoto, data: bytes, standard: Standard) -> None:
    """Runs by itself while fries are chosen; the whole page runs again when a mend is made."""
    if st.session_state.pop(_CHANGED, False):
        st.rerun()
    with plain_words():
        fields = Fields(photo=one.key)
        whole = grader().whole(one, data, standard)
        st.segmented_control("What to do", list(Kind), key=fields.kind, default=Kind.JOIN)
        kind = chosen_kind(fields)
        st.caption(HELP[kind])
        _tap_picture(fields, whole, standard)
        if kind is Kind.SPLIT:
            _typed_points(fields, whole)
        else:
            fries = {fry.number: fry for fry in candidates(whole, kind)}
            _only_these(fields, fries)
            st.multiselect("Fries", list(fries), format_func=lambda n: _fry_words(fries[n]), key=fields.numbers)
        st.text_input("Your initials", key=BY, max_chars=40)
        lacking = wanted(fields, whole)
        st.button(
            mend_words_to_be(fields, whole),
            key=f"mend_do_{one.key}",
            type="primary",
            on_click=partial(_add, fields, one, data, standard),
        )
        st.caption(lacking or _KEPT_NOWHERE)
        fault = st.session_state.pop(_FAULT, None)
        if fault is not None:
            tell(fault)


def _tap_picture(fields: Fields, whole: GradedPhoto, standard: Standard) -> None:
    shown = draw_for_mending(whole, standard)
    if shown is None:
        return
    chosen = st.session_state.get(fields.numbers, []) if chosen_kind(fields) is not Kind.SPLIT else []
    points = chosen_points(fields) if chosen_kind(fields) is Kind.SPLIT else ()
    show_tap_picture(
        TapPicture(
            jpeg=picture_jpeg(shown.picture),
            size_px=(shown.view.width_px, shown.view.height_px),
            alt=f"{whole.name}: the fries with their numbers, to tap on. The fields below do the same.",
            chosen=tuple(shown.outline(fry) for fries in plate_fries(whole) for fry in fries if fry.number in chosen),
            points=tuple(shown.place(point) for point in points),
        ),
        key=f"mend_tap_{fields.photo}",
        on_tap=partial(take_tap, fields, whole, shown),
    )


def _typed_points(fields: Fields, whole: GradedPhoto) -> None:
    with st.expander("Points by number (pixels of the photo)"):
        for point, name in ((1, "First point"), (2, "Second point")):
            columns = st.columns(2)
            for axis, column in zip(("across", "down"), columns, strict=True):
                size = None if whole.photo is None else whole.photo.size_px[axis == "down"] - 1
                column.number_input(
                    f"{name}, {axis}", min_value=0, max_value=size, value=None, step=1, key=fields.place(point, axis)
                )


def _only_these(fields: Fields, fries: dict[int, Fry]) -> None:
    """Fries chosen for another kind of mend, or that a mend took away, are chosen no more."""
    st.session_state[fields.numbers] = [n for n in st.session_state.get(fields.numbers, []) if n in fries]


def _fry_words(fry: Fry) -> str:
    return str(fry.number) if fry.length_mm is None else f"{fry.number} · {fry.length_mm.value:.0f} mm"


def _add(fields: Fields, one: SeenPhoto, data: bytes, standard: Standard) -> None:
    """Make the mend that was chosen; what contradicts is told and changes nothing."""
    mends = kept_mends(one.key)
    try:
        whole = grader().whole(one, data, standard)
        longer = (*mends, mend_of(fields, whole, mends, at=datetime.now().astimezone()))
        grader().mend(one, data, standard, longer)
    except GraderError as error:
        st.session_state[_FAULT] = error
        return
    _change(one.key, longer)
    clear(fields)


def _change(key: str, mends: tuple[Mend, ...]) -> None:
    keep_mends(key, mends)
    st.session_state[_CHANGED] = True


def _list_of_mends(one: SeenPhoto) -> None:
    mends = kept_mends(one.key)
    for place, mend in enumerate(mends):
        with st.container(horizontal=True, vertical_alignment="center"):
            st.markdown(f"{literal(mend_words(mend))}  \n{literal(f'{mend.by}, {mend.at:%d %b %Y %H:%M}')}")
            resting = [mend_words(mends[later]) for later in resting_on(mends, place)]
            st.button(
                "Take back",
                key=f"mend_back_{place}_{one.key}",
                help=f"Also takes back: {literal('; '.join(resting))}" if resting else None,
                on_click=partial(keep_mends, one.key, taken_back(mends, place)),
            )
