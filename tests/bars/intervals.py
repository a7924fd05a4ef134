"""How often the intervals that the decision states hold the truth, and how wide they are, over batches drawn by chance.

    python -m tests.bars.intervals [LOTS]

prints the table of `calibration/intervals.md`.
"""

import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from scipy.special import ndtri

from grader.decision import USUAL, Question, Terms
from grader.decision.limits import length_question
from grader.decision.means import mean_place
from grader.decision.shares import known_share
from grader.decision.terms import BETWEEN_PLATES_STEPS, WITHIN_PLATE_CORRELATION
from tests.decision.drawn import Drawn, draw

PLATES = (2, 3, 5, 10)
LOTS = 2000
COVERAGE = 0.95
CLAIM = Terms(question=Question.CLAIM)
THRESHOLD_MM = 65.0
"""Between the long fries and the short ones that are drawn."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """How often the truth lay in the interval, beyond it on either side, and how wide it was beside one that knows."""

    covered: float
    too_high: float
    too_low: float
    wider: float


def of_means(drawn: Drawn, terms: Terms, *, lots: int, rng: np.random.Generator) -> Held:
    """Intervals of a batch's mean place."""
    told = []
    for _ in range(lots):
        pieces = draw(drawn, rng)
        known = mean_place(pieces, pieces.whole, terms)
        assert known is not None
        told.append(known.interval(COVERAGE))
    sampling = drawn.between**2 / drawn.plates + (drawn.within**2 + drawn.own_u**2) / (drawn.plates * drawn.fries)
    return _held(np.array(told), drawn.place, float(np.sqrt(drawn.shared**2 + sampling)))


def of_shares(drawn: Drawn, terms: Terms, *, lots: int, rng: np.random.Generator) -> Held:
    """Intervals of a batch's share of long fries."""
    told = []
    for _ in range(lots):
        pieces = draw(drawn, rng)
        known = known_share(length_question(pieces, THRESHOLD_MM, sense="at least", limit=0.5), pieces, terms)
        assert known is not None
        told.append((known.quantile((1 - COVERAGE) / 2), known.quantile((1 + COVERAGE) / 2)))
    share, n = drawn.long_share, drawn.plates * drawn.fries
    variance = share * (1 - share) / n * (1 + (drawn.fries - 1) * drawn.alike)
    return _held(np.array(told), share, float(np.sqrt(variance)))


def _held(told: "np.ndarray[tuple[int, ...], np.dtype[np.float64]]", truth: float, u: float) -> Held:
    low, high = told.T
    return Held(
        covered=float(((low <= truth) & (truth <= high)).mean()),
        too_high=float((low > truth).mean()),
        too_low=float((high < truth).mean()),
        wider=float((high - low).mean() / (2 * ndtri((1 + COVERAGE) / 2) * u)),
    )


def rows(lots: int) -> Iterator[tuple[str, str, int, Held]]:
    """Every row of the table: question, what was drawn, plates, what came out."""
    rng = np.random.default_rng(1)
    colour, share = Drawn(plates=2), Drawn(plates=2, long_share=0.8)
    for terms in (USUAL, CLAIM):
        for factor in (1.0, 0.5, 2.0):
            between = factor * BETWEEN_PLATES_STEPS
            for plates in PLATES:
                held = of_means(replace(colour, plates=plates, between=between), terms, lots=lots, rng=rng)
                yield terms.question, f"mean place, {between:g} steps between plates", plates, held
        for long_share, alike in ((0.95, 1), (0.8, 1), (0.5, 1), (0.8, 0), (0.8, 5)):
            correlation = alike * WITHIN_PLATE_CORRELATION
            for plates in PLATES:
                drawn = replace(share, plates=plates, long_share=long_share, alike=correlation)
                held = of_shares(drawn, terms, lots=lots, rng=rng)
                yield terms.question, f"share {long_share:g}, correlation {correlation:g}", plates, held


if __name__ == "__main__":
    print("| question | drawn | plates | held | beyond | below | width |\n| --- | --- | --- | --- | --- | --- | --- |")
    for question, what, plates, held in rows(int(sys.argv[1]) if len(sys.argv) > 1 else LOTS):
        rates = " | ".join(f"{100 * one:.1f} %" for one in (held.covered, held.too_high, held.too_low))
        print(f"| {question} | {what} | {plates} | {rates} | {held.wider:.2f} |", flush=True)
