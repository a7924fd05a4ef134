"""The limits that a standard may leave out: curved fries, torn ends, crumbs; and shares of mass in place of count."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from scipy.special import ndtr

from grader.arrays import FloatArray, MaskArray
from grader.decision import words
from grader.decision.forms import Forms
from grader.decision.pieces import Pieces
from grader.decision.shares import Masses, ShareQuestion
from grader.standard.model import Standard


def form_questions(pieces: Pieces, standard: Standard) -> Iterator[ShareQuestion]:
    """Those that the standard states, of the columns gathered for them."""
    defects, limits, forms = standard.defects, standard.limits, pieces.forms
    if forms is None:
        return
    if defects.curved_from_bow_share is not None and limits.curved_share_at_most is not None:
        yield _curved(forms, defects.curved_from_bow_share, limits.curved_share_at_most)
    if defects.torn_end_from_mm is not None and limits.torn_end_share_at_most is not None:
        yield _torn(forms, defects.torn_end_from_mm, limits.torn_end_share_at_most)
    if limits.crumb_share_at_most is not None:
        yield _crumbs(forms, defects.piece_from_mm, limits.crumb_share_at_most)


def by_mass(question: ShareQuestion, pieces: Pieces) -> ShareQuestion:
    """The same share of the fries' estimated mass, of those whose mass can be estimated."""
    forms = pieces.forms
    nothing = np.full(len(pieces.plate), np.nan)
    mass_g, own_u = (nothing, nothing) if forms is None else (forms.mass_g, forms.mass_own_u)
    return replace(
        question,
        key=f"{question.key}_by_mass",
        title=f"{question.title}, by estimated mass",
        counted=question.counted & ~np.isnan(mass_g),
        whole="of the fries' estimated mass",
        masses=Masses(value=mass_g, own_u=own_u),
    )


def _curved(forms: Forms, from_share: float, limit: float) -> ShareQuestion:
    return ShareQuestion(
        key="curved",
        about="defects",
        title=f"Fries curved beyond use (bow from {words.percent(from_share)} of the straight length)",
        things="fries curved beyond use",
        sense="at most",
        limit=limit,
        counted=~np.isnan(forms.bow_share),
        scenarios=[(1.0, _above(forms.bow_share, forms.bow_share_u, from_share))],
        uncounted=words.LAY_FLAT,
    )


def _torn(forms: Forms, from_mm: float, limit: float) -> ShareQuestion:
    return ShareQuestion(
        key="torn_end",
        about="defects",
        title=f"Fries with a torn end (gap from {from_mm:g} mm)",
        things="fries with a torn end",
        sense="at most",
        limit=limit,
        counted=~np.isnan(forms.gap_mm),
        scenarios=[(1.0, _above(forms.gap_mm, forms.gap_mm_u, from_mm))],
        uncounted=words.LAY_FLAT,
    )


def _crumbs(forms: Forms, piece_from_mm: float, limit: float) -> ShareQuestion:
    known: MaskArray = ~np.isnan(forms.crumb)
    return ShareQuestion(
        key="crumb",
        about="defects",
        title=f"Crumbs (under {words.length(piece_from_mm)})",
        things="crumbs",
        sense="at most",
        limit=limit,
        counted=known,
        scenarios=[(1.0, forms.crumb)],
        uncounted=words.LAY_FLAT,
        whole="of all pieces found",
        plate=forms.found_plate,
    )


def _above(value: FloatArray, u: FloatArray, threshold: float) -> FloatArray:
    return np.asarray(ndtr((value - threshold) / u), float)
