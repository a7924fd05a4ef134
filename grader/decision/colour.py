"""Judges the limits on colour that are no shares: the batch's mean place on the scale, and how far its fries spread."""

import numpy as np
from scipy.special import ndtr
from scipy.stats import chi2

from grader.arrays import MaskArray
from grader.decision import words
from grader.decision.assemble import INTERVAL, MORE_PLATES_AT_MOST, Figures, Limit, Wording, decide, without_doubt_known
from grader.decision.counting import effective_number
from grader.decision.means import mean_place
from grader.decision.model import LimitDecision, Outcome
from grader.decision.pieces import Pieces
from grader.decision.rule import conformity, guard_band, outcome_of
from grader.decision.terms import Terms
from grader.sampling.one_way import one_way
from grader.standard.model import ColourScale, Standard

_LEAST_FREEDOM = 1.0
"""Of a spread: however alike the fries of a plate are, two of them tell something."""


def on_scale(pieces: Pieces, standard: Standard) -> MaskArray:
    """(n,) the fries with a colour that is like some step of the scale; the rest may be no fries at all."""
    return ~np.isnan(pieces.place) & (pieces.off_scale_de <= standard.scale.off_scale_de)


def judge_mean_colour(pieces: Pieces, standard: Standard, terms: Terms) -> LimitDecision:
    """The batch's mean place against the target range; its uncertainty is that of `means.mean_place`."""
    counted = on_scale(pieces, standard)
    scale = standard.scale
    figures = _mean_figures(pieces, counted, scale, terms)
    place = figures.measured if figures else float("nan")
    dark = scale.pale_end is None or place > (scale.target_from + scale.target_to) / 2
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
        lower=scale.pale_end,
        upper=scale.target_to,
    )
    return decide(limit, figures, wording, pieces.counts(counted), terms)


def _colour_sentence(scale: ColourScale, place: float) -> str:
    where = words.whereabouts(scale, place)
    return f"{place:.1f} on the house scale ({where}), the target is {scale.target_from:g} to {scale.target_to:g}."


def _inside(scale: ColourScale) -> str:
    return f"{'' if scale.pale_end is None else f'{scale.pale_end:g} <= '}place <= {scale.target_to:g}"


def _mean_figures(pieces: Pieces, counted: MaskArray, scale: ColourScale, terms: Terms) -> Figures | None:
    known = mean_place(pieces, counted, terms)
    if known is None:
        return without_doubt_known(float(pieces.place[counted].mean())) if counted.any() else None
    limits = {"lower": scale.pale_end, "upper": scale.target_to}

    def settled(more: int) -> bool:
        """With so many more plates like these it would no longer be undecided."""
        there = conformity(known.mean, known.with_more(more).doubt, **limits)
        return outcome_of(there, terms.levels) is not Outcome.UNDECIDED

    doubt = known.doubt
    probability = conformity(known.mean, doubt, **limits)
    guard = guard_band(doubt, terms.levels)
    low, high = known.interval(INTERVAL)
    return Figures(
        measured=known.mean,
        u=doubt.u,
        low=low,
        high=high,
        probability=probability,
        guard=guard,
        more_plates=next((more for more in range(1, MORE_PLATES_AT_MOST + 1) if settled(more)), None),
        arithmetic=(
            f"{known.arithmetic} P({_inside(scale)}) = {probability:.4f}, "
            f"normal by what is shared, t with {doubt.freedom:.1f} degrees of freedom by the rest; "
            f"{words.rule(terms)}. Guard band {guard / doubt.u:.3f} u = {guard:.3f}."
        ),
    )


def judge_spread(pieces: Pieces, standard: Standard, terms: Terms) -> LimitDecision:
    """The standard deviation of the fries' places, their own measurement noise taken off, against its limit.

    A claim takes fries of a plate to be as alike in colour as its own plates show them, but never less than usual.
    """
    counted = on_scale(pieces, standard)
    most = standard.limits.spread_steps_at_most
    figures = _spread_figures(pieces, counted, most, terms) if counted.sum() > 1 else None
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
    return decide(limit, figures, wording, pieces.counts(counted), terms)


def _alike(pieces: Pieces, counted: MaskArray, terms: Terms) -> float:
    """The correlation of two fries of a plate in colour."""
    usual = terms.apart.correlation
    own = one_way(pieces.place[counted], pieces.plate[counted]) if terms.claim else None
    return usual if own is None else max(usual, own.correlation)


def _spread_figures(pieces: Pieces, counted: MaskArray, most: float, terms: Terms) -> Figures:
    """The variance as measured is true variance plus noise, and scatters as chi square over its degrees of freedom."""
    levels, place, per_plate = terms.levels, pieces.place[counted], pieces.per_plate(counted)
    total, noise = float(place.var(ddof=1)), float((pieces.place_own_u[counted] ** 2).mean())
    plates, effective = np.count_nonzero(per_plate), effective_number(per_plate, _alike(pieces, counted, terms))
    freedom = np.maximum(effective * (plates + np.arange(MORE_PLATES_AT_MOST + 1)) / plates - 1, _LEAST_FREEDOM)
    meets = np.asarray(chi2.sf(freedom * total / (most**2 + noise), freedom))
    settled = np.flatnonzero((meets >= levels.pass_from) | (meets <= levels.fail_to))
    measured = float(np.sqrt(max(total - noise, 0)))

    def true_spread(quantile: float) -> float:
        """The true spread that what was measured would be at this quantile of."""
        ratio = float(chi2.ppf(quantile, freedom[0])) / freedom[0]
        return float(np.sqrt(max(total / ratio - noise, 0)))

    guard = abs(true_spread(levels.fail_to if measured < most else levels.pass_from) - measured)
    u = (true_spread(float(ndtr(-1))) - true_spread(float(ndtr(1)))) / 2
    return Figures(
        measured=measured,
        u=u,
        low=true_spread((1 + INTERVAL) / 2),
        high=true_spread((1 - INTERVAL) / 2),
        probability=float(meets[0]),
        guard=guard,
        more_plates=int(settled[0]) if len(settled) else None,
        arithmetic=(
            f"Variance of the places {total:.4f}, of which {noise:.4f} is measurement: spread {measured:.3f}, u "
            f"{u:.3f} steps. P(spread at most {most:g}) = {meets[0]:.4f}, chi square with {freedom[0]:.1f} degrees of "
            f"freedom; {words.rule(terms)}. Guard band {guard:.3f}."
        ),
    )
