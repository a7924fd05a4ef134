"""Causes and their rules as typed values, and a ranking made by them."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from grader.language import said

Fact = float | str | bool
Facts = Mapping[str, Fact]
"""What is known, by name; what isn't known isn't there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """One fact held against a value: `sign` is >=, <=, is, or "is not"."""

    fact: str
    sign: str
    value: Fact

    def holds(self, facts: Facts) -> bool | None:
        """Whether it does; None where the fact isn't known."""
        there = facts.get(self.fact)
        if there is None:
            return None
        if self.sign == "is":
            return there == self.value
        if self.sign == "is not":
            return there != self.value
        value, limit = float(there), float(self.value)
        return value >= limit if self.sign == ">=" else value <= limit


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """What speaks for a cause (`weight` above 0) or against it, where all its conditions hold; `why` may name facts."""

    key: str
    when: tuple[Condition, ...]
    weight: float
    why: str
    source: str

    def holds(self, facts: Facts) -> bool:
        """All conditions hold for sure."""
        return all(one.holds(facts) is True for one in self.when)

    def unknown(self, facts: Facts) -> tuple[str, ...]:
        """The facts that would have to be known; nothing where it fails already by what is known."""
        told = [one.holds(facts) for one in self.when]
        return (
            ()
            if False in told
            else tuple(one.fact for one, holds in zip(self.when, told, strict=True) if holds is None)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """One cause: which symptoms it explains and how commonly each (1 is as common as any), its rules, its check."""

    key: str
    name: str
    explains: Mapping[str, float]
    check: str
    source: str
    rules: tuple[Rule, ...]


class Grade(StrEnum):
    """How much speaks for a cause."""

    LIKELY = said("likely")
    POSSIBLE = said("possible")
    UNLIKELY = said("unlikely")


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One rule that held, in words; below 0 it speaks against."""

    rule: str
    weight: float
    words: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranked:
    """A cause with what speaks for it and against it; `missing` are the facts that nobody recorded and that would."""

    cause: Cause
    score: float
    grade: Grade
    explains: tuple[str, ...]
    reasons_for: tuple[Reason, ...]
    reasons_against: tuple[Reason, ...]
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranking:
    """All causes that explain anything seen, the likeliest first.

    Attributes
    ----------
    first_of
        For each symptom seen, the key of the cause that explains it best.
    to_record
        The facts that would tell most, the most telling first.
    """

    seen: tuple[str, ...]
    causes: tuple[Ranked, ...]
    first_of: Mapping[str, str]
    to_record: tuple[str, ...]
