"""A published standard's designations as typed values: rows of data, each with its source and how far it was read."""

from dataclasses import dataclass
from typing import Literal

Mark = Literal["VERIFIED", "VERIFIED*", "MEMORY"]
"""Read in the text that the row's source names; in a summary of the standard only; not at all."""
Sense = Literal["at least", "at most"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareAsked:
    """At least, or at most, `share` (0 to 1, by count) of the strips are at least `length_mm` long."""

    length_mm: float
    sense: Sense
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LengthRow:
    """A designation by length: all of its shares hold."""

    name: str
    mark: Mark
    source: str
    shares: tuple[ShareAsked, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionRow:
    """A class of cross sections, by a strip's largest dimension across its cut; `to_mm` may be infinite."""

    name: str
    mark: Mark
    source: str
    from_mm: float
    to_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WordRow:
    """A designation that stays a word: a photo can't tell it, or no number of it is known."""

    about: str
    name: str
    meaning: str
    mark: Mark
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Published:
    """The designations of one published standard; `said_of` is the product that it speaks of."""

    name: str
    short_name: str
    edition: str
    issuer: str
    said_of: str
    lengths: tuple[LengthRow, ...]
    sections: tuple[SectionRow, ...]
    words: tuple[WordRow, ...]

    @property
    def rows(self) -> tuple[LengthRow | SectionRow, ...]:
        """The rows that a plate can be held against."""
        return (*self.lengths, *self.sections)
