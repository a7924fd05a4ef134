"""From the figures of one limit to its decision, in words: the same way for every limit."""

import math
from dataclasses import dataclass
from typing import Literal

from grader.decision.model import About, LimitDecision, Outcome
from grader.decision.pieces import Counts
from grader.decision.rule import outcome_of
from grader.decision.terms import PLATES_FOR_A_CLAIM, Terms
from grader.decision.words import MORE_FRIES, photograph_more

INTERVAL = 0.95
"""Probability that the true figure lies in the interval that is told."""
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
    """What was measured, `low` to `high` with 95 % probability.

    `more_plates` is only meant where the probability leaves it undecided.
    """

    measured: float
    u: float
    low: float
    high: float
    probability: float
    guard: float
    more_plates: int | None
    arithmetic: str


def without_doubt_known(measured: float) -> Figures:
    """What was measured where nothing tells how surely."""
    nan = math.nan
    return Figures(
        measured=measured, u=nan, low=nan, high=nan, probability=nan, guard=nan, more_plates=None, arithmetic=""
    )


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


def decide(limit: Limit, figures: Figures | None, wording: Wording, counts: Counts, terms: Terms) -> LimitDecision:
    """The decision on one limit; `figures` None where nothing could be measured."""
    lacking = None
    if figures is None or not counts.enough:
        lacking = _lacking(limit, wording, counts, terms)
    elif terms.claim and counts.plates < PLATES_FOR_A_CLAIM:
        lacking = _one_plate(limit, wording)
    figures = figures or without_doubt_known(math.nan)
    outcome = Outcome.UNDECIDED if lacking else outcome_of(figures.probability, terms.levels)
    more = 0 if outcome is not Outcome.UNDECIDED else None if lacking else figures.more_plates
    finding, reason, remedy = lacking or _said(wording, outcome, more, claim=terms.claim)
    return LimitDecision(
        key=limit.key,
        about=limit.about,
        title=limit.title,
        outcome=outcome,
        measured=figures.measured,
        u=figures.u,
        low=figures.low,
        high=figures.high,
        lower=limit.lower,
        upper=limit.upper,
        unit=limit.unit,
        probability=figures.probability,
        guard=figures.guard,
        counted=counts.counted,
        left_out=counts.left_out,
        more_plates=more,
        finding=finding,
        reason=reason,
        remedy=remedy,
        arithmetic=f"{counts.counted} fries counted, {counts.left_out} left out. {figures.arithmetic}".rstrip(),
    )


_Said = tuple[str, str, str]
"""Finding, reason and remedy."""


def _lacking(limit: Limit, wording: Wording, counts: Counts, terms: Terms) -> _Said:
    # Where most could be counted nothing is wrong with how they lie: there are just too few of them.
    remedy = MORE_FRIES if counts.counted and counts.mostly else wording.uncounted
    unsure = "not proven" if terms.claim else "can't tell"
    told = f"only {counts.counted} of {counts.counted + counts.left_out} fries could be counted"
    return wording.subject, f"{limit.title}: {unsure}, {told}. {remedy}", remedy


def _one_plate(limit: Limit, wording: Wording) -> _Said:
    remedy = photograph_more(PLATES_FOR_A_CLAIM - 1)
    why = "a claim rests on the lot's own plates, and one plate doesn't tell how far they differ"
    return wording.subject, f"{limit.title}: not proven, {why}. {remedy}", remedy


def _said(wording: Wording, outcome: Outcome, more: int | None, *, claim: bool) -> _Said:
    if outcome is Outcome.PASS:
        return wording.passed, f"{wording.passed[0].upper()}{wording.passed[1:]}: {wording.figures}", ""
    if outcome is Outcome.FAIL:
        return wording.failed, f"Clearly {wording.failed}: {wording.figures}", ""
    remedy = photograph_more(more) if more is not None else wording.stuck
    unsure = "Not proven either way" if claim else "Can't tell yet"
    return wording.subject, f"{unsure} {wording.doubt}: {wording.figures} {remedy}", remedy
