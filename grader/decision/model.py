"""A decision as typed values: each limit with what was measured, how sure, and why."""

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from grader.decision.terms import USUAL, Terms

About = Literal["colour", "length", "width", "defects"]


class Outcome(StrEnum):
    """Pass, fail, or undecided: the measurement can't tell."""

    PASS = "pass"  # noqa: S105 - an outcome, no password
    FAIL = "fail"
    UNDECIDED = "undecided"


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitDecision:
    """One limit judged.

    Attributes
    ----------
    key
        The limit's name on disk: "colour", "spread", "out_of_target", "length_50.8", "length_50.8_by_mass", "short",
        "scrap", "sliver", "width", "dark_end", "spot", "curved", "torn_end", "crumb".
    about
        "colour", "length", "width" or "defects": what a person would call it.
    measured, u
        The figure and its standard uncertainty, in `unit` ("steps" or "share"); nan where nothing could be measured.
    lower, upper
        The limits that it is held against; None where that side is free.
    probability
        That the true figure meets the limit, 0 to 1; nan where nothing could be measured.
    guard
        The guard band, in `unit`: by so much the figure must be inside the limit to pass, or beyond it to fail,
        whichever it is nearer to; nan where nothing could be measured.
    counted, left_out
        Fries that this limit could count, and those that it couldn't.
    more_plates
        How many more plates like these would settle it: 0 where it is settled, None where more plates alone won't.
    finding
        In a few words: "too dark", "enough fries of 50.8 mm (2 in) or longer"; where undecided, what it is about.
    reason
        In words a cook understands.
    remedy
        What to do to get a decision; empty where there is one.
    arithmetic
        In numbers that QA can check.
    low, high
        Where the true figure lies with 95 % probability, in `unit`; nan where nothing could be measured.
    """

    key: str
    about: About
    title: str
    outcome: Outcome
    measured: float
    u: float
    lower: float | None
    upper: float | None
    unit: Literal["steps", "share"]
    probability: float
    guard: float
    counted: int
    left_out: int
    more_plates: int | None
    finding: str
    reason: str
    remedy: str
    arithmetic: str
    low: float = math.nan
    high: float = math.nan


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """The whole: fails if any limit fails, else undecided if any is, else passes.

    `fries_left_out` are crumbs and fries of which nothing could be measured; `terms` say which question was asked.
    """

    outcome: Outcome
    headline: str
    limits: tuple[LimitDecision, ...]
    fries_counted: int
    fries_left_out: int
    plates: int
    terms: Terms = USUAL
