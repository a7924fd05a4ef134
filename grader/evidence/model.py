"""What is sealed together: a case as typed values."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from grader.decision.model import Verdict
from grader.evidence.chain import Entry
from grader.evidence.custody import TwoClocks
from grader.evidence.looking import Looked
from grader.grading import GradedPhoto
from grader.line.lot_fry import LotTest
from grader.standard.model import Standard


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CasePlate:
    """One plate: the photo's bytes, what was found, where it comes from.

    Attributes
    ----------
    looked
        What the method found, without any mending.
    by
        Initials of who brought it in; empty where nobody said.
    kept_at
        When the records kept it.
    mends
        What a person mended in the records, in words; none of it counts here.
    second_of, way
        Of the second photo of a plate (turned, or flipped): the turn of the first. 0 and empty for every other.
    """

    data: bytes
    looked: Looked
    batch: str
    kitchen: str
    by: str
    clocks: TwoClocks
    kept_at: datetime
    mends: tuple[str, ...] = ()
    second_of: int = 0
    way: str = ""

    @property
    def graded(self) -> GradedPhoto:
        """The findings."""
        return self.looked.graded


@dataclass(frozen=True, slots=True, kw_only=True)
class Attached:
    """A file that the maker adds (a test fry's table, weights of tubers): its name, bytes, and what it is."""

    name: str
    data: bytes
    words: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Case:
    """All that goes into one sealed file.

    Attributes
    ----------
    supplier, lot
        Whose lot; empty where the plates are of none.
    about
        What is sealed, in words: "Lot OM-0412 of Oddmarsh Growers".
    tag
        What records of the chain about these plates bear.
    verdict
        Of all plates together, asked as a claim; None where no plate could be judged. A plate that was photographed
        twice counts by its first photo.
    again
        The same with second photos in place of first ones; None where no plate was photographed twice.
    release
        The same asked as a release, told beside it.
    graded_on
        The day by which cards' values and trueness studies count.
    card_values, studies
        The documents behind them, by file name.
    gauge
        What the newest study of the method says, in words; none where there is none.
    lot_fry
        The test fry of this lot beside one kept back; None where none was read.
    entries
        The chain as it is handed over.
    statement
        What the maker says besides, in their own words.
    invented
        The case is an example.
    """

    supplier: str
    lot: str
    about: str
    tag: str
    plates: tuple[CasePlate, ...]
    standard: Standard
    verdict: Verdict | None
    release: Verdict | None
    again: Verdict | None = None
    method_version: str
    graded_on: date
    made_at: datetime
    made_by: str
    entries: tuple[Entry, ...]
    card_values: Mapping[str, bytes] = field(default_factory=dict)
    studies: Mapping[str, bytes] = field(default_factory=dict)
    gauge: tuple[str, ...] = ()
    lot_fry: LotTest | None = None
    attached: tuple[Attached, ...] = ()
    statement: str = ""
    invented: bool = False
