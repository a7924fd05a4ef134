"""How far plates of a batch differ, from the plates that the house judged before."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray
from grader.decision.terms import HOUSE_DEFAULT, PLATES_OF_ITS_OWN, PlatesApart
from grader.sampling.one_way import one_way, one_way_of_shares


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PastPlate:
    """A plate of an earlier batch: its fries' places on the scale (n,), and its share of each limit that counts fries.

    A share is (share, fries counted), by the limit's key.
    """

    batch: str
    places: FloatArray
    shares: Mapping[str, tuple[float, int]]


def plates_apart(past: Sequence[PastPlate]) -> PlatesApart:
    """What plates of a batch differ by, from past ones; the house default before there are 20 that tell it.

    A plate that was its batch's only one tells nothing. All batches are taken to differ alike within, by the analysis
    of variance over all of them, each about its own mean. The correlation is one figure over all limits on shares, each
    weighing as it scatters: of one limit alone so few plates tell next to nothing.
    """
    plates_of = Counter(plate.batch for plate in past)
    several = [plate for plate in past if plates_of[plate.batch] > 1]
    if len(several) < PLATES_OF_ITS_OWN:
        return HOUSE_DEFAULT
    batch = np.unique([plate.batch for plate in several], return_inverse=True)[1]
    of_fry = np.repeat(np.arange(len(several)), [len(plate.places) for plate in several])
    colour = one_way(np.concatenate([plate.places for plate in several]), of_fry, batch)
    if colour is None:
        return HOUSE_DEFAULT
    return PlatesApart(
        colour_steps=float(np.sqrt(colour.between)),
        correlation=_correlation(several, batch),
        freedom=float(colour.freedom_between),
        plates=len(several),
    )


def _correlation(plates: Sequence[PastPlate], batch: "np.ndarray[tuple[int, ...], np.dtype[np.int64]]") -> float:
    between = total = 0.0
    for key in dict.fromkeys(key for plate in plates for key in plate.shares):
        told = [plate.shares.get(key, (0.0, 0)) for plate in plates]
        apart = one_way_of_shares(np.array([share for share, _ in told]), np.array([n for _, n in told]), batch)
        if apart is not None:
            between += apart.raw_between
            total += apart.raw_between + apart.within
    return max(between / total, 0.0) if total > 0 else HOUSE_DEFAULT.correlation
