"""Published sampling plans as typed values: rows of data, each table with its source and how far it was read."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

Mark = Literal["VERIFIED", "MEMORY"]
"""Read in what the source names; not at all."""
CHECK = "check against the standard before contract use"


class Inspection(StrEnum):
    """How severely lots are inspected; stopped: not any more, until whoever makes them has put things right."""

    NORMAL = "normal"
    TIGHTENED = "tightened"
    REDUCED = "reduced"
    STOPPED = "stopped"


class CameOut(StrEnum):
    """What became of a lot. Between: by a reduced plan it passes, but the next lot is inspected normally."""

    ACCEPTED = "accepted"
    BETWEEN = "between"
    REJECTED = "rejected"


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Of `n` units drawn by chance up to `accept` nonconforming ones accept the lot, `reject` or more reject it."""

    n: int
    accept: int
    reject: int

    def __str__(self) -> str:
        return f"{self.n} units, accept up to {self.accept}, reject from {self.reject}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Read:
    """How far a table was read, and where."""

    mark: Mark
    source: str

    @property
    def caution(self) -> str:
        """What to do before it is relied on; empty where it was read."""
        return "" if self.mark == "VERIFIED" else CHECK


@dataclass(frozen=True, slots=True, kw_only=True)
class Switch:
    """From lots under one inspection to another: once `lots` of the last `of` in a row came out so ("any": were seen).

    `also` is what else must hold, in words; nobody but a person can see to that.
    """

    leave: Inspection
    enter: Inspection
    came_out: CameOut | Literal["any"]
    lots: int
    of: int
    also: str
    read: Read


@dataclass(frozen=True, slots=True, kw_only=True)
class LettersRow:
    """The code letter of lots of `lot_from` to `lot_to` units (which may be infinite), by inspection level."""

    lot_from: int
    lot_to: float
    letters: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanTable:
    """Plans by code letter and AQL, for one inspection."""

    plans: Mapping[tuple[str, float], Plan]
    read: Read


@dataclass(frozen=True, slots=True, kw_only=True)
class LetteredPlans:
    """A standard that finds its plans by lot size, inspection level and AQL (nonconforming units in a hundred)."""

    name: str
    short_name: str
    edition: str
    issuer: str
    aqls: tuple[float, ...]
    levels: tuple[str, ...]
    letters: tuple[LettersRow, ...]
    letters_read: Read
    tables: Mapping[Inspection, PlanTable]
    switching: tuple[Switch, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedPlan:
    """One printed plan: for which lots (`lot_to` may be infinite), at which AQL."""

    name: str
    aql: float
    lot_from: int
    lot_to: float
    plan: Plan
    read: Read


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedPlans:
    """A standard that just lists its plans; `unit` is its own sampling unit, `counted` what is counted in a sample."""

    name: str
    short_name: str
    edition: str
    issuer: str
    unit: str
    counted: str
    rows: tuple[ListedPlan, ...]
