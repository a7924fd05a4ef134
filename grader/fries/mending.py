"""Mends applied to the labels of a plate; whatever contradicts what is there is refused, all of it at once."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from grader.arrays import FloatArray, IntArray, LabelArray, MaskArray, frozen
from grader.errors import DocumentFaulty, Fault
from grader.fries.mends import Drop, Join, Mend, PointPx, Restore, Split, listed, made, mend_words, named
from grader.fries.model import Plate

_LONGEST_NAME = 120  # a mail address, where people log in by one
_HIGHEST_NUMBER = int(np.iinfo(np.uint16).max)
_LEAST_LINE_PX = 2.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MendedLabels:
    """What is left of the labels after mends.

    Attributes
    ----------
    lying
        (h, w) number of the fry at each pixel, those that were dropped included: they still lie there.
    standing, dropped
        Numbers of the fries that count, and of those that don't, ascending.
    fresh
        Those among both that are not the plate's own but came of a mend.
    """

    lying: LabelArray
    standing: tuple[int, ...]
    dropped: tuple[int, ...]
    fresh: tuple[int, ...]

    @property
    def labels(self) -> LabelArray:
        """(h, w) as `lying`, 0 where a fry was dropped."""
        counts = np.zeros(_HIGHEST_NUMBER + 1, np.uint16)
        counts[list(self.standing)] = self.standing
        return frozen(counts[self.lying])


def apply_mends(plate: Plate, mends: Sequence[Mend], *, least_px: float) -> MendedLabels:
    """The labels of a plate with mends made one after the other.

    Parameters
    ----------
    plate
        As it was found.
    mends
        In the order in which they were made.
    least_px
        Neither part of a fry that is split may have fewer pixels.

    Raises
    ------
    DocumentFaulty
        Mends that contradict the plate or each other: a fry that isn't there, or no longer; a number that is taken;
        a line that doesn't part its fry; nobody who signs.
    """
    work = _Work(
        lying=plate.lying.copy(),
        standing={fry.number for fry in plate.fries},
        dropped={one.fry.number for one in plate.no_fries},
        least_px=least_px,
    )
    own = frozenset(work.standing | work.dropped)
    faults = []
    for place, mend in enumerate(mends, start=1):
        found = list(_faults(work, mend))
        faults += [Fault(line=None, field=f"mend {place} ({mend_words(mend)})", message=words) for words in found]
        if found or work.unknowable & set(named(mend)):
            work.unknowable |= set(made(mend))
        else:
            work.apply(mend)
    if faults:
        hint = "Take back what contradicts, or choose other numbers or points."
        raise DocumentFaulty("The list of mends", tuple(faults), hint=hint)
    return MendedLabels(
        lying=frozen(work.lying),
        standing=tuple(sorted(work.standing)),
        dropped=tuple(sorted(work.dropped)),
        fresh=tuple(sorted((work.standing | work.dropped) - own)),
    )


@dataclass(slots=True, kw_only=True)
class _Work:
    """The plate while mends are made on it; `gone`: what became of a fry; `unknowable`: what faulty mends made."""

    lying: LabelArray
    standing: set[int]
    least_px: float
    dropped: set[int] = field(default_factory=set)
    gone: dict[int, str] = field(default_factory=dict)
    unknowable: set[int] = field(default_factory=set)

    def known(self, number: int) -> bool:
        """Some fry has, or had, this number."""
        return number in self.standing | self.dropped | self.gone.keys() | self.unknowable

    def apply(self, mend: Mend) -> None:
        """Make a mend that has no faults."""
        about = set(named(mend))
        self.standing -= about
        match mend:
            case Join():
                self.lying[np.isin(self.lying, mend.numbers)] = mend.becomes
            case Split():
                on_left, on_right = _parts(self.lying == mend.number, mend.line_px)
                self.lying[on_left], self.lying[on_right] = mend.becomes
            case Drop():
                self.dropped |= about
                return
            case Restore():
                self.dropped -= about
                self.standing |= about
                return
        self.standing |= set(made(mend))
        self.gone.update(dict.fromkeys(about, mend_words(mend)))


def _faults(work: _Work, mend: Mend) -> Iterator[str]:
    if not mend.by.strip() or len(mend.by) > _LONGEST_NAME:
        yield f"says nobody who did it: initials are wanted, at most {_LONGEST_NAME} signs"
    if not named(mend):
        yield "names no fry"
    if len(set(named(mend))) < len(named(mend)):
        yield "names a fry twice"
    for number in sorted(set(named(mend)) - work.unknowable):
        yield from _faults_of_number(work, mend, number)
    yield from _faults_of_new_numbers(work, mend)
    if isinstance(mend, Join) and len(mend.numbers) == 1:
        yield "takes at least two fries"
    if isinstance(mend, Split):
        yield from _faults_of_line(work, mend)


def _faults_of_number(work: _Work, mend: Mend, number: int) -> Iterator[str]:
    if number in work.gone:
        yield f"fry {number} is no longer there ({work.gone[number]})"
    elif not work.known(number):
        yield f"there is no fry {number}"
    elif isinstance(mend, Restore) and number in work.standing:
        yield f"fry {number} was not dropped"
    elif not isinstance(mend, Restore) and number in work.dropped:
        yield f"fry {number} was dropped before: restore it first"


def _faults_of_new_numbers(work: _Work, mend: Mend) -> Iterator[str]:
    new = made(mend)
    if len(set(new)) < len(new):
        yield f"gives the number {new[0]} to both parts"
    taken = [number for number in sorted(set(new)) if work.known(number)]
    if taken:
        yield f"gives a number that is taken: {listed(taken)}"
    if any(not 0 < number <= _HIGHEST_NUMBER for number in new):
        yield f"gives a number that is not between 1 and {_HIGHEST_NUMBER}"


def _faults_of_line(work: _Work, mend: Split) -> Iterator[str]:
    line = np.array(mend.line_px, float)
    size = np.array(work.lying.shape[::-1])
    if not np.isfinite(line).all() or (line < -0.5).any() or (line > size - 0.5).any():
        yield "a point lies outside the photo"
        return
    if np.hypot(*(line[1] - line[0])) < _LEAST_LINE_PX:
        yield "both points are the same: no line goes through them"
        return
    if mend.number not in work.standing:
        return
    fry = work.lying == mend.number
    columns, rows = _between(line).T
    if not fry[rows, columns].any():
        yield f"the line between both points doesn't touch fry {mend.number}"
    elif min(part[0].size for part in _parts(fry, mend.line_px)) < work.least_px:
        yield f"the line doesn't part fry {mend.number}: less than a crumb lies on one side"


def _between(line: FloatArray) -> IntArray:
    """(k, 2) the pixels from one point to the other, x, y."""
    steps = int(np.ceil(np.abs(line[1] - line[0]).max())) + 1
    return np.round(np.linspace(line[0], line[1], steps)).astype(np.int64)


def _parts(fry: MaskArray, line_px: tuple[PointPx, PointPx]) -> tuple[tuple[IntArray, IntArray], ...]:
    """Rows and columns of the pixels on the left of the line, then of the others."""
    rows, columns = np.nonzero(fry)
    (x0, y0), (x1, y1) = line_px
    on_left = (x1 - x0) * (rows - y0) - (y1 - y0) * (columns - x0) < 0
    return (rows[on_left], columns[on_left]), (rows[~on_left], columns[~on_left])
