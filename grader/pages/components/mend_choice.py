"""What a person has chosen on a plate so far: kind of mend, fries, points, initials; and the mend that it makes.

Held in Streamlit's session under the keys of the widgets, so that a tap and a typed number fill the same field.
"""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

import streamlit as st

from grader.drawing import MendPicture
from grader.drawing.mend_picture import fry_between
from grader.drawing.plate_picture import plate_fries
from grader.errors import GraderError
from grader.fries.mends import Drop, Join, Mend, PointPx, Restore, Split, free_numbers, listed
from grader.fries.model import Fry
from grader.grading import GradedPhoto


class Kind(StrEnum):
    """What can be done to a plate."""

    JOIN = "Join"
    DROP = "Drop"
    RESTORE = "Restore"
    SPLIT = "Split"


HELP = {
    Kind.JOIN: "Tap the parts of one fry, also where another lies over its middle.",
    Kind.DROP: "Tap what is no fry, or shall not count.",
    Kind.RESTORE: "Tap what was dropped (dotted, ×) and shall count again.",
    Kind.SPLIT: "Tap two points: the straight line through both parts the fry that lies between them.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Fields:
    """The keys of one plate's widgets."""

    photo: str

    @property
    def kind(self) -> str:
        """Which kind of mend."""
        return f"mend_kind_{self.photo}"

    @property
    def numbers(self) -> str:
        """The chosen fries."""
        return f"mend_numbers_{self.photo}"

    def place(self, point: int, axis: str) -> str:
        """A point's distance from the photo's left or top edge."""
        return f"mend_point_{point}_{axis}_{self.photo}"

    @property
    def places(self) -> tuple[str, ...]:
        """All four of them: first point across and down, then the second."""
        return tuple(self.place(point, axis) for point in (1, 2) for axis in ("across", "down"))


BY = "mend_by"
"""Initials: one field for all plates of a person."""


def chosen_kind(fields: Fields) -> Kind:
    """The kind that is chosen; joining at first."""
    return Kind(st.session_state.get(fields.kind) or Kind.JOIN)


def candidates(graded: GradedPhoto, kind: Kind) -> tuple[Fry, ...]:
    """The fries that such a mend may be about."""
    standing, dropped = plate_fries(graded)
    return dropped if kind is Kind.RESTORE else standing


def chosen_points(fields: Fields) -> tuple[PointPx, ...]:
    """The points that are whole: none, one or two."""
    values = [st.session_state.get(key) for key in fields.places]
    pairs = zip(values[::2], values[1::2], strict=True)
    return tuple((float(x), float(y)) for x, y in pairs if x is not None and y is not None)


def take_tap(fields: Fields, graded: GradedPhoto, shown: MendPicture, across: float, down: float) -> None:
    """Put what was tapped where it belongs: a fry is chosen or left again; a point is set, a third begins anew."""
    kind, point = chosen_kind(fields), shown.in_photo(across, down)
    if kind is Kind.SPLIT:
        points = chosen_points(fields)
        if len(points) != 1:
            clear_points(fields)
        for axis, value in zip(("across", "down"), point, strict=True):
            st.session_state[fields.place(2 if len(points) == 1 else 1, axis)] = round(value)
        return
    number = shown.fry_at(candidates(graded, kind), point)
    if number is not None:
        chosen = list(st.session_state.get(fields.numbers, []))
        st.session_state[fields.numbers] = (
            [one for one in chosen if one != number] if number in chosen else [*chosen, number]
        )


def clear_points(fields: Fields) -> None:
    """Forget the points."""
    for key in fields.places:
        st.session_state[key] = None


def clear(fields: Fields) -> None:
    """Forget the fries and points that were chosen."""
    st.session_state[fields.numbers] = []
    clear_points(fields)


def wanted(fields: Fields, graded: GradedPhoto) -> str | None:
    """What must still be chosen before there is a mend; None where all is there."""
    kind = chosen_kind(fields)
    if kind is Kind.SPLIT:
        points = chosen_points(fields)
        if len(points) < 2:
            return "Tap two points." if not points else "Tap the second point."
        if fry_between(candidates(graded, kind), (points[0], points[1])) is None:
            return "The line runs over no fry: tap two points with the fry between them."
    elif len(st.session_state.get(fields.numbers, [])) < (2 if kind is Kind.JOIN else 1):
        return "Choose two or more fries." if kind is Kind.JOIN else "Choose a fry."
    if not str(st.session_state.get(BY, "")).strip():
        return "Your initials are wanted: a mend says who made it."
    return None


def mend_words_to_be(fields: Fields, graded: GradedPhoto) -> str:
    """What the button does, in words: "Join 1 and 2"."""
    kind = chosen_kind(fields)
    return f"{kind.value} {listed(_about(fields, graded))}" if _about(fields, graded) else kind.value


def mend_of(fields: Fields, graded: GradedPhoto, mends: tuple[Mend, ...], *, at: datetime) -> Mend:
    """The mend that was chosen.

    Raises
    ------
    GraderError
        Something is still `wanted`.
    """
    lacking = wanted(fields, graded)
    if lacking is not None:
        raise GraderError("Nothing was mended yet.", hint=lacking)
    kind, by = chosen_kind(fields), str(st.session_state[BY]).strip()
    numbers = _about(fields, graded)
    known = [fry.number for fries in plate_fries(graded) for fry in fries]
    first, second = free_numbers(known, mends, count=2)
    match kind:
        case Kind.JOIN:
            return Join(numbers=numbers, becomes=first, by=by, at=at)
        case Kind.DROP:
            return Drop(numbers=numbers, by=by, at=at)
        case Kind.RESTORE:
            return Restore(numbers=numbers, by=by, at=at)
        case Kind.SPLIT:
            one, other = chosen_points(fields)
            return Split(number=numbers[0], line_px=(one, other), becomes=(first, second), by=by, at=at)


def _about(fields: Fields, graded: GradedPhoto) -> tuple[int, ...]:
    """The fries that are chosen, or that lies between both points."""
    kind = chosen_kind(fields)
    if kind is not Kind.SPLIT:
        return tuple(sorted(st.session_state.get(fields.numbers, [])))
    points = chosen_points(fields)
    between = fry_between(candidates(graded, kind), (points[0], points[1])) if len(points) == 2 else None
    return () if between is None else (between,)
