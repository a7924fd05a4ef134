"""A plate mended by hand on the page: fries chosen by a tap or by number, mends listed and taken back."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial

import streamlit as st

from grader.drawing import picture_jpeg
from grader.drawing.plate_picture import plate_fries
from grader.errors import GraderError
from grader.fries.mends import Mend, PointPx, mend_words, resting_on, taken_back
from grader.fries.model import Fry
from grader.grading import GradedPhoto
from grader.language import Lengths, length_words, retell, said, tr
from grader.pages.components import acting
from grader.pages.components.grading import SeenPhoto, grader, keep_mends, kept_mends
from grader.pages.components.manners import heard, session_lengths
from grader.pages.components.mend_choice import (
    HELP,
    Choice,
    Hand,
    Kind,
    candidates,
    mend_of,
    tapped,
    wanted,
    words_to_be,
)
from grader.pages.components.plain_words import literal, plain_words, tell
from grader.pages.components.signing import ask_name, own_name
from grader.pages.components.tap_picture import TapPicture, show_tap_picture
from grader.roles.model import Duty
from grader.standard.model import Standard

_BY = "mend_by"
"""Initials as they were last given: offered on the other plates too."""
_CHANGED, _FAULT = "mends_changed", "mend_fault"
_KEPT_NOWHERE = said(
    "Fries that a mend makes get new numbers and are measured anew; no other changes. The verdict is shown with and "
    "without. None of it is kept unless you keep the plates in the records; the files below hold both."
)


def show_mending(one: SeenPhoto, data: bytes, standard: Standard) -> None:
    """A switch, and behind it what it takes to mend one plate; `data` are the photo's bytes."""
    if acting.may(Duty.MENDING) and st.toggle(tr("Mend this plate by hand"), key=f"mend_open_{one.plate_key}"):
        _panel(one, data, standard)
    _list_of_mends(one)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Plate:
    """One plate while it is mended: what is seen, the same with its pixels, and by which standard."""

    seen: SeenPhoto
    data: bytes
    standard: Standard
    whole: GradedPhoto

    @property
    def kind(self) -> Kind:
        """The kind of mend that is chosen; joining at first."""
        return Kind(st.session_state.get(f"mend_kind_{self.seen.plate_key}") or Kind.JOIN)

    @property
    def choice(self) -> Choice:
        """What is chosen so far."""
        kept: Choice = st.session_state.get(f"mend_choice_{self.seen.plate_key}", Choice())
        return kept

    def choose(self, choice: Choice) -> None:
        """Keep what is chosen."""
        st.session_state[f"mend_choice_{self.seen.plate_key}"] = choice

    @property
    def by_key(self) -> str:
        """Of the field for initials."""
        return f"mend_by_{self.seen.plate_key}"

    def keep_by(self) -> None:
        """Offer these initials on the other plates too."""
        st.session_state[_BY] = st.session_state[self.by_key]

    def key(self, field: str) -> str:
        """Of a field for typing; another one after each tap."""
        return f"mend_{field}_{self.choice.taps}_{self.seen.plate_key}"


@st.fragment
def _panel(one: SeenPhoto, data: bytes, standard: Standard) -> None:
    """Runs by itself while fries are chosen; the whole page runs again when a mend is made."""
    if st.session_state.pop(_CHANGED, False):
        st.rerun()
    with plain_words():
        plate = _Plate(seen=one, data=data, standard=standard, whole=grader().whole(one, data, standard))
        st.segmented_control(
            tr("What to do"),
            list(Kind),
            format_func=lambda kind: tr(kind.value),
            key=f"mend_kind_{one.plate_key}",
            default=Kind.JOIN,
        )
        st.caption(tr(HELP[plate.kind]))
        _tap_picture(plate)
        if plate.kind is Kind.SPLIT:
            _typed_points(plate)
        else:
            _typed_numbers(plate)
        usual = st.session_state.get(_BY, "")
        by = ask_name(tr("Your initials"), key=plate.by_key, usual=usual, on_change=plate.keep_by)
        label = words_to_be(plate.choice, plate.kind, plate.whole)
        st.button(label, key=f"mend_do_{one.plate_key}", type="primary", on_click=partial(_add, plate))
        st.caption(wanted(plate.choice, plate.kind, plate.whole, by) or tr(_KEPT_NOWHERE))
        fault = st.session_state.pop(f"{_FAULT}_{one.plate_key}", None)
        if fault is not None:
            tell(fault)


