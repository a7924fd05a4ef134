"""The share of long fries told both ways, by count and by estimated mass, at each length that a standard asks about."""

from collections.abc import Sequence
from dataclasses import dataclass

from grader.decision.form_limits import by_mass
from grader.decision.limits import length_question
from grader.decision.pieces import Pieces, gather
from grader.decision.shares import ShareQuestion, expected_share, known_share
from grader.decision.terms import USUAL
from grader.fries.model import Fry, Measured
from grader.standard.model import Standard


@dataclass(frozen=True, slots=True, kw_only=True)
class LongShare:
    """How many of a batch's fries are `length_mm` or longer; None where none has a length, or a mass.

    `length_in` is the same length in inches where the standard gives it so.
    """

    length_mm: float
    length_in: float | None
    by_count: Measured | None
    by_mass: Measured | None


def long_shares(plates: Sequence[Sequence[Fry]], standard: Standard) -> tuple[LongShare, ...]:
    """One for each length of the standard's shares, the shortest first, as a release would count them."""
    pieces = gather(plates, standard, with_forms=True)
    lengths = {share.length_mm: share.length_in for share in standard.limits.length_shares}
    return tuple(_told(pieces, mm, inches) for mm, inches in sorted(lengths.items()))


def _told(pieces: Pieces, length_mm: float, length_in: float | None) -> LongShare:
    question = length_question(pieces, length_mm, sense="at least", limit=0.5)  # what is asked for doesn't matter here
    return LongShare(
        length_mm=length_mm,
        length_in=length_in,
        by_count=_measured(question, pieces),
        by_mass=_measured(by_mass(question, pieces), pieces),
    )


def _measured(question: ShareQuestion, pieces: Pieces) -> Measured | None:
    belief = known_share(question, pieces, USUAL)
    return None if belief is None else Measured(value=expected_share(question, pieces), u=belief.sd)
