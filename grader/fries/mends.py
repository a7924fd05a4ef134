"""What a person changed about the fries that were found on a plate: who, when, and what, as data.

A mend names fries by their numbers and never renumbers any: what comes of it has new numbers, which the mend itself
says, so that mends that have nothing to do with each other may be made, listed or taken back in any order.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

PointPx = tuple[float, float]
"""x, y in the photo."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Signed:
    """Who did it (initials, say) and when."""

    by: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Join(Signed):
    """Fries that are one: cut apart by mistake, or one fry seen on both sides of another that lies over it."""

    numbers: tuple[int, ...]
    becomes: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Drop(Signed):
    """What is no fry, or shall not count."""

    numbers: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Restore(Signed):
    """What was dropped before and is a fry after all."""

    numbers: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Split(Signed):
    """Two fries that were taken for one, parted by the straight line through two points.

    The first number of `becomes` is that of the part on the left of who goes from the first point to the second.
    """

    number: int
    line_px: tuple[PointPx, PointPx]
    becomes: tuple[int, int]


Mend = Join | Drop | Restore | Split


def named(mend: Mend) -> tuple[int, ...]:
    """The fries that a mend is about."""
    return (mend.number,) if isinstance(mend, Split) else mend.numbers


def made(mend: Mend) -> tuple[int, ...]:
    """The numbers of the fries that come of a mend."""
    if isinstance(mend, Join):
        return (mend.becomes,)
    return mend.becomes if isinstance(mend, Split) else ()


def signers(mends: Iterable[Mend]) -> tuple[str, ...]:
    """Who made mends, each once, in order."""
    return tuple(dict.fromkeys(mend.by for mend in mends))


def free_numbers(numbers: Iterable[int], mends: Sequence[Mend], *, count: int) -> tuple[int, ...]:
    """The next numbers that neither a fry of the plate nor a mend has."""
    first = 1 + max([0, *numbers, *(number for mend in mends for number in made(mend))])
    return tuple(range(first, first + count))


def resting_on(mends: Sequence[Mend], place: int) -> tuple[int, ...]:
    """The places of the mends that make no sense without the one at `place`, in order.

    They are about a fry that would not come to be, or, without a restoring, would still be dropped; or they restore
    what would not have been dropped.
    """
    resting: list[int] = []
    absent, dropped = set(made(mends[place])), set[int]()
    for at, mend in enumerate(mends):
        if at == place:
            continue
        about = set(named(mend))
        if not (about <= dropped if isinstance(mend, Restore) else about.isdisjoint(absent | dropped)):
            resting.append(at)
            absent |= set(made(mend))
        elif isinstance(mend, Drop):
            dropped |= about
        elif isinstance(mend, Restore):
            dropped -= about
    return tuple(resting)


def taken_back(mends: Sequence[Mend], place: int) -> tuple[Mend, ...]:
    """The mends without the one at `place` and those that rest on it."""
    gone = {place, *resting_on(mends, place)}
    return tuple(mend for at, mend in enumerate(mends) if at not in gone)


def mend_words(mend: Mend) -> str:
    """What was done, in a few words: "1 and 2 joined: now 31"."""
    about = listed(named(mend))
    match mend:
        case Join():
            return f"{about} joined: now {mend.becomes}"
        case Split():
            return f"{about} split: now {listed(mend.becomes)}"
        case Drop():
            return f"{about} dropped"
        case Restore():
            return f"{about} restored"


def listed(numbers: Iterable[int]) -> str:
    """Numbers as a sentence has them: "1, 2 and 3"."""
    *first, last = [str(number) for number in numbers] or ["none"]
    return f"{', '.join(first)} and {last}" if first else last
