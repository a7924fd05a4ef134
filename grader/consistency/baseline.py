"""The baseline: a stretch of time that is chosen once, what batches then came to, and how surely that is known.

Three sources of scatter are kept apart, because limits of batch means that forget the first are too tight: batches
differ (oil, load, hand), plates of a batch differ, and fries of a plate, which is in what plates differ by. The unit is
never the fry. An analysis of variance in one way gives both parts; a batch of n plates scatters by

    between + within / n,    estimated as    MSB / n0 + MSW (1 / n - 1 / n0),

which for batches of equal size is the plain variance of their means. It is never taken to be below MSW / n: a batch is
no surer than its plates alone would make it. Degrees of freedom: Satterthwaite, Biometrics Bulletin 2 (1946) 110-114.

A frozen baseline's own doubt is in every limit drawn from it: the factor is Student's t in place of the normal
one, and the doubt of the level is added to the scatter, so that limits from ten batches are wider than limits
from a hundred and false alarms stay as rare on average. Source: F. S. Hillier, "X-bar- and R-chart control limits
based on a small number of subgroups", Journal of Quality Technology 1 (1969) 17-26 (from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np
from scipy.special import ndtr, stdtrit

from grader.arrays import FloatArray, IntArray
from grader.consistency.batches import Batch, Measure, batches_of
from grader.consistency.constants import c4
from grader.consistency.model import Event, PlateSummary
from grader.consistency.segments import events_of, segments
from grader.errors import GraderError
from grader.sampling.one_way import one_way

LEAST_BATCHES = 5
"""Fewer don't make a baseline: limits would be drawn so wide that no kitchen could leave them."""
ENOUGH_BATCHES = 25
"""From so many on limits are hardly wider than they will ever be (20 to 25 subgroups: ISO 7870-2, from memory)."""
_NOTHING = 1e-12


class BaselineTooShortError(GraderError, ValueError):
    """There are too few batches to say what is usual."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scatter:
    """By how much a batch's mean scatters (variance), and the degrees of freedom with which that is known."""

    variance: float
    freedom: float

    @property
    def sd(self) -> float:
        """Standard deviation."""
        return float(np.sqrt(self.variance))

    def reach(self, sigmas: float, level_u: float) -> float:
        """How far from a level, itself so doubtful, a new batch's mean may lie: as rarely farther as at `sigmas`."""
        student = float(stdtrit(self.freedom, float(ndtr(sigmas))))
        return student * float(np.hypot(self.sd, level_u))


@dataclass(frozen=True, slots=True, kw_only=True)
class Baseline:
    """What is usual, frozen: batches taken after it never change it.

    Attributes
    ----------
    measure, standard_sha256
        What of a plate it is about, by which standard.
    from_at, to_at
        The period (UTC, both included) whose plates it rests on.
    level, level_u
        Mean of the batches' means (since the last event in the period), and its standard uncertainty.
    mean_square_batches, mean_square_plates
        Of the analysis of variance, with their degrees of freedom; the second is nothing where no batch had two plates.
    plates_a_batch
        n0 of that analysis.
    plates_sd
        Standard deviation between plates of a batch, as textbooks have it (mean of sd / c4); None where all batches had
        a single one.
    batches, plates
        How many it rests on.
    """

    measure: Measure
    standard_sha256: str
    from_at: datetime
    to_at: datetime
    level: float
    level_u: float
    mean_square_batches: float
    freedom_batches: int
    mean_square_plates: float
    freedom_plates: int
    plates_a_batch: float
    plates_sd: float | None
    batches: int
    plates: int

    def scatter(self, n: int) -> Scatter:
        """Of the mean of a batch of n plates."""
        alone = self.mean_square_plates / n
        of_batches = self.mean_square_batches / self.plates_a_batch
        rest = 1 / n - 1 / self.plates_a_batch
        both = of_batches + self.mean_square_plates * rest
        if self.freedom_plates and alone >= both:
            return Scatter(variance=max(alone, _NOTHING), freedom=self.freedom_plates)
        doubt = of_batches**2 / self.freedom_batches
        if self.freedom_plates:
            doubt += (self.mean_square_plates * rest) ** 2 / self.freedom_plates
        # What is taken off makes the sum less certain, but never less than the part that is known least. Where nothing
        # scattered at all, nothing is to be weighed.
        least = min(self.freedom_batches, self.freedom_plates or self.freedom_batches)
        return Scatter(variance=max(both, _NOTHING), freedom=max(both**2 / doubt, least) if doubt > 0 else least)

    @property
    def caution(self) -> str:
        """What to say of a baseline that rests on little; empty where it rests on enough."""
        if self.batches >= ENOUGH_BATCHES:
            return ""
        usual = max(round(self.plates_a_batch), 1)
        scatter = self.scatter(usual)
        wider = scatter.reach(3.0, self.level_u) / (3.0 * max(scatter.sd, _NOTHING))
        return (
            f"It rests on {self.batches} batches ({self.plates} plates), fewer than {ENOUGH_BATCHES}: its limits are "
            f"{wider:.2f} times as wide as if what is usual were known. Choose a longer one when there is."
        )


