"""What may be claimed from these plates at all: colour only where it is absolute and a lot test fry stands beside it.

Lengths are seen on every plate. Colour depends on the card and on the fryer: without a measured card and a trueness
study in date it is house-relative, and without strips of a lot that was kept back, fried in the same oil, a dark fry
may be the fryer's doing.
"""

from dataclasses import dataclass

from grader.decision.model import LimitDecision, Outcome
from grader.evidence.model import Case
from grader.trueness import ColourLevel, Standing, weakest

COLOUR_KEYS = frozenset({"colour", "spread", "out_of_target", "dark_end", "spot"})
"""Limits that rest on colour, dark ends and spots among them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Claimable:
    """What the case may claim.

    Attributes
    ----------
    colour
        Whether limits on colour and dark ends may be claimed.
    colour_words
        Why, or why not.
    limits, shown_only
        The limits that may be claimed, and those that are only shown.
    again
        Limits that are broken by the second photos too; None where no plate was photographed twice.
    """

    standing: Standing | None
    colour: bool
    colour_words: str
    limits: tuple[LimitDecision, ...]
    shown_only: tuple[LimitDecision, ...]
    again: frozenset[str] | None = None

    @property
    def face(self) -> str:
        """What stands on the dossier's first page."""
        if self.colour:
            return "Colour: absolute. Claims on colour and on dark ends may be made."
        absolute = self.standing is not None and self.standing.colour is ColourLevel.ABSOLUTE
        if absolute:
            return "Colour: absolute. No claim on colour or dark ends may be made: no lot test fry stands beside it."
        level = "trend only" if self.standing is None else self.standing.colour.value
        relative = "" if level == "house-relative" else f" ({level})"
        return f"Colour: house-relative{relative}. No claim on colour or dark ends may be made."

    @property
    def proven(self) -> tuple[LimitDecision, ...]:
        """Limits that may be claimed and are proven to be broken, by the second photos of plates as by the first."""
        return tuple(
            limit
            for limit in self.limits
            if limit.outcome is Outcome.FAIL and (self.again is None or limit.key in self.again)
        )


def claimable(case: Case) -> Claimable:
    """What may be claimed from a case."""
    standing = weakest(plate.graded.standing for plate in case.plates)
    absolute = standing is not None and standing.colour is ColourLevel.ABSOLUTE
    colour = absolute and case.lot_fry is not None
    limits = () if case.verdict is None else case.verdict.limits
    allowed = tuple(limit for limit in limits if colour or limit.key not in COLOUR_KEYS)
    return Claimable(
        standing=standing,
        colour=colour,
        colour_words=_why(standing, fried=case.lot_fry is not None),
        limits=allowed,
        shown_only=tuple(limit for limit in limits if limit not in allowed),
        again=None
        if case.again is None
        else frozenset(limit.key for limit in case.again.limits if limit.outcome is Outcome.FAIL),
    )


def _why(standing: Standing | None, *, fried: bool) -> str:
    if standing is None:
        return "No plate could be judged."
    beside = (
        "Strips of this lot were fried beside strips of a lot kept back, in the same oil."
        if fried
        else "No strips of this lot were fried beside strips of a lot kept back: the fryer could be the cause."
    )
    return f"{standing.colour_reason} {beside}"
