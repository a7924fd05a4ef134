"""The mean place of a batch on the colour scale, what its uncertainty is made of, and how surely that is known."""

from dataclasses import dataclass

import numpy as np

from grader.arrays import MaskArray
from grader.decision.doubt import Doubt
from grader.decision.pieces import Pieces
from grader.decision.terms import PlatesApart, Terms
from grader.sampling.one_way import mean_of_plates, one_way


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownVariance:
    """A variance of the mean, steps squared, and its degrees of freedom."""

    value: float
    freedom: float


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownMean:
    """A batch's mean place, steps.

    Attributes
    ----------
    shared
        What the fries of a photo share; it stays however many there are, and is taken as common to all photos of the
        batch: the same card, camera and light. Known for sure, as far as the decision is concerned.
    sampling
        What more plates lessen, part by part.
    plates
        On how many it rests.
    own_plates
        The sampling part was told by these plates alone: more of them also make it better known.
    arithmetic
        How it came about, in numbers.
    """

    mean: float
    shared: float
    sampling: tuple[KnownVariance, ...]
    plates: int
    own_plates: bool
    arithmetic: str

    @property
    def doubt(self) -> Doubt:
        """Of the mean; the degrees of freedom of its sampling part after Welch and Satterthwaite.

        Source: JCGM 100:2008, G.4.1 (from memory).
        """
        sampling = sum(part.value for part in self.sampling)
        scatter = sum(part.value**2 / part.freedom for part in self.sampling)
        freedom = sampling**2 / scatter if scatter > 0 else float("inf")
        return Doubt(known_u=self.shared, estimated_u=float(np.sqrt(sampling)), freedom=freedom)

    def interval(self, coverage: float) -> tuple[float, float]:
        """Where the true mean lies with this probability."""
        reach = self.doubt.reach((1 + coverage) / 2)
        return self.mean - reach, self.mean + reach

    def with_more(self, more: int) -> "KnownMean":
        """The same from so many more plates like these."""
        then = self.plates + more
        surer = (then - 1) / (self.plates - 1) if self.own_plates else 1.0
        return KnownMean(
            mean=self.mean,
            shared=self.shared,
            sampling=tuple(
                KnownVariance(value=part.value * self.plates / then, freedom=part.freedom * surer)
                for part in self.sampling
            ),
            plates=then,
            own_plates=self.own_plates,
            arithmetic="",
        )


def mean_place(pieces: Pieces, counted: MaskArray, terms: Terms) -> KnownMean | None:
    """The mean place of the counted fries (n,); None where there are too few to tell how they scatter.

    For a release plates differ by what the house knows of its plates, together with what these add to it; for a claim
    by what these plates alone show.
    """
    if counted.sum() < 2:
        return None
    shared = float(np.sqrt((pieces.place_shift_by[counted].mean(0) ** 2).sum()))
    return _for_claim(pieces, counted, shared) if terms.claim else _for_release(pieces, counted, shared, terms.apart)


def _for_release(pieces: Pieces, counted: MaskArray, shared: float, apart: PlatesApart) -> KnownMean:
    place, per_plate = pieces.place[counted], pieces.per_plate(counted)
    n, plates = len(place), int((per_plate > 0).sum())
    own = one_way(place, pieces.plate[counted])
    between, within, freedom = apart.colour_steps**2, float(place.var(ddof=1)), n - 1
    freedom_between = apart.freedom
    if own is not None:
        # Each counts as it is known: the house's figure by its degrees of freedom, these plates by theirs.
        freedom_between += own.freedom_between
        between = (apart.freedom * between + own.freedom_between * own.between) / freedom_between
        within, freedom = own.within, own.freedom_within
    of_plates = between * float((per_plate**2).sum()) / n**2
    of_fries = within / n
    return KnownMean(
        mean=float(place.mean()),
        shared=shared,
        sampling=(
            KnownVariance(value=of_plates, freedom=freedom_between),
            KnownVariance(value=of_fries, freedom=freedom),
        ),
        plates=plates,
        own_plates=False,
        arithmetic=(
            f"Mean place {place.mean():.3f}, u {np.sqrt(shared**2 + of_plates + of_fries):.3f} steps: {shared:.3f} "
            f"shared by all fries of a photo, {np.sqrt(of_plates):.3f} of plates ({np.sqrt(between):.3f} between "
            f"plates: {apart.colour_steps:g} {apart.words}, with what these add), {np.sqrt(of_fries):.3f} of fries."
        ),
    )


def _for_claim(pieces: Pieces, counted: MaskArray, shared: float) -> KnownMean | None:
    per_plate = pieces.per_plate(counted)
    sums = np.bincount(pieces.plate[counted], pieces.place[counted], minlength=pieces.plates)
    own = mean_of_plates(sums / np.maximum(per_plate, 1), per_plate)
    if own is None:
        return None
    return KnownMean(
        mean=own.mean,
        shared=shared,
        sampling=(KnownVariance(value=own.variance, freedom=own.freedom),),
        plates=int((per_plate > 0).sum()),
        own_plates=True,
        arithmetic=(
            f"Mean place {own.mean:.3f}, u {np.sqrt(shared**2 + own.variance):.3f} steps: {shared:.3f} shared by all "
            f"fries of a photo, {np.sqrt(own.variance):.3f} of these plates and their fries, with {own.freedom:.1f} "
            f"degrees of freedom."
        ),
    )
