"""Every limit of a standard put to the fries of a batch."""

from collections.abc import Iterator
from typing import Literal

import numpy as np
from scipy.special import ndtr

from grader.arrays import FloatArray
from grader.decision import words
from grader.decision.colour import judge_mean_colour, judge_spread, on_scale
from grader.decision.form_limits import by_mass, form_questions
from grader.decision.model import LimitDecision
from grader.decision.pieces import Pieces
from grader.decision.shares import ShareQuestion, judge_share
from grader.decision.terms import Terms
from grader.standard.model import Standard

_SHARED_ERROR = np.arange(-3.5, 3.501, 0.5)
"""How wrong the colours of a photo may be together, in standard uncertainties; a step of a half sums a normal curve to
far better than it is known."""


def judge_limits(pieces: Pieces, standard: Standard, terms: Terms) -> Iterator[LimitDecision]:
    """All limits of the standard, judged: colour first, then lengths, width and defects."""
    yield judge_mean_colour(pieces, standard, terms)
    yield judge_spread(pieces, standard, terms)
    for question in (
        _out_of_target(pieces, standard),
        *_lengths(pieces, standard),
        _shorter(pieces, standard.defects.short_below_mm, standard.limits.short_share_at_most, _SHORT),
        *_scraps(pieces, standard),
        *_widths(pieces, standard),
        _dark_ends(pieces, standard),
        _spots(pieces, standard),
        *form_questions(pieces, standard),
    ):
        yield judge_share(question, pieces, terms)


def _out_of_target(pieces: Pieces, standard: Standard) -> ShareQuestion:
    """A colour unlike any step is outside the target, whatever the light."""
    scale = standard.scale
    weights = np.exp(-(_SHARED_ERROR**2) / 2)
    own = pieces.place_own_u
    strange = ~on_scale(pieces, standard)

    def outside(error: float) -> FloatArray:
        place = pieces.place + error * pieces.place_shift
        paler = 0.0 if scale.pale_end is None else ndtr((scale.pale_end - place) / own)
        return np.where(strange, 1.0, paler + ndtr((place - scale.target_to) / own))

    return ShareQuestion(
        key="out_of_target",
        about="colour",
        title="Fries outside the target colour",
        things="fries outside the target colour",
        sense="at most",
        limit=standard.limits.out_of_target_at_most,
        counted=~np.isnan(pieces.place),
        scenarios=[(w, outside(error)) for w, error in zip(weights / weights.sum(), _SHARED_ERROR, strict=True)],
        uncounted=words.SHOW_FLESH,
        stuck=words.BETTER_LIGHT,
    )


def _lengths(pieces: Pieces, standard: Standard) -> Iterator[ShareQuestion]:
    for asked in standard.limits.length_shares:
        question = length_question(
            pieces, asked.length_mm, sense="at least", limit=asked.at_least_share, inches=asked.length_in
        )
        yield question if asked.by == "count" else by_mass(question, pieces)


def length_question(
    pieces: Pieces,
    length_mm: float,
    *,
    sense: Literal["at least", "at most"],
    limit: float,
    inches: float | None = None,
) -> ShareQuestion:
    """Whether at least, or at most, a share `limit` (0 to 1) of the fries is `length_mm` or longer."""
    long_enough = words.length(length_mm, inches)
    return ShareQuestion(
        key=f"length_{length_mm:g}",
        about="length",
        title=f"Fries of {long_enough} or longer",
        things=f"fries of {long_enough} or longer",
        sense=sense,
        limit=limit,
        counted=pieces.length.known,
        scenarios=pieces.length.scenarios(lambda error: 1 - pieces.length.below(length_mm, error)),
        uncounted=words.LAY_FLAT,
    )


_SHORT, _SCRAP = ("short", "Short pieces", "short pieces"), ("scrap", "Scraps", "scraps")


def _shorter(pieces: Pieces, below_mm: float, limit: float, named: tuple[str, str, str]) -> ShareQuestion:
    """At most so many fries below a length; `named`: the limit's key, its title, and what is counted."""
    key, title, things = named
    return ShareQuestion(
        key=key,
        about="defects",
        title=f"{title} (under {words.length(below_mm)})",
        things=things,
        sense="at most",
        limit=limit,
        counted=pieces.length.known,
        scenarios=pieces.length.scenarios(lambda error: pieces.length.below(below_mm, error)),
        uncounted=words.LAY_FLAT,
    )


def _scraps(pieces: Pieces, standard: Standard) -> Iterator[ShareQuestion]:
    below, limit = standard.defects.scrap_below_mm, standard.limits.scrap_share_at_most
    if below is not None and limit is not None:
        yield _shorter(pieces, below, limit, _SCRAP)


def _widths(pieces: Pieces, standard: Standard) -> Iterator[ShareQuestion]:
    """Slivers, and fries off the cut's width that are none."""
    cut, sliver_below, width = standard.cut, standard.defects.sliver_below_width_mm, pieces.width

    def slivers(error: float) -> FloatArray:
        return width.below(sliver_below, error)

    def off(error: float) -> FloatArray:
        thin = np.maximum(width.below(cut.width_mm - cut.tolerance_mm, error) - slivers(error), 0)
        return thin + 1 - width.below(cut.width_mm + cut.tolerance_mm, error)

    yield ShareQuestion(
        key="sliver",
        about="defects",
        title=f"Slivers (under {words.length(sliver_below)} wide)",
        things="slivers",
        sense="at most",
        limit=standard.limits.sliver_share_at_most,
        counted=width.known,
        scenarios=width.scenarios(slivers),
        uncounted=words.LAY_FLAT,
    )
    yield ShareQuestion(
        key="width",
        about="width",
        title=f"Fries off width ({cut.width_mm:g} mm, give or take {cut.tolerance_mm:g} mm)",
        things="fries off the width of the cut",
        sense="at most",
        limit=standard.limits.width_off_share_at_most,
        counted=width.known,
        scenarios=width.scenarios(off),
        uncounted=words.LAY_FLAT,
    )


def _dark_ends(pieces: Pieces, standard: Standard) -> ShareQuestion:
    defects = standard.defects
    reaches = ndtr((pieces.dark_end_mm - defects.dark_end_from_mm) / pieces.dark_end_mm_u)
    return ShareQuestion(
        key="dark_end",
        about="defects",
        title="Dark ends",
        things="fries with a dark end",
        sense="at most",
        limit=standard.limits.dark_end_share_at_most,
        counted=pieces.whole,
        scenarios=[(1.0, np.where(pieces.dark_end_dl >= defects.dark_end_from_dl, reaches, 0.0))],
        uncounted=words.LAY_FLAT,
    )


def _spots(pieces: Pieces, standard: Standard) -> ShareQuestion:
    return ShareQuestion(
        key="spot",
        about="defects",
        title="Spots",
        things="fries with a dark spot",
        sense="at most",
        limit=standard.limits.spotted_share_at_most,
        counted=~np.isnan(pieces.place),
        scenarios=[(1.0, (pieces.spot_mm >= standard.defects.spot_from_mm).astype(float))],
        uncounted=words.SHOW_FLESH,
    )
