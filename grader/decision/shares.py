"""Judges a limit on a share of fries."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import betainc

from grader.arrays import FloatArray, MaskArray
from grader.decision import words
from grader.decision.assemble import INTERVAL, MORE_PLATES_AT_MOST, Figures, Limit, Wording, decide, without_doubt_known
from grader.decision.counting import (
    JEFFREYS,
    ShareBelief,
    effective_number,
    effective_of_own_plates,
    evenness,
    share_belief,
)
from grader.decision.model import About, LimitDecision
from grader.decision.pieces import Counts, Pieces
from grader.decision.terms import USUAL, Terms


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Masses:
    """Estimated masses (n,) of a batch's fries, in one unit, and what each is off on its own (n,), relative.

    A share of mass knows nothing of the unit: a density or a thickness that is wrong for all fries alike cancels.
    """

    value: FloatArray
    own_u: FloatArray

    def of(self, counted: MaskArray) -> "Masses":
        """Those of the counted fries only."""
        return Masses(value=self.value[counted], own_u=self.own_u[counted])


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
    whole
        What it is a share of, in words.
    masses
        Where it is a share of mass; None where each fry counts one.
    plate
        (n,) which plate each lay on, where others than the batch's fries are counted; None where those are.
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
    whole: str = "of the fries"
    masses: Masses | None = None
    plate: NDArray[np.int_] | None = None

    @property
    def counted_masses(self) -> Masses | None:
        """Of the counted fries; None where each counts one."""
        return None if self.masses is None else self.masses.of(self.counted)


def judge_share(question: ShareQuestion, pieces: Pieces, terms: Terms = USUAL) -> LimitDecision:
    """One limit on a share, judged."""
    figures = _figures(question, pieces, terms)
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
    return decide(limit, figures, wording, _counts(question, pieces), terms)


def _counts(question: ShareQuestion, pieces: Pieces) -> Counts:
    counted = int(question.counted.sum())
    plates = int(np.count_nonzero(_per_plate(question, pieces)))
    return Counts(counted=counted, left_out=len(question.counted) - counted, plates=plates)


def _plate_of(question: ShareQuestion, pieces: Pieces) -> NDArray[np.int_]:
    """Which plate each of the counted lay on."""
    return (pieces.plate if question.plate is None else question.plate)[question.counted]


def _per_plate(question: ShareQuestion, pieces: Pieces) -> NDArray[np.int_]:
    """(plates,) how many of the counted lay on each."""
    return np.bincount(_plate_of(question, pieces), minlength=pieces.plates)


def _weigh(question: ShareQuestion) -> FloatArray:
    """What each of the counted adds to the share; they sum to 1."""
    masses = (
        np.ones(int(question.counted.sum())) if question.masses is None else question.masses.value[question.counted]
    )
    return np.asarray(masses / masses.sum())


def expected_share(question: ShareQuestion) -> float:
    """The share as measured; nan where nothing can be counted."""
    if not question.counted.any():
        return float("nan")
    weights, chances = _weights_and_chances(question)
    return float(weights @ chances @ _weigh(question))


def _wording(question: ShareQuestion, measured: float, *, at_least: bool) -> Wording:
    asked = "asked for" if at_least else "allowed"
    limit = f"{question.sense} {words.percent(question.limit)} {asked}"
    return Wording(
        passed=f"{'enough' if at_least else 'few enough'} {question.things}",
        failed=f"{'too few' if at_least else 'too many'} {question.things}",
        subject=question.things,
        doubt=f"whether there are {'enough' if at_least else 'too many'} {question.things}",
        figures=f"{words.percent(measured)} {question.whole}, {limit}.",
        stuck=question.stuck,
        uncounted=question.uncounted,
    )


def known_share(question: ShareQuestion, pieces: Pieces, terms: Terms) -> ShareBelief | None:
    """What is known of the batch's share; None where nothing tells how surely: no fries, or a claim on one plate."""
    if not question.counted.any():
        return None
    effective = _effective(question, pieces, terms, more=0)
    masses = question.counted_masses
    value = None if masses is None else masses.value
    return None if effective is None else share_belief(_counted_scenarios(question), effective, value)


def _counted_scenarios(question: ShareQuestion) -> list[tuple[float, FloatArray]]:
    return [(weight, p[question.counted]) for weight, p in question.scenarios]


