"""On which terms a batch is judged: which question is asked, and what is known of how far plates of a batch differ."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

BETWEEN_PLATES_STEPS = 0.15
"""Standard deviation of plates of one batch about its mean colour, steps: house default before 20 plates of its own
(common practice, no source). Two or three plates are too few to tell it from them."""
WITHIN_PLATE_CORRELATION = 0.01
"""How alike two fries of one plate are, beyond what the batch has in common: house default before 20 plates of its own
(common practice, no source). 36 fries on a plate then tell as much as 27 drawn one by one; no plate as much as 100."""
PLATES_OF_ITS_OWN = 20
"""From so many plates on the house's own history stands in the default's place; until then the default counts as
surely known as so many plates would make it (house default, no source)."""
PLATES_FOR_A_CLAIM = 2
"""A claim rests on the lot's own plates alone, and one plate tells nothing of how far plates differ."""


class Question(StrEnum):
    """Release: whether a batch is shown to conform. Claim: whether a lot is proven, beyond doubt, to be at fault."""

    RELEASE = "release"
    CLAIM = "claim"


@dataclass(frozen=True, slots=True, kw_only=True)
class Levels:
    """Passes from this probability of conformity on, fails down to that one; between them it is undecided."""

    pass_from: float
    fail_to: float


LEVELS: Mapping[Question, Levels] = MappingProxyType(
    {
        Question.RELEASE: Levels(pass_from=0.9, fail_to=0.1),
        Question.CLAIM: Levels(pass_from=0.975, fail_to=0.025),
    }
)
"""House defaults, for limits of one side as for those of two.

Release, a kitchen's own decision on a shift: guarded acceptance at 90 %, so that a batch right on the limit passes one
time in ten at most; and as sure of a fault, to fail it, as of its absence to pass it.

Claim: guarded rejection, "often employed when one wants clear evidence that a limit has been exceeded prior to taking a
negative action" (JCGM 106:2012, 8.3.3.1, as quoted in a summary): a fault is proven where the whole 95 % interval lies
beyond the limit, so that a lot right on it is blamed one time in forty at most. Who rejects a claim must be as sure:
conformity is proven only where that interval lies within. That 95 % is usual is common practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlatesApart:
    """How far plates of one batch differ, as known before any of the batch's own.

    Attributes
    ----------
    colour_steps
        Standard deviation of plates about their batch's mean colour, steps.
    correlation
        Of any yes-or-no property (short, dark at the end) between two fries of a plate.
    freedom
        Degrees of freedom of `colour_steps`: how surely it is known.
    plates
        Plates of the house's own that it rests on; 0 for the house default.
    """

    colour_steps: float
    correlation: float
    freedom: float
    plates: int

    @property
    def words(self) -> str:
        """Where it comes from."""
        return f"from {self.plates} plates of the house's own" if self.plates else "house default"


HOUSE_DEFAULT = PlatesApart(
    colour_steps=BETWEEN_PLATES_STEPS,
    correlation=WITHIN_PLATE_CORRELATION,
    freedom=float(PLATES_OF_ITS_OWN),
    plates=0,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What a batch is judged on, beside its standard; a claim leaves `apart` out and asks the lot's own plates."""

    question: Question = Question.RELEASE
    apart: PlatesApart = HOUSE_DEFAULT

    @property
    def levels(self) -> Levels:
        """The probabilities at which this question is decided."""
        return LEVELS[self.question]

    @property
    def claim(self) -> bool:
        """A fault is to be proven."""
        return self.question is Question.CLAIM


USUAL = Terms()
