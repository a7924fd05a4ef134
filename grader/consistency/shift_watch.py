"""One fryer's batches by one measure: what is usual, what stands out, what changed; and how its shares went.

The baseline is a period that somebody chose. Where nobody has yet, it is the earliest twenty-five batches, or fewer
where there are fewer; that is said wherever it is shown.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from grader.consistency.baseline import ENOUGH_BATCHES, LEAST_BATCHES, Baseline, BaselineTooShortError, freeze
from grader.consistency.batches import Batch, Measure, batches_of
from grader.consistency.individuals import Individuals, individuals
from grader.consistency.model import Event, PlateSummary
from grader.consistency.rules import USUAL, RuleKey
from grader.consistency.segments import events_of
from grader.consistency.shares import LEAST_PLATES, ShareBaseline, SharePoint, freeze_share, watch_share
from grader.consistency.watching import Watched, watch
from grader.consistency.what_changed import WhatChanged, what_changed

_MOVED = 0.65
"""Share of the whole scatter; of 25 batches that don't move, three series in a thousand have so little."""
_ENOUGH_NEIGHBOURS = 15

Period = tuple[datetime, datetime]
"""From and to, UTC, both included."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """Whose plates can stand on one chart: one kitchen's, one fryer's."""

    kitchen: str
    fryer: str

    @property
    def words(self) -> str:
        """`Quay, fryer left`; all plates where nobody said where they were made."""
        named = [self.kitchen, f"fryer {self.fryer}" if self.fryer else ""]
        return ", ".join(name for name in named if name) or "all plates"


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is to be charted.

    Attributes
    ----------
    baseline
        One that was frozen, or the period to freeze one from; None: the earliest batches.
    rules
        Those that are on.
    share_keys
        By the keys of the standard's limits, in the order in which they are wanted.
    """

    measure: Measure = "place"
    baseline: Baseline | Period | None = None
    rules: frozenset[RuleKey] = USUAL
    share_keys: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ShareWatch:
    """One share, plate by plate: by which baseline, and the plates with their limits."""

    baseline: ShareBaseline
    points: tuple[SharePoint, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ShiftWatch:
    """Everything that one chart tells.

    Attributes
    ----------
    batches
        In the order of time; `watched` and `changed` count them from 0.
    chosen
        Somebody chose the baseline's period.
    neighbours
        The baseline's batches as single readings in a row: a slow drift hardly enters what neighbours differ by. None
        where an event lies among them, or where they are too few to tell.
    shares
        By the key of the standard's limit.
    untold
        The keys of those that were asked for and have too few plates in the baseline.
    """

    line: Line
    measure: Measure
    batches: tuple[Batch, ...]
    watched: Watched
    changed: WhatChanged
    chosen: bool
    neighbours: Individuals | None
    shares: Mapping[str, ShareWatch]
    untold: tuple[str, ...]

    @property
    def baseline_moved(self) -> bool:
        """The baseline's batches scatter much more over all of it than from one to the next."""
        usual = round(self.watched.baseline.plates_a_batch) or 1
        return self.neighbours is not None and self.neighbours.sd < _MOVED * self.watched.baseline.scatter(usual).sd


def lines_of(plates: Sequence[PlateSummary]) -> dict[Line, tuple[PlateSummary, ...]]:
    """Plates by where they were made, kitchens and fryers in the order of the alphabet."""
    found: dict[Line, list[PlateSummary]] = {}
    for plate in plates:
        found.setdefault(Line(kitchen=plate.kitchen, fryer=plate.fryer), []).append(plate)
    return {line: tuple(found[line]) for line in sorted(found, key=lambda line: (line.kitchen, line.fryer))}


def shift_watch(
    plates: Sequence[PlateSummary], events: Sequence[Event], asked: Asked, rng: np.random.Generator
) -> ShiftWatch:
    """All charts of the plates of one line; events of other lines are left out.

    Raises
    ------
    BaselineTooShortError
        There are too few batches to say what is usual.
    NotOneChartError
        Plates are of more than one standard or stage.
    """
    batches = batches_of(plates, asked.measure)
    ours = events_of(plates, events)
    baseline = _baseline(plates, batches, ours, asked)
    variance = np.array([baseline.scatter(batch.n).variance for batch in batches])
    shares = _shares(plates, asked.share_keys, (baseline.from_at, _last_plate(batches, baseline)))
    changed = what_changed(batches, ours, rng, relative_variance=variance if (variance > 0).all() else None)
    return ShiftWatch(
        line=Line(kitchen=plates[0].kitchen, fryer=plates[0].fryer),
        measure=asked.measure,
        batches=batches,
        watched=watch(batches, baseline, starts=changed.starts, rules=asked.rules),
        changed=changed,
        chosen=asked.baseline is not None,
        neighbours=_neighbours(batches, ours, baseline),
        shares=shares,
        untold=tuple(key for key in asked.share_keys if key not in shares),
    )


def _baseline(
    plates: Sequence[PlateSummary], batches: Sequence[Batch], events: Sequence[Event], asked: Asked
) -> Baseline:
    if isinstance(asked.baseline, Baseline):
        return asked.baseline
    from_at, to_at = asked.baseline or _earliest(batches)
    return freeze(plates, asked.measure, from_at=from_at, to_at=to_at, events=events)


def _earliest(batches: Sequence[Batch]) -> Period:
    if not batches:
        raise BaselineTooShortError(
            "There is no batch with that measure.",
            hint=f"Photograph {LEAST_BATCHES} batches at least; from {ENOUGH_BATCHES} on limits are tight.",
        )
    return batches[0].at, batches[:ENOUGH_BATCHES][-1].at


def _neighbours(batches: Sequence[Batch], events: Sequence[Event], baseline: Baseline) -> Individuals | None:
    inside = [batch for batch in batches if baseline.from_at <= batch.at <= baseline.to_at]
    if len(inside) < _ENOUGH_NEIGHBOURS or any(inside[0].at < event.at <= inside[-1].at for event in events):
        return None
    return individuals(np.array([batch.mean for batch in inside]))


def _last_plate(batches: Sequence[Batch], baseline: Baseline) -> datetime:
    """Shares count plates, whose last one comes after the moment at which its batch began."""
    inside = [plate.taken_at for batch in batches if batch.at <= baseline.to_at for plate in batch.plates]
    return max([baseline.to_at, *inside])


def _shares(plates: Sequence[PlateSummary], keys: Sequence[str], period: Period) -> dict[str, ShareWatch]:
    found = {}
    for key in keys:
        told = [plate for plate in plates if key in plate.shares and plate.shares[key].n]
        if sum(period[0] <= plate.taken_at <= period[1] for plate in told) >= LEAST_PLATES:
            baseline = freeze_share(told, key, from_at=period[0], to_at=period[1])
            found[key] = ShareWatch(baseline=baseline, points=watch_share(told, baseline))
    return found