def _effective(question: ShareQuestion, pieces: Pieces, terms: Terms, *, more: int) -> float | None:
    """How many fries drawn one by one tell as much as the counted ones, with so many more plates like these."""
    per_plate = _per_plate(question, pieces)
    plates = np.count_nonzero(per_plate)
    masses = question.counted_masses
    even = 1.0 if masses is None else evenness(masses.value, masses.own_u)
    if not terms.claim:
        return even * effective_number(per_plate, terms.apart.correlation) * (plates + more) / plates
    chance = np.einsum("s,sn->n", *_weights_and_chances(question))
    weigh, plate = _weigh(question), _plate_of(question, pieces)
    there = np.bincount(plate, weigh, minlength=pieces.plates)
    hits = np.bincount(plate, weigh * chance, minlength=pieces.plates) * per_plate / np.where(there > 0, there, 1.0)
    effective = effective_of_own_plates(hits, per_plate, level=terms.levels.fail_to, more=more)
    return None if effective is None else even * effective


def _weights_and_chances(question: ShareQuestion) -> tuple[FloatArray, FloatArray]:
    weights, chances = zip(*_counted_scenarios(question), strict=True)
    return np.array(weights), np.array(chances)


def _figures(question: ShareQuestion, pieces: Pieces, terms: Terms) -> Figures | None:
    if not question.counted.any():
        return None
    levels, measured = terms.levels, expected_share(question)
    belief, effective = known_share(question, pieces, terms), _effective(question, pieces, terms, more=0)
    if belief is None or effective is None:
        return without_doubt_known(measured)
    bounds = belief.quantile(levels.fail_to), belief.quantile(levels.pass_from)
    probability = _meets(question, belief.below(question.limit))
    guard = abs(bounds[measured < question.limit] - measured)
    alike = (
        "as these plates themselves differ (Korn and Graubard)"
        if terms.claim
        else f"correlation {terms.apart.correlation:.3g} within a plate, {terms.apart.words}"
    )
    return Figures(
        measured=measured,
        u=belief.sd,
        low=min(belief.quantile((1 - INTERVAL) / 2), measured),  # where none was seen, or all, none or all may be
        high=max(belief.quantile((1 + INTERVAL) / 2), measured),
        probability=float(probability),
        guard=guard,
        more_plates=_more_plates(question, pieces, terms),
        arithmetic=(
            f"{_expected_words(question, measured)} They tell as much as {effective:.1f} "
            f"fries drawn one by one ({alike}). Jeffreys' posterior "
            f"over the counts that are possible: mean {belief.mean:.4f}, u {belief.sd:.4f}, one-sided bounds "
            f"{bounds[0]:.4f} ({levels.fail_to:.3g}) and {bounds[1]:.4f} ({levels.pass_from:.3g}). "
            f"P(share {question.sense} {question.limit:g}) = {probability:.4f}; {words.rule(terms)}. "
            f"Guard band {guard:.4f}."
        ),
    )


def _expected_words(question: ShareQuestion, measured: float) -> str:
    n, masses = int(question.counted.sum()), question.counted_masses
    if masses is None:
        return f"Expected count {measured * n:.1f} of {n}: share {measured:.4f}."
    mass = float(masses.value.sum())
    return (
        f"Estimated mass {measured * mass:.1f} of {mass:.1f} g: share {measured:.4f}. What all masses are off by alike "
        f"(density, thickness of the cut) cancels in it; that they differ, and what each is off on its own, leaves "
        f"{evenness(masses.value, masses.own_u):.0%} of what as many equal fries would tell."
    )


def _meets(question: ShareQuestion, below: FloatArray | float) -> FloatArray | float:
    """Probability that the limit is met, from that of the share being below it."""
    return below if question.sense == "at most" else 1 - below


def _more_plates(question: ShareQuestion, pieces: Pieces, terms: Terms) -> int | None:
    """How many more plates, with as many fries and the same shares, would settle it; an error that all share stays."""
    more = range(1, MORE_PLATES_AT_MOST + 1)
    told = [_effective(question, pieces, terms, more=plates) for plates in more]
    effective = np.array([np.nan if one is None else one for one in told])[:, None]
    weights, chances = _weights_and_chances(question)
    hits = chances @ _weigh(question) * effective
    below = betainc(hits + JEFFREYS, effective - hits + JEFFREYS, question.limit) @ weights
    meets = np.asarray(_meets(question, below))
    settled = np.flatnonzero((meets >= terms.levels.pass_from) | (meets <= terms.levels.fail_to))
    return int(more[settled[0]]) if len(settled) else None
