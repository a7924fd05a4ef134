"""Run rules by name: what in a row of batches is no chance, each switchable, what it means in the kitchen, its price.

Rules look at each batch's mean as so many standard deviations away from its level; a row ends where a new segment
begins, because a row across a change of lot tells of the lot. The rules of rows are those of the Statistical Quality
Control Handbook (Western Electric, 1956), as commonly printed; each rule more is one more way to be wrong, and all
four together cry wolf once in about 92 batches (C. W. Champ and W. H. Woodall, Technometrics 29 (1987) 393-399, from
memory), four times as often as the first alone at three sigma. So rows are off unless the house switches them on.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

import numpy as np

from grader.arrays import FloatArray, MaskArray


class Side(StrEnum):
    """Which way a batch is off."""

    HIGH = "high"
    LOW = "low"


class RuleKey(StrEnum):
    """The rules' names on disk and on the command line."""

    BEYOND = "beyond-limits"
    SLOW = "slow-drift"
    TWO_OF_THREE = "two-of-three"
    FOUR_OF_FIVE = "four-of-five"
    EIGHT = "eight-on-one-side"
    SIX = "six-rising-or-falling"
    PLATES_APART = "plates-apart"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A rule in plain words.

    Attributes
    ----------
    title
        What is seen.
    means
        What that means, with no side to it.
    alone_once_in
        False alarms where nothing changed: once in about so many batches, if it were the only rule and what is usual
        were known.
    """

    key: RuleKey
    title: str
    means: str
    alone_once_in: int


RULES: dict[RuleKey, Rule] = {
    rule.key: rule
    for rule in (
        Rule(
            key=RuleKey.BEYOND,
            title="a batch beyond the limits",
            means="Something changed at once: this batch is not like those of the baseline.",
            alone_once_in=1000,
        ),
        Rule(
            key=RuleKey.SLOW,
            title="the weighted mean of the last batches beyond its limits",
            means="Something moves slowly, or a little changed and stayed: no single batch need look odd.",
            alone_once_in=230,
        ),
        Rule(
            key=RuleKey.TWO_OF_THREE,
            title="two of three batches in the outer third on one side",
            means="Something of middling size changed.",
            alone_once_in=500,
        ),
        Rule(
            key=RuleKey.FOUR_OF_FIVE,
            title="four of five batches off by more than a third of the way to the limit, on one side",
            means="Something small changed and stayed.",
            alone_once_in=290,
        ),
        Rule(
            key=RuleKey.EIGHT,
            title="eight batches in a row on one side",
            means="The level moved, by however little.",
            alone_once_in=260,
        ),
        Rule(
            key=RuleKey.SIX,
            title="six batches in a row, each higher than the one before, or each lower",
            means="Something wears or builds up.",
            alone_once_in=410,
        ),
        Rule(
            key=RuleKey.PLATES_APART,
            title="plates of one batch farther apart than usual",
            means="The batch is uneven in itself: where the plates were taken from it, they were not alike.",
            alone_once_in=3000,
        ),
    )
}
BEYOND_SIGMAS = 3.29
"""Limits of single batches: by chance one in a thousand lies beyond them. Three sigma, one in 370, would leave too
little for the slow drift, which finds better what isn't large, if all together are to be wrong once in 200."""
PLATES_APART_CHANCE = 1 / 3000
"""Of a batch's plates being farther apart than their limit by chance."""
USUAL = frozenset({RuleKey.BEYOND, RuleKey.SLOW, RuleKey.PLATES_APART})
"""What is on unless the house says otherwise."""

_ROWS: dict[RuleKey, tuple[int, int, float]] = {
    RuleKey.TWO_OF_THREE: (2, 3, 2.0),
    RuleKey.FOUR_OF_FIVE: (4, 5, 1.0),
    RuleKey.EIGHT: (8, 8, 0.0),
}
"""So many of so many farther off than this, on one side; the last one is among them."""
_SIX = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """A rule that a batch completes: `at` is its index, `first` that of the first batch of the row."""

    key: RuleKey
    at: int
    first: int
    side: Side


def rows_seen(away: FloatArray, starts: Sequence[int], on: frozenset[RuleKey]) -> Iterator[Seen]:
    """What rows of `away` (n,) complete a rule that is on; each index in `starts` begins a new row.

    `away` is how far each batch is from its level, in standard deviations; NaN, where there is none, counts as not far.
    """
    edges = [0, *sorted(start for start in set(starts) if 0 < start < len(away)), len(away)]
    for start, stop in pairwise(edges):
        part = away[start:stop]
        for key, (least, of, beyond) in _ROWS.items():
            if key in on:
                for side, off in ((Side.HIGH, part > beyond), (Side.LOW, part < -beyond)):
                    yield from _enough_of(off, (least, of), Seen(key=key, at=start, first=start, side=side))
        if RuleKey.SIX in on:
            yield from _in_a_row(part, start)


def _enough_of(off: MaskArray, rule: tuple[int, int], named: Seen) -> Iterator[Seen]:
    least, of = rule
    for at in np.flatnonzero(off):
        window = off[max(at - of + 1, 0) : at + 1]
        if window.sum() >= least:
            first = int(at) - len(window) + 1 + int(np.argmax(window))
            yield Seen(key=named.key, at=named.at + int(at), first=named.first + first, side=named.side)


def _in_a_row(part: FloatArray, start: int) -> Iterator[Seen]:
    steps = np.sign(np.diff(part))
    for at in range(_SIX - 1, len(part)):
        last = steps[at - _SIX + 1 : at]
        if abs(last.sum()) == _SIX - 1:  # NaN never is
            side = Side.HIGH if last[0] > 0 else Side.LOW
            yield Seen(key=RuleKey.SIX, at=start + at, first=start + at - _SIX + 1, side=side)
