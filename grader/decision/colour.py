"""Judges the limits on colour that are no shares: the batch's mean place on the scale, and how far its fries spread."""

import numpy as np
from scipy.special import ndtr
from scipy.stats import chi2

from grader.arrays import MaskArray
from grader.decision import words
from grader.decision.assemble import MORE_PLATES_AT_MOST, Figures, Limit, Wording, decide
from grader.decision.counting import effective_number
from grader.decision.model import LimitDecision, Outcome
from grader.decision.pieces import Pieces
from grader.decision.rule import COVERAGE, FAIL_TO, PASS_FROM, conformity, outcome_of
from grader.standard.model import ColourScale, Standard

BETWEEN_PLATES_STEPS = 0.15
"""Standard deviation of plates of one batch about its mean colour, steps: house default before 20 plates of its own
(common practice, no source). Two or three plates are too few to tell it from them."""


def on_scale(pieces: Pieces, standard: Standard) -> MaskArray:
    """(n,) the fries with a colour that is like some step of the scale; the rest may be no fries at all."""
    return ~np.isnan(pieces.place) & (pieces.off_scale_de <= standard.scale.off_scale_de)


def judge_mean_colour(pieces: Pieces, standard: Standard) -> LimitDecision:
    """The batch's mean place against the target range.

    The uncertainty holds: what the fries of a photo share, which stays however many there are (and is taken as common
    to all photos of the batch: the same card, camera and light); plates about the batch's mean; fries about theirs.
    """
    counted = on_scale(pieces, standard)
    scale = standard.scale
    figures = _mean_figures(pieces, counted, scale) if counted.sum() > 1 else None
    place = figures.measured if figures else float("nan")
    dark = place > (scale.target_from + scale.target_to) / 2
    wording = Wording(
        passed="right colour",
        failed="too dark" if dark else "too pale",
        subject="the colour",
        doubt=f"whether it is too {'dark' if dark else 'pale'}",
        figures=_colour_sentence(scale, place) if figures else "",
        stuck=words.BETTER_LIGHT,
        uncounted=words.SHOW_FLESH,
    )
    limit = Limit(
        key="colour",
        about="colour",
        title="Mean colour on the house scale",
        unit="steps",
        lower=scale.target_from,
        upper=scale.target_to,
    )
    return decide(limit, figures, wording, counted=int(counted.sum()), left_out=int((~counted).sum()))


def _colour_sentence(scale: ColourScale, place: float) -> str:
    where = words.whereabouts(scale, place)
    return f"{place:.1f} on the house scale ({where}), the target is {scale.target_from:g} to {scale.target_to:g}."


def _mean_figures(pieces: Pieces, counted: MaskArray, scale: ColourScale) -> Figures:
    place, per_plate = pieces.place[counted], pieces.per_plate(counted)
    n = len(place)
    shared = float(np.sqrt((pieces.place_shift_by[counted].mean(0) ** 2).sum()))
    plates = float(BETWEEN_PLATES_STEPS * np.sqrt((per_plate**2).sum()) / n)
    fries = float(place.std(ddof=1) / np.sqrt(n))
    measured = float(place.mean())

    def at(more: int) -> tuple[float, float]:
        """Standard uncertainty and probability with so many more plates like these."""
        share = np.count_nonzero(per_plate) / (np.count_nonzero(per_plate) + more)
        u = float(np.sqrt(shared**2 + (plates**2 + fries**2) * share))
        return u, conformity(measured, u, lower=scale.target_from, upper=scale.target_to)

    u, probability = at(0)
    numbers = range(1, MORE_PLATES_AT_MOST + 1)
    return Figures(
        measured=measured,
        u=u,
        probability=probability,
        guard=COVERAGE * u,
        more_plates=next((more for more in numbers if outcome_of(at(more)[1]) is not Outcome.UNDECIDED), None),
        arithmetic=(
            f"Mean place {measured:.3f}, u {u:.3f} steps: {shared:.3f} shared by all fries of a photo, {plates:.3f} of "
            f"plates ({BETWEEN_PLATES_STEPS:g} between plates), {fries:.3f} of fries. P({scale.target_from:g} <= place "
            f"<= {scale.target_to:g}) = {probability:.4f}, normal; pass from {PASS_FROM:g}, fail to {FAIL_TO:.2g}. "
            f"Guard band {COVERAGE:.3f} u = {COVERAGE * u:.3f}."
        ),
    )


def judge_spread(pieces: Pieces, standard: Standard) -> LimitDecision:
    """The standard deviation of the fries' places, their own measurement noise taken off, against its limit."""
    counted = on_scale(pieces, standard)
    most = standard.limits.spread_steps_at_most
    figures = _spread_figures(pieces, counted, most) if counted.sum() > 1 else None
    spread = figures.measured if figures else float("nan")
    wording = Wording(
        passed="even colour",
        failed="uneven in colour",
        subject="how even the colour is",
        doubt="whether the colour is even enough",
        figures=f"the fries spread by {spread:.2f} steps about their mean, at most {most:g} allowed.",
        stuck=words.TOO_NEAR,
        uncounted=words.SHOW_FLESH,
    )
    limit = Limit(key="spread", about="colour", title="Evenness of colour", unit="steps", lower=None, upper=most)
    return decide(limit, figures, wording, counted=int(counted.sum()), left_out=int((~counted).sum()))


def _spread_figures(pieces: Pieces, counted: MaskArray, most: float) -> Figures:
    """The variance as measured is true variance plus noise, and scatters as chi square over its degrees of freedom."""
    place, per_plate = pieces.place[counted], pieces.per_plate(counted)
    total, noise = float(place.var(ddof=1)), float((pieces.place_own_u[counted] ** 2).mean())
    plates, effective = np.count_nonzero(per_plate), effective_number(per_plate)
    freedom = effective * (plates + np.arange(MORE_PLATES_AT_MOST + 1)) / plates - 1
    meets = np.asarray(chi2.sf(freedom * total / (most**2 + noise), freedom))
    settled = np.flatnonzero((meets >= PASS_FROM) | (meets <= FAIL_TO))
    measured = float(np.sqrt(max(total - noise, 0)))

    def true_spread(quantile: float) -> float:
        """The true spread that what was measured would be at this quantile of."""
        ratio = float(chi2.ppf(quantile, freedom[0])) / freedom[0]
        return float(np.sqrt(max(total / ratio - noise, 0)))

    guard = abs(true_spread(FAIL_TO if measured < most else PASS_FROM) - measured)
    u = (true_spread(float(ndtr(-1))) - true_spread(float(ndtr(1)))) / 2
    return Figures(
        measured=measured,
        u=u,
        probability=float(meets[0]),
        guard=guard,
        more_plates=int(settled[0]) if len(settled) else None,
        arithmetic=(
            f"Variance of the places {total:.4f}, of which {noise:.4f} is measurement: spread {measured:.3f}, u "
            f"{u:.3f} steps. P(spread at most {most:g}) = {meets[0]:.4f}, chi square with {freedom[0]:.1f} degrees of "
            f"freedom; pass from {PASS_FROM:g}, fail to {FAIL_TO:.2g}. Guard band {guard:.3f}."
        ),
    )
