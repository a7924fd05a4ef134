"""A batch held against published designations: which it would meet, would not, or where the plates can't tell."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from grader.decision import words
from grader.decision.judging import worst_of
from grader.decision.limits import length_question
from grader.decision.model import LimitDecision, Outcome
from grader.decision.pieces import Pieces, gather
from grader.decision.shares import ShareQuestion, judge_share
from grader.designations.model import LengthRow, Published, SectionRow
from grader.fries.model import Fry
from grader.standard.model import Standard

SECTION_SHARE = 0.5
"""A plate is of a class of cross sections if at least this share of its fries is: the class of the fry in the middle.
The class is published as dimensions, without a share (house default, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """One designation, what came out, and each share that it rests on, judged as the house's own limits are."""

    row: LengthRow | SectionRow
    outcome: Outcome
    shares: tuple[LimitDecision, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """The designations of one published standard that plates were held against."""

    published: Published
    held: tuple[Held, ...]


def hold_beside(
    plates: Sequence[Sequence[Fry]], standard: Standard, published: Sequence[Published]
) -> tuple[Beside, ...]:
    """The plates of a batch against each published standard; those that no plate can be held against are left out.

    What counts as a fry, and which length is meant, is as the house standard has it.
    """
    pieces = gather(plates, standard)
    return tuple(
        Beside(published=one, held=tuple(_hold(row, pieces) for row in one.rows)) for one in published if one.rows
    )


def _hold(row: LengthRow | SectionRow, pieces: Pieces) -> Held:
    shares = tuple(judge_share(question, pieces) for question in _questions(row, pieces))
    return Held(row=row, outcome=worst_of(shares), shares=shares)


def _questions(row: LengthRow | SectionRow, pieces: Pieces) -> Iterator[ShareQuestion]:
    if isinstance(row, SectionRow):
        yield _of_section(row, pieces)
        return
    for asked in row.shares:
        yield length_question(pieces, asked.length_mm, sense=asked.sense, limit=asked.share)


def _of_section(row: SectionRow, pieces: Pieces) -> ShareQuestion:
    width = pieces.width
    section = f"{row.from_mm:g} mm or wider" if np.isinf(row.to_mm) else f"{row.from_mm:g} to {row.to_mm:g} mm wide"
    return ShareQuestion(
        key=f"section_{row.from_mm:g}",
        about="width",
        title=f"Fries {section}",
        things=f"fries {section}",
        sense="at least",
        limit=SECTION_SHARE,
        counted=width.known,
        scenarios=width.scenarios(lambda error: width.below(row.to_mm, error) - width.below(row.from_mm, error)),
        uncounted=words.LAY_FLAT,
    )
