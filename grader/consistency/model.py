"""What charts over time are made of: one line for each plate, and what happened in between."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum

from grader.standard.model import FINISHED, StageName


class EventKind(StrEnum):
    """After what fries may differ; the words are those of the records."""

    NEW_LOT = "new lot"
    NEW_CROP = "new crop"
    OIL_CHANGED = "oil changed"
    SERVICED = "fryer serviced"
    OTHER = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """Of `n` fries of a plate that could be told, `k` have a property. `k` need be no whole number.

    Each fry counts by how probably it is over the threshold, so that one right at it counts half.
    """

    k: float
    n: int

    def __post_init__(self) -> None:
        if not 0 <= self.k <= self.n:
            raise ValueError(f"{self.k:g} of {self.n} fries can't have a property.")

    @property
    def share(self) -> float | None:
        """0 to 1; None where no fry could be told."""
        return self.k / self.n if self.n else None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateSummary:
    """One plate as charts see it, by one standard and one method.

    Attributes
    ----------
    plate, batch
        What the records know them by; equal names are the same plate, the same batch.
    taken_at
        When the photo was taken, UTC.
    kitchen, station, fryer, shift, lot, supplier
        Empty where not known.
    standard_sha256
        Of the standard's values: places by other scales can't stand on one chart.
    coloured
        Fries with a place on the scale.
    place_mean, place_shared_u, place_sd
        Their mean place, what they share of its doubt (card, light, shine: it doesn't shrink with their number), and
        their standard deviation. Steps; None where there is none (for `place_sd`: of fewer than two fries).
    measured
        Fries with a length.
    length_mean_mm, length_sd_mm
        Length as the standard means it.
    shares
        By the keys of the standard's limits: `length_76.2` (fries at least so long), `dark_end`, `short`, ...
    """

    plate: str
    batch: str
    taken_at: datetime
    kitchen: str = ""
    station: str = ""
    fryer: str = ""
    shift: str = ""
    lot: str = ""
    supplier: str = ""
    stage: StageName = FINISHED
    standard_name: str
    standard_version: str
    standard_sha256: str
    coloured: int
    place_mean: float | None
    place_shared_u: float | None
    place_sd: float | None
    measured: int = 0
    length_mean_mm: float | None = None
    length_sd_mm: float | None = None
    shares: Mapping[str, Count] = field(default_factory=dict)

    def __post_init__(self) -> None:
        _check_utc(self.taken_at)


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """Something after which fries may differ: all plates of its kitchen (or of its fryer there) from `at` on.

    Attributes
    ----------
    at
        UTC.
    fryer, lot
        Empty where it concerns the whole kitchen, or no lot.
    words
        What a person wrote of it; may be empty.
    """

    at: datetime
    kind: EventKind
    kitchen: str = ""
    fryer: str = ""
    lot: str = ""
    words: str = ""

    def __post_init__(self) -> None:
        _check_utc(self.at)

    def concerns(self, plate: PlateSummary) -> bool:
        """Whether plates where this one was made may differ by it; when they were taken is another question."""
        return self.kitchen in {"", plate.kitchen} and self.fryer in {"", plate.fryer}


def _check_utc(moment: datetime) -> None:
    if moment.utcoffset() != timedelta(0):
        raise ValueError(f"{moment.isoformat()} is no time in UTC.")
