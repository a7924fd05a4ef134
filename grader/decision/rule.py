"""The decision rule: from the probability that a figure meets its limit to pass, fail or undecided.

Source: JCGM 106:2012 (ISO/IEC Guide 98-4): conformance probability, guarded acceptance and guarded rejection.
"""

from grader.decision.doubt import Doubt
from grader.decision.model import Outcome
from grader.decision.terms import Levels


def outcome_of(probability: float, levels: Levels) -> Outcome:
    """Pass, fail or undecided."""
    if probability >= levels.pass_from:
        return Outcome.PASS
    return Outcome.FAIL if probability <= levels.fail_to else Outcome.UNDECIDED


def conformity(value: float, doubt: Doubt, *, lower: float | None, upper: float | None) -> float:
    """Probability that the true figure is within its limits, given the measured one and its doubt.

    Source: JCGM 106:2012; for a normal figure Phi((T_U - y) / u) - Phi((T_L - y) / u).
    """
    under = 1.0 if upper is None else doubt.below(upper - value)
    short_of = 0.0 if lower is None else doubt.below(lower - value)
    return under - short_of


def guard_band(doubt: Doubt, levels: Levels) -> float:
    """So far inside a limit of one side a figure must be to pass, or beyond it to fail (levels mirror each other)."""
    return doubt.reach(levels.pass_from)