def freeze(
    plates: Sequence[PlateSummary],
    measure: Measure,
    *,
    from_at: datetime,
    to_at: datetime,
    events: Sequence[Event] = (),
) -> Baseline:
    """The baseline of all batches whose first plate was taken in a period, both ends included.

    Events in it may have shifted the level: scatter is then that within the segments between them, and the level is
    that of the last segment.

    Raises
    ------
    BaselineTooShortError
        There are fewer than five batches in it.
    NotOneChartError
        Plates are of more than one standard or stage.
    """
    chosen = [batch for batch in batches_of(plates, measure) if from_at <= batch.at <= to_at]
    if len(chosen) < LEAST_BATCHES:
        raise BaselineTooShortError(
            f"Batches of that period: {len(chosen)}.",
            hint=f"Choose a period with {LEAST_BATCHES} at least; from {ENOUGH_BATCHES} on limits are tight.",
        )
    parts = segments([batch.at for batch in chosen], events_of(plates, events))
    segment = np.repeat(np.arange(len(parts)), [part.batches for part in parts])
    if len(chosen) - len(set(segment)) < LEAST_BATCHES - 1:
        raise BaselineTooShortError(
            f"{len(chosen)} batches in {len(set(segment))} segments between events don't tell how far batches scatter.",
            hint=f"Choose a longer period: {LEAST_BATCHES - 1} batches more than segments at least.",
        )
    return _baseline(chosen, segment, measure, (from_at, to_at))


def _baseline(
    chosen: Sequence[Batch], segment: IntArray, measure: Measure, period: tuple[datetime, datetime]
) -> Baseline:
    n = np.array([batch.n for batch in chosen])
    means = np.array([batch.mean for batch in chosen])
    readings = np.concatenate([batch.values for batch in chosen])
    apart = one_way(readings, np.repeat(np.arange(len(chosen)), n), segment)
    draft = Baseline(
        measure=measure,
        standard_sha256=chosen[0].plates[0].standard_sha256,
        from_at=period[0],
        to_at=period[1],
        level=float(means.mean()),
        level_u=0.0,
        mean_square_batches=apart.mean_square_between if apart else _within_segments(means, segment),
        freedom_batches=len(chosen) - len(set(segment)),
        mean_square_plates=apart.mean_square_within if apart else 0.0,
        freedom_plates=apart.freedom_within if apart else 0,
        plates_a_batch=apart.plate_size if apart else 1.0,
        plates_sd=_plates_sd(chosen),
        batches=len(chosen),
        plates=int(n.sum()),
    )
    # A batch of more plates is surer, so it weighs more.
    weight = np.array([1 / draft.scatter(int(size)).variance for size in n]) * (segment == segment[-1])
    return replace(draft, level=float(weight @ means / weight.sum()), level_u=float(1 / np.sqrt(weight.sum())))


def _within_segments(means: FloatArray, segment: IntArray) -> float:
    """Variance of single plates about the mean of their segment."""
    of_segment = np.bincount(segment, means) / np.maximum(np.bincount(segment), 1)
    return float(((means - of_segment[segment]) ** 2).sum() / (len(means) - len(set(segment))))


def _plates_sd(chosen: Sequence[Batch]) -> float | None:
    """Between plates of a batch as textbooks have it: the mean of the batches' own, each over its c4."""
    own = [batch.sd / c4(batch.n) for batch in chosen if batch.sd is not None]
    return float(np.mean(own)) if own else None
