"""What changed, and when: what each event did, what moved inside a lot, and where a level most likely changed.

Three questions, kept apart. An event may shift the level: the step is told, and is no alarm. Between events nothing
should move: a change within a stretch is told with the place where it most likely lies and the plates on both sides,
and a slope beside it, since a level that moves slowly also looks as if it had changed somewhere.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray
from grader.consistency.batches import Batch
from grader.consistency.change_point import LEAST_VALUES, ChangePoint, change_point
from grader.consistency.lot_drift import BELIEVED, LotDrift, lot_drift
from grader.consistency.model import Event, PlateSummary
from grader.consistency.segments import Segment, events_of, segments
from grader.consistency.steps import EventStep, event_steps

SIDE_BATCHES = 3
"""Batches on each side of a change whose plates are worth looking at."""
_DRAWS_TO_BELIEVE = 10
"""Of so many draws without a change one might look as much like one as what is just believed."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Changed:
    """A change of level inside a stretch.

    Attributes
    ----------
    part
        The stretch.
    change
        Where in it; its counting begins with the stretch's first batch.
    last_before, first_after
        The last batch that surely (as the interval has it) lies before the change, and the first that lies after it.
    between
        Batches that may lie on either side.
    before, after
        Up to three batches on each side, nearest last and nearest first, to be looked at.
    gradual
        A straight line through the stretch leaves less scatter than one step does.
    """

    part: Segment
    change: ChangePoint
    last_before: Batch
    first_after: Batch
    between: tuple[Batch, ...]
    before: tuple[Batch, ...]
    after: tuple[Batch, ...]
    gradual: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WhatChanged:
    """One line of batches: its stretches, what each event did, what drifts inside them, where levels changed."""

    batches: tuple[Batch, ...]
    parts: tuple[Segment, ...]
    steps: tuple[EventStep, ...]
    drift: LotDrift
    changes: tuple[Changed, ...]

    @property
    def starts(self) -> tuple[int, ...]:
        """The batches, from 0, that begin a stretch after an event; the very first isn't one."""
        return tuple(part.start for part in self.parts if 0 < part.start < len(self.batches))

    @property
    def check_asked(self) -> Segment | None:
        """The events since the last batch, after which a first basket is to be photographed."""
        return next((step.part for step in self.steps if step.check_asked), None)


def what_changed(
    batches: Sequence[Batch],
    events: Sequence[Event],
    rng: np.random.Generator,
    *,
    relative_variance: FloatArray | None = None,
) -> WhatChanged:
    """What changed over `batches` (n), in the order of time.

    Events of other kitchens and fryers are left out. `relative_variance` (n,): how the variances of the batches' means
    compare, where that is known (a baseline knows); else each batch counts the same.
    """
    values = np.array([batch.mean for batch in batches])
    variance = np.ones(len(batches)) if relative_variance is None else relative_variance
    plates: list[PlateSummary] = [plate for batch in batches for plate in batch.plates]
    parts = segments([batch.at for batch in batches], events_of(plates, events))
    return WhatChanged(
        batches=tuple(batches),
        parts=parts,
        steps=event_steps(values, parts, relative_variance=variance),
        drift=lot_drift(values, parts, relative_variance=variance),
        changes=_changes(batches, parts, variance, rng),
    )


def _changes(
    batches: Sequence[Batch], parts: Sequence[Segment], variance: FloatArray, rng: np.random.Generator
) -> tuple[Changed, ...]:
    """Those that are believed for all that several stretches were looked at (Bonferroni)."""
    values = np.array([batch.mean for batch in batches])
    looked = [part for part in parts if part.batches >= LEAST_VALUES and np.ptp(values[part.start : part.stop]) > 0]
    draws = round(_DRAWS_TO_BELIEVE * len(looked) / BELIEVED)
    found = []
    for part in looked:
        inside = slice(part.start, part.stop)
        change = change_point(values[inside], rng, relative_variance=variance[inside], draws=draws)
        if change.chance * len(looked) < BELIEVED:
            found.append(_told(batches[inside], part, change, variance[inside]))
    return tuple(found)


def _told(batches: Sequence[Batch], part: Segment, change: ChangePoint, variance: FloatArray) -> Changed:
    return Changed(
        part=part,
        change=change,
        last_before=batches[change.first - 1],
        first_after=batches[change.last - 1],
        between=tuple(batches[change.first : change.last - 1]),
        before=tuple(batches[max(change.first - SIDE_BATCHES, 0) : change.first]),
        after=tuple(batches[change.last - 1 : change.last - 1 + SIDE_BATCHES]),
        gradual=_line_fits_better(np.array([batch.mean for batch in batches]), change.after, 1 / variance),
    )


def _line_fits_better(values: FloatArray, after: int, weights: FloatArray) -> bool:
    at = np.arange(len(values), dtype=float)
    root = np.sqrt(weights)
    line = np.polynomial.Polynomial.fit(at, values, 1, w=root)
    steps = np.concatenate(
        [np.full(len(part), np.average(part, weights=w)) for part, w in _both(values, weights, after)]
    )
    return bool((weights * (values - line(at)) ** 2).sum() < (weights * (values - steps) ** 2).sum())


def _both(values: FloatArray, weights: FloatArray, after: int) -> list[tuple[FloatArray, FloatArray]]:
    return [(values[:after], weights[:after]), (values[after:], weights[after:])]
