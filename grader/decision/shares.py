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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Counted:
    """The m fries that a question counts.

    Attributes
    ----------
    per_plate, plate
        (plates,) how many lay on each plate; (m,) which each lay on.
    part
        (m,) what each adds to the share; they sum to 1.
    weights, chances
        (s,) of the scenarios; (s, m) the fries' probabilities in each.
    masses
        Where it is a share of mass.
    """

    per_plate: NDArray[np.int_]
    plate: NDArray[np.int_]
    part: FloatArray
    weights: FloatArray
    chances: FloatArray
    masses: Masses | None

    @property
    def even(self) -> float:
        """What unequal masses leave of what as many equal fries would tell."""
        return 1.0 if self.masses is None else evenness(self.masses.value, self.masses.own_u)

    @property
    def means(self) -> FloatArray:
        """(s,) the share in each scenario."""
        return self.chances @ self.part

    @property
    def measured(self) -> float:
        """The expected share."""
        return float(self.weights @ self.means)


def _count(question: ShareQuestion, pieces: Pieces) -> _Counted:
    counted = question.counted
    plate = (pieces.plate if question.plate is None else question.plate)[counted]
    masses = None if question.masses is None else question.masses.of(counted)
    part = np.ones(len(plate)) if masses is None else masses.value
    return _Counted(
        per_plate=np.bincount(plate, minlength=pieces.plates),
        plate=plate,
        part=part / part.sum() if len(part) else part,
        weights=np.array([weight for weight, _ in question.scenarios]),
        chances=np.array([chances for _, chances in question.scenarios])[:, counted],
        masses=masses,
    )


def judge_share(question: ShareQuestion, pieces: Pieces, terms: Terms = USUAL) -> LimitDecision:
    """One limit on a share, judged."""
    seen = _count(question, pieces)
    figures = _figures(question, seen, terms) if len(seen.plate) else None
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
    counts = Counts(
        counted=len(seen.plate),
        left_out=len(question.counted) - len(seen.plate),
        plates=int((seen.per_plate > 0).sum()),
    )
    return decide(limit, figures, wording, counts, terms)


def expected_share(question: ShareQuestion, pieces: Pieces) -> float:
    """The share as measured; nan where nothing can be counted."""
    return _count(question, pieces).measured if question.counted.any() else float("nan")


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
    seen = _count(question, pieces)
    effective = _effective(seen, terms, more=0)
    return None if effective is None else _belief(seen, effective)


def _belief(seen: _Counted, effective: float) -> ShareBelief:
    scenarios = list(zip(seen.weights.tolist(), seen.chances, strict=True))
    return share_belief(scenarios, effective, None if seen.masses is None else seen.masses.value)


def _effective(seen: _Counted, terms: Terms, *, more: int) -> float | None:
    """How many fries drawn one by one tell as much as the counted ones, with so many more plates like these."""
    plates = int((seen.per_plate > 0).sum())
    if not terms.claim:
        return seen.even * effective_number(seen.per_plate, terms.apart.correlation) * (plates + more) / plates
    chance = seen.weights @ seen.chances
    there = np.bincount(seen.plate, seen.part, minlength=len(seen.per_plate))
    share = np.bincount(seen.plate, seen.part * chance, minlength=len(seen.per_plate)) / np.where(there > 0, there, 1.0)
    return effective_of_own_plates(
        share * seen.per_plate, seen.per_plate, level=terms.levels.fail_to, more=more, even=seen.even
    )


def _figures(question: ShareQuestion, seen: _Counted, terms: Terms) -> Figures:
    levels, measured, effective = terms.levels, seen.measured, _effective(seen, terms, more=0)
    if effective is None:
        return without_doubt_known(measured)
    belief = _belief(seen, effective)
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
        more_plates=_more_plates(question, seen, terms),
        arithmetic=(
            f"{_expected_words(seen, measured)} They tell as much as {effective:.1f} "
            f"fries drawn one by one ({alike}). Jeffreys' posterior "
            f"over the counts that are possible: mean {belief.mean:.4f}, u {belief.sd:.4f}, one-sided bounds "
            f"{bounds[0]:.4f} ({levels.fail_to:.3g}) and {bounds[1]:.4f} ({levels.pass_from:.3g}). "
            f"P(share {question.sense} {question.limit:g}) = {probability:.4f}; {words.rule(terms)}. "
            f"Guard band {guard:.4f}."
        ),
    )


def _expected_words(seen: _Counted, measured: float) -> str:
    n, masses = len(seen.plate), seen.masses
    if masses is None:
        return f"Expected count {measured * n:.1f} of {n}: share {measured:.4f}."
    mass = float(masses.value.sum())
    return (
        f"Estimated mass {measured * mass:.1f} of {mass:.1f} g: share {measured:.4f}. What all masses are off by alike "
        f"(density, thickness of the cut) cancels in it; that they differ, and what each is off on its own, leaves "
        f"{seen.even:.0%} of what as many equal fries would tell."
    )


def _meets(question: ShareQuestion, below: FloatArray | float) -> FloatArray | float:
    """Probability that the limit is met, from that of the share being below it."""
    return below if question.sense == "at most" else 1 - below


def _more_plates(question: ShareQuestion, seen: _Counted, terms: Terms) -> int | None:
    """How many more plates, with as many fries and the same shares, would settle it; an error that all share stays."""
    more = range(1, MORE_PLATES_AT_MOST + 1)
    told = [_effective(seen, terms, more=plates) for plates in more]
    effective = np.array([np.nan if one is None else one for one in told])[:, None]
    hits = seen.means * effective
    below = betainc(hits + JEFFREYS, effective - hits + JEFFREYS, question.limit) @ seen.weights
    meets = np.asarray(_meets(question, below))
    settled = np.flatnonzero((meets >= terms.levels.pass_from) | (meets <= terms.levels.fail_to))
    return int(more[settled[0]]) if len(settled) else None
