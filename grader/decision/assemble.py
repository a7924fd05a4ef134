"""From the figures of one limit to its decision, in words: the same way for every limit."""

from dataclasses import dataclass
from typing import Literal

from grader.decision.model import About, LimitDecision, Outcome
from grader.decision.rule import outcome_of
from grader.decision.words import MORE_FRIES, photograph_more

COUNTED_AT_LEAST = 10
"""Fewer fries say nothing about a batch (house default, no source)."""
COUNTED_SHARE_AT_LEAST = 0.5
"""Where fewer could be counted, those left out may be of another kind: the hidden, the long ones (house default)."""
MORE_PLATES_AT_MOST = 9
"""Nobody photographs more than this to settle one limit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """What is judged, against what; `lower` and `upper` as in `LimitDecision`."""

    key: str
    about: About
    title: str
    unit: Literal["steps", "share"]
    lower: float | None
    upper: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """What was measured; `more_plates` is only meant where the probability leaves it undecided."""

    measured: float
    u: float
    probability: float
    guard: float
    more_plates: int | None
    arithmetic: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Wording:
    """What to call it.

    `passed` and `failed` say each outcome in a few words, `subject` what it is about, `doubt` what can't be told yet,
    `figures` is a sentence with the numbers. `stuck` says what to do where more plates won't settle it, `uncounted`
    where too few fries could be counted.
    """

    passed: str
    failed: str
    subject: str
    doubt: str
    figures: str
    stuck: str
    uncounted: str


def decide(limit: Limit, figures: Figures | None, wording: Wording, *, counted: int, left_out: int) -> LimitDecision:
    """The decision on one limit; `figures` None where nothing could be measured."""
    nothing = Figures(
        measured=float("nan"),
        u=float("nan"),
        probability=float("nan"),
        guard=float("nan"),
        more_plates=None,
        arithmetic="",
    )
    mostly_counted = counted >= COUNTED_SHARE_AT_LEAST * (counted + left_out)
    enough = counted >= COUNTED_AT_LEAST and mostly_counted and figures is not None
    figures = figures or nothing
    outcome = outcome_of(figures.probability) if enough else Outcome.UNDECIDED
    more = 0 if outcome is not Outcome.UNDECIDED else figures.more_plates if enough else None
    finding, reason, remedy = _said(wording, outcome, more)
    if not enough:
        # Where most could be counted nothing is wrong with how they lie: there are just too few of them.
        remedy = MORE_FRIES if counted and mostly_counted else wording.uncounted
        counts = f"only {counted} of {counted + left_out} fries could be counted"
        reason = f"{limit.title}: can't tell, {counts}. {remedy}"
    return LimitDecision(
        key=limit.key,
        about=limit.about,
        title=limit.title,
        outcome=outcome,
        measured=figures.measured,
        u=figures.u,
        lower=limit.lower,
        upper=limit.upper,
        unit=limit.unit,
        probability=figures.probability,
        guard=figures.guard,
        counted=counted,
        left_out=left_out,
        more_plates=more,
        finding=finding,
        reason=reason,
        remedy=remedy,
        arithmetic=f"{counted} fries counted, {left_out} left out. {figures.arithmetic}".rstrip(),
    )


def _said(wording: Wording, outcome: Outcome, more: int | None) -> tuple[str, str, str]:
    """Finding, reason and remedy."""
    if outcome is Outcome.PASS:
        return wording.passed, f"{wording.passed[0].upper()}{wording.passed[1:]}: {wording.figures}", ""
    if outcome is Outcome.FAIL:
        return wording.failed, f"Clearly {wording.failed}: {wording.figures}", ""
    remedy = photograph_more(more) if more is not None else wording.stuck
    return wording.subject, f"Can't tell yet {wording.doubt}: {wording.figures} {remedy}", remedy
