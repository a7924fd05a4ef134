"""A decision as typed values: each limit with what was measured, how sure, and why."""

from dataclasses import dataclass
from enum import StrEnum


class Outcome(StrEnum):
    """Pass, fail, or undecided: the measurement can't tell."""

    PASS = "pass"
    FAIL = "fail"
    UNDECIDED = "undecided"


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitDecision:
    """One limit judged.

    Attributes
    ----------
    key
        The limit's name on disk: "colour", "spread", "length_50.8", "short", "sliver", "dark_end", "spot", "width",
        "out_of_target".
    about
        "colour", "length", "width" or "defects": what a person would call it.
    measured, u
        The figure and its standard uncertainty, in `unit`; nan where nothing could be measured.
    lower, upper
        The limits that it is held against; None where that side is free.
    probability
        That the true figure meets the limit, 0 to 1.
    guard
        The guard band used on each side, in `unit`.
    reason
        In words a cook understands.
    arithmetic
        In numbers that QA can check.
    """

    key: str
    about: str
    title: str
    outcome: Outcome
    measured: float
    u: float
    lower: float | None
    upper: float | None
    unit: str
    probability: float
    guard: float
    reason: str
    arithmetic: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """The whole: fails if any limit fails, else undecided if any is, else passes."""

    outcome: Outcome
    headline: str
    limits: tuple[LimitDecision, ...]
    fries_counted: int
    fries_left_out: int
    plates: int