def _tap_picture(plate: _Plate) -> None:
    shown = grader().to_mend(plate.seen, plate.data, plate.standard)
    if shown is None:
        return
    split = plate.kind is Kind.SPLIT
    chosen = () if split else plate.choice.numbers
    points = plate.choice.whole_points if split else ()

    def on_tap(place: PointPx) -> None:
        plate.choose(tapped(plate.choice, plate.kind, candidates(plate.whole, plate.kind), shown, place))

    show_tap_picture(
        TapPicture(
            jpeg=picture_jpeg(shown.picture),
            size_px=(shown.view.width_px, shown.view.height_px),
            alt=tr(
                "{name}: the fries with their numbers, to tap on. The fields below do the same.", name=plate.whole.name
            ),
            chosen=tuple(
                shown.outline(fry) for part in plate_fries(plate.whole) for fry in part if fry.number in chosen
            ),
            points=tuple(shown.place(point) for point in points),
        ),
        key=f"mend_tap_{plate.seen.plate_key}",
        on_tap=on_tap,
    )


def _typed_numbers(plate: _Plate) -> None:
    fries = {fry.number: fry for fry in candidates(plate.whole, plate.kind)}
    key = plate.key(f"numbers_{plate.kind}")
    st.multiselect(
        tr("Fries"),
        list(fries),
        default=[number for number in plate.choice.numbers if number in fries],
        format_func=lambda number: _fry_words(fries[number]),
        key=key,
        placeholder=tr("Choose"),
        on_change=lambda: plate.choose(replace(plate.choice, numbers=tuple(st.session_state[key]))),
    )


def _typed_points(plate: _Plate) -> None:
    photo = plate.whole.photo
    with st.expander(tr("Points by number (pixels of the photo)")):
        for row, name in enumerate((tr("First point"), tr("Second point"))):
            columns = st.columns(2)
            for axis, (column, way) in enumerate(zip(columns, (tr("across"), tr("down")), strict=True)):
                value, key = plate.choice.points[row][axis], plate.key(f"point_{row}_{axis}")
                column.number_input(
                    f"{name}, {way}",
                    min_value=0,
                    max_value=None if photo is None else photo.size_px[axis] - 1,
                    value=None if value is None else round(value),
                    step=1,
                    key=key,
                    on_change=_typed(plate, row, axis, key),
                )


def _typed(plate: _Plate, row: int, axis: int, key: str) -> Callable[[], None]:
    def take() -> None:
        points = [list(point) for point in plate.choice.points]
        points[row][axis] = st.session_state[key]
        (x0, y0), (x1, y1) = points
        plate.choose(replace(plate.choice, points=((x0, y0), (x1, y1))))

    return take


def _fry_words(fry: Fry) -> str:
    return str(fry.number) if fry.length_mm is None else f"{fry.number} · {_length(fry.length_mm.value)}"


def _length(mm: float) -> str:
    unit = session_lengths()
    return length_words(mm, unit, decimals=0 if unit is Lengths.MILLIMETRES else None)


def _add(plate: _Plate) -> None:
    """Make the mend that was chosen; what contradicts is told and changes nothing."""
    mends = kept_mends(plate.seen.plate_key)
    hand = Hand(by=own_name(str(st.session_state.get(plate.by_key, ""))), at=datetime.now().astimezone())
    try:
        longer = (*mends, mend_of(plate.choice, plate.kind, plate.whole, mends, hand))
        grader().mend(plate.seen, plate.data, plate.standard, longer, actor=acting.who_acts())
    except GraderError as error:
        st.session_state[f"{_FAULT}_{plate.seen.plate_key}"] = error
        return
    keep_mends(plate.seen.plate_key, longer)
    plate.choose(plate.choice.cleared())
    st.session_state[_CHANGED] = True


def _list_of_mends(one: SeenPhoto) -> None:
    mends = kept_mends(one.plate_key)
    for place, mend in enumerate(mends):
        with st.container(horizontal=True, vertical_alignment="center"):
            when = retell(f"{mend.at:%d %b %Y %H:%M}")
            st.markdown(f"{literal(heard(mend_words(mend)))}  \n{literal(f'{mend.by}, {when}')}")
            resting = [heard(mend_words(mends[later])) for later in resting_on(mends, place)]
            st.button(
                tr("Take back"),
                key=f"mend_back_{mend.at.isoformat()}_{one.plate_key}",  # its own: a second click meets no other
                help=literal(tr("Also takes back: {mends}", mends="; ".join(resting))) if resting else None,
                on_click=partial(_take_back, one.plate_key, mends, place),
            )


def _take_back(plate_key: str, mends: tuple[Mend, ...], place: int) -> None:
    keep_mends(plate_key, taken_back(mends, place))
