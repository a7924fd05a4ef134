"""Plates within batches as random effects: how far plates differ, and how far fries of a plate do, balanced or not.

The analysis-of-variance estimator: where all plates hold as many fries, that of restricted maximum likelihood as well
(unless it falls below zero). One factor by sums alone, so that ten thousand fries take no time;
`grader.trueness.components` does any number of crossed factors, by a matrix as long as the readings.
Source: S. R. Searle, G. Casella, C. E. McCulloch, Variance Components (1992), chapter 3 (from memory).
"""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, IntArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Apart:
    """What one-way random effects come to.

    Attributes
    ----------
    between, within
        Variance of the plates' true means about their batch's, never below 0; of fries about their plate's.
    raw_between
        The same as estimated: below 0 where plates differ by less than their fries alone would make them.
    mean_square_between, mean_square_within
        The two mean squares, with their degrees of freedom.
    plate_size
        Fries on a plate, as far as the estimate is concerned.
    plates, batches
        How many it rests on.
    """

    raw_between: float
    within: float
    mean_square_between: float
    mean_square_within: float
    freedom_between: int
    freedom_within: int
    plate_size: float
    plates: int
    batches: int

    @property
    def between(self) -> float:
        """Variance of the plates' true means about their batch's."""
        return max(self.raw_between, 0.0)

    @property
    def correlation(self) -> float:
        """Of two fries of a plate, as estimated: it may come out below 0."""
        total = self.raw_between + self.within
        return self.raw_between / total if total > 0 else 0.0


def one_way(values: FloatArray, plate: IntArray, batch_of_plate: IntArray | None = None) -> Apart | None:
    """Variance components of values (n,), each of a plate (n,), numbered from 0; plates belong to batches (plates,).

    Without `batch_of_plate` all plates are of one batch. None where no batch has two plates, or no plate two values.
    """
    count = np.bincount(plate)
    total = np.bincount(plate, values)
    mean = total / np.maximum(count, 1)
    squares = np.bincount(plate, (values - mean[plate]) ** 2).astype(float)
    batch = np.zeros(len(count), int) if batch_of_plate is None else batch_of_plate[: len(count)]
    return _of_sums(count, mean, squares, batch)


def one_way_of_shares(share: FloatArray, counted: IntArray, batch_of_plate: IntArray | None = None) -> Apart | None:
    """The same for a yes-or-no property, from each plate's share (plates,) of its counted fries (plates,)."""
    batch = np.zeros(len(share), int) if batch_of_plate is None else batch_of_plate
    return _of_sums(counted, share, counted * share * (1 - share), batch)


def _of_sums(count: IntArray, mean: FloatArray, squares: FloatArray, batch: IntArray) -> Apart | None:
    """From each plate's number of values, their mean and their sum of squares about it."""
    there = count > 0
    n, mean, batch = count[there].astype(float), mean[there], np.unique(batch[there], return_inverse=True)[1]
    plates, batches = len(n), int(batch.max(initial=-1)) + 1
    freedom_between, freedom_within = plates - batches, int(n.sum()) - plates
    if freedom_between < 1 or freedom_within < 1:
        return None
    in_batch = np.bincount(batch, n)
    about = mean - (np.bincount(batch, n * mean) / in_batch)[batch]
    plate_size = float((in_batch - np.bincount(batch, n**2) / in_batch).sum()) / freedom_between
    mean_square_between = float(n @ about**2) / freedom_between
    mean_square_within = float(squares[there].sum()) / freedom_within
    return Apart(
        raw_between=(mean_square_between - mean_square_within) / plate_size,
        within=mean_square_within,
        mean_square_between=mean_square_between,
        mean_square_within=mean_square_within,
        freedom_between=freedom_between,
        freedom_within=freedom_within,
        plate_size=plate_size,
        plates=plates,
        batches=batches,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class MeanOfPlates:
    """A mean over all fries of some plates, its variance as these plates alone tell it, and how surely they do."""

    mean: float
    variance: float
    freedom: float


def mean_of_plates(plate_means: FloatArray, counted: IntArray) -> MeanOfPlates | None:
    """The mean of plates' means (plates,), each weighing as its fries (plates,) do; the plate is the unit.

    All that makes plates differ is in the variance: the plates themselves and their fries. For plates of one size it is
    that of their means over their number, with one degree of freedom less than plates; where sizes differ, plates
    count as Kish's effective number of them, but two at least: of however unequal plates, what differs is a square of
    one number at least. None where fewer than two plates hold any fries.
    """
    there = counted > 0
    if there.sum() < 2:
        return None
    weight = counted[there] / counted[there].sum()
    mean = float(weight @ plate_means[there])
    two, three = float((weight**2).sum()), float((weight**3).sum())
    # What the sum below expects is this much less than the variance that it is to tell, because the mean was fitted.
    unbiased = two / (two - 2 * three + two**2)
    return MeanOfPlates(
        mean=mean,
        variance=float(weight**2 @ (plate_means[there] - mean) ** 2) * unbiased,
        freedom=max(1 / two - 1, 1.0),
    )
