"""Judges a limit on a share of fries."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import betainc

from grader.arrays import FloatArray, MaskArray
from grader.decision import words
from grader.decision.assemble import MORE_PLATES_AT_MOST, Figures, Limit, Wording, decide
from grader.decision.counting import JEFFREYS, WITHIN_PLATE_CORRELATION, effective_number, share_belief
from grader.decision.model import About, LimitDecision
from grader.decision.pieces import Pieces
from grader.decision.rule import FAIL_TO, PASS_FROM


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ShareQuestion:
    """One limit on a share.

    Attributes
    ----------
    things
        What is counted, in the plural: "short pieces".
    sense, limit
        "at least" or "at most" this share, 0 to 1.
    counted
        (n,) which fries of the batch can be counted.
    scenarios
        Weights, and probabilities of each fry to be one of those things, as `share_belief` takes them, but for all (n,)
        fries of the batch, counted or not.
    uncounted, stuck
        What to do where too few can be counted, and where more plates won't settle it.
    """

    key: str
    about: About
    title: str
    things: str
    sense: Literal["at least", "at most"]
    limit: float
    counted: MaskArray
    scenarios: Sequence[tuple[float, FloatArray]]
    uncounted: str
    stuck: str = words.TOO_NEAR


def judge_share(question: ShareQuestion, pieces: Pieces) -> LimitDecision:
    """One limit on a share, judged."""
    counted = int(question.counted.sum())
    figures = _figures(question, pieces.per_plate(question.counted)) if counted else None
    at_least = question.sense == "at least"
    limit = Limit(
        key=question.key,
        about=question.about,
        title=question.title,
        unit="share",
        lower=question.limit if at_least else None,
        upper=None if at_least else question.limit,
    )
    wording = _wording(question, figures.measured if figures else float("nan"), at_least=at_least)
    return decide(limit, figures, wording, counted=counted, left_out=len(question.counted) - counted)


def _wording(question: ShareQuestion, measured: float, *, at_least: bool) -> Wording:
    asked = "asked for" if at_least else "allowed"
    return Wording(
        passed=f"{'enough' if at_least else 'few enough'} {question.things}",
        failed=f"{'too few' if at_least else 'too many'} {question.things}",
        subject=question.things,
        doubt=f"whether there are {'enough' if at_least else 'too many'} {question.things}",
        figures=f"{words.percent(measured)} of the fries, {question.sense} {words.percent(question.limit)} {asked}.",
        stuck=question.stuck,
        uncounted=question.uncounted,
    )


def _figures(question: ShareQuestion, per_plate: NDArray[np.int_]) -> Figures:
    scenarios = [(weight, p[question.counted]) for weight, p in question.scenarios]
    weights = np.array([weight for weight, _ in scenarios])
    means = np.array([p.mean() for _, p in scenarios])
    belief = share_belief(scenarios, per_plate)
    measured = float(weights @ means)
    bounds = belief.quantile(FAIL_TO), belief.quantile(PASS_FROM)
    probability = _meets(question, belief.below(question.limit))
    guard = abs(bounds[measured < question.limit] - measured)
    n, effective = int(per_plate.sum()), effective_number(per_plate)
    return Figures(
        measured=measured,
        u=belief.sd,
        probability=float(probability),
        guard=guard,
        more_plates=_more_plates(question, weights, means, per_plate),
        arithmetic=(
            f"Expected count {measured * n:.1f} of {n}: share {measured:.4f}. They tell as much as {effective:.1f} "
            f"fries drawn one by one (correlation {WITHIN_PLATE_CORRELATION:g} within a plate). Jeffreys' posterior "
            f"over the counts that are possible: mean {belief.mean:.4f}, u {belief.sd:.4f}, one-sided bounds "
            f"{bounds[0]:.4f} ({FAIL_TO:.0%}) and {bounds[1]:.4f} ({PASS_FROM:.0%}). P(share {question.sense} "
            f"{question.limit:g}) = {probability:.4f}; pass from {PASS_FROM:g}, fail to {FAIL_TO:.2g}. "
            f"Guard band {guard:.4f}."
        ),
    )


def _meets(question: ShareQuestion, below: FloatArray | float) -> FloatArray | float:
    """Probability that the limit is met, from that of the share being below it."""
    return below if question.sense == "at most" else 1 - below


def _more_plates(
    question: ShareQuestion, weights: FloatArray, means: FloatArray, per_plate: NDArray[np.int_]
) -> int | None:
    """How many more plates, with as many fries and the same shares, would settle it; an error that all share stays."""
    plates = int((per_plate > 0).sum())
    more = np.arange(1, MORE_PLATES_AT_MOST + 1)
    effective = effective_number(per_plate) * (plates + more[:, None]) / plates
    hits = means * effective
    below = betainc(hits + JEFFREYS, effective - hits + JEFFREYS, question.limit) @ weights
    meets = np.asarray(_meets(question, below))
    settled = np.flatnonzero((meets >= PASS_FROM) | (meets <= FAIL_TO))
    return int(more[settled[0]]) if len(settled) else None
