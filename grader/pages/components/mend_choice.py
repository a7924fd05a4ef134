"""What a person has chosen on a plate so far, as a value; what a tap adds to it, and the mend that it makes."""

from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum

from grader.drawing import MendPicture
from grader.drawing.mend_picture import fry_between
from grader.drawing.plate_picture import plate_fries
from grader.errors import GraderError
from grader.fries.mends import Drop, Join, Mend, PointPx, Restore, Split, free_numbers, listed
from grader.fries.model import Fry
from grader.grading import GradedPhoto
from grader.language import retell, said, tr

Axis = tuple[float | None, float | None]


class Kind(StrEnum):
    """What can be done to a plate."""

    JOIN = said("Join")
    DROP = said("Drop")
    RESTORE = said("Restore")
    SPLIT = said("Split")


HELP = {
    Kind.JOIN: said("Tap the parts of one fry, also where another lies over its middle."),
    Kind.DROP: said("Tap what is no fry, or shall not count."),
    Kind.RESTORE: said("Tap what was dropped (dotted, ×) and shall count again."),
    Kind.SPLIT: said("Tap two points: the straight line through both parts the fry that lies between them."),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """What is chosen on one plate.

    Attributes
    ----------
    numbers
        Fries.
    points
        The first and the second point, px of the photo (x, y); None where a number is still wanted.
    taps
        How often the picture was tapped, or the choice cleared: fields for typing are made anew then, so that what a
        browser still holds of them counts no more.
    """

    numbers: tuple[int, ...] = ()
    points: tuple[Axis, Axis] = ((None, None), (None, None))
    taps: int = 0

    @property
    def whole_points(self) -> tuple[PointPx, ...]:
        """The points of which both numbers are there."""
        return tuple((x, y) for x, y in self.points if x is not None and y is not None)

    @property
    def line_px(self) -> tuple[PointPx, PointPx] | None:
        """Both points; None where one is wanted."""
        points = self.whole_points
        return (points[0], points[1]) if len(points) == 2 else None

    def cleared(self) -> "Choice":
        """Nothing is chosen."""
        return Choice(taps=self.taps + 1)


def candidates(graded: GradedPhoto, kind: Kind) -> tuple[Fry, ...]:
    """The fries that such a mend may be about."""
    standing, dropped = plate_fries(graded)
    return dropped if kind is Kind.RESTORE else standing


def tapped(choice: Choice, kind: Kind, fries: tuple[Fry, ...], shown: MendPicture, place: PointPx) -> Choice:
    """The choice after a tap: a fry is chosen or left again; a point is set, a third one begins anew.

    Parameters
    ----------
    fries
        The `candidates`.
    place
        Of the tap: shares (0 to 1) of the picture's width and height.
    """
    point = shown.in_photo(*place)
    if kind is Kind.SPLIT:
        rounded = float(round(point[0])), float(round(point[1]))
        earlier = choice.whole_points
        points = (earlier[0], rounded) if len(earlier) == 1 else (rounded, (None, None))
        return replace(choice, points=points, taps=choice.taps + 1)
    number = shown.fry_at(fries, point)
    if number is None:
        return choice
    others = tuple(one for one in choice.numbers if one != number)
    numbers = others if number in choice.numbers else (*choice.numbers, number)
    return replace(choice, numbers=numbers, taps=choice.taps + 1)


def about(choice: Choice, kind: Kind, graded: GradedPhoto) -> tuple[int, ...]:
    """The fries that the mend would be about: those chosen, or the one that lies between both points."""
    fries = candidates(graded, kind)
    if kind is not Kind.SPLIT:
        here = {fry.number for fry in fries}
        return tuple(sorted(number for number in choice.numbers if number in here))
    between = None if choice.line_px is None else fry_between(fries, choice.line_px)
    return () if between is None else (between,)


def wanted(choice: Choice, kind: Kind, graded: GradedPhoto, by: str) -> str | None:
    """What must still be chosen before there is a mend; None where all is there."""
    numbers = about(choice, kind, graded)
    if kind is Kind.SPLIT:
        if choice.line_px is None:
            return tr("Tap the second point.") if choice.whole_points else tr("Tap two points.")
        if not numbers:
            return tr("The line runs over no fry: tap two points with the fry between them.")
    elif len(numbers) < (2 if kind is Kind.JOIN else 1):
        return tr("Choose two or more fries.") if kind is Kind.JOIN else tr("Choose a fry.")
    return None if by.strip() else tr("Your initials are wanted: a mend says who made it.")


def words_to_be(choice: Choice, kind: Kind, graded: GradedPhoto) -> str:
    """What the button does, in words: "Join 1 and 2"."""
    numbers = about(choice, kind, graded)
    return f"{tr(kind.value)} {retell(listed(numbers))}" if numbers else tr(kind.value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """Who mends, and when."""

    by: str
    at: datetime


def mend_of(choice: Choice, kind: Kind, graded: GradedPhoto, mends: tuple[Mend, ...], hand: Hand) -> Mend:
    """The mend that was chosen, after those that are there.

    Raises
    ------
    GraderError
        Something is still `wanted`.
    """
    lacking = wanted(choice, kind, graded, hand.by)
    if lacking is not None:
        raise GraderError(tr("Nothing was mended yet."), hint=lacking)
    numbers, by, at = about(choice, kind, graded), hand.by.strip(), hand.at
    known = [fry.number for fries in plate_fries(graded) for fry in fries]
    first, second = free_numbers(known, mends, count=2)
    if kind is Kind.SPLIT and choice.line_px is not None:
        return Split(number=numbers[0], line_px=choice.line_px, becomes=(first, second), by=by, at=at)
    if kind is Kind.JOIN:
        return Join(numbers=numbers, becomes=first, by=by, at=at)
    return (Drop if kind is Kind.DROP else Restore)(numbers=numbers, by=by, at=at)
