"""A batch of plates against a house standard: every limit judged, and the whole said in one sentence."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from grader.arrays import MaskArray
from grader.decision import words
from grader.decision.limits import judge_limits
from grader.decision.model import LimitDecision, Outcome, Verdict
from grader.decision.pieces import Pieces, gather
from grader.decision.terms import USUAL, Terms
from grader.fries.model import Fry
from grader.standard.model import FINISHED, Standard


def judge_batch(plates: Sequence[Sequence[Fry]], standard: Standard, terms: Terms = USUAL) -> Verdict:
    """The verdict over all plates of a batch; each plate is the fries of one photo."""
    return judge_pieces(gather(plates, standard), standard, terms, seen=sum(1 for fries in plates if fries))


def judge_pieces(pieces: Pieces, standard: Standard, terms: Terms = USUAL, *, seen: int) -> Verdict:
    """The same from the batch's columns, on `seen` plates that hold any fries."""
    limits = tuple(judge_limits(pieces, standard, terms))
    outcome = worst_of(limits)
    useless = int(_useless(pieces).sum())
    headline = _headline(outcome, limits, len(pieces.plate), claim=terms.claim)
    return Verdict(
        outcome=outcome,
        headline=_judged_how(headline, standard, seen),
        limits=limits,
        fries_counted=len(pieces.plate) - useless,
        fries_left_out=pieces.crumbs + useless,
        plates=seen,
        terms=terms,
    )


def judge_plate(fries: Sequence[Fry], standard: Standard, terms: Terms = USUAL) -> Verdict:
    """The verdict on one plate alone; a claim can't be proven on one."""
    return judge_batch([fries], standard, terms)


_OF_COLOUR = frozenset({"dark_end", "spot"})
"""Defects that are told by colour, beside the limits that are about it."""


def without_colour(verdict: Verdict, standard: Standard) -> Verdict:
    """The verdict by the standard's limits that don't rest on colour; it says that colour was withheld."""
    limits = tuple(one for one in verdict.limits if one.about != "colour" and one.key not in _OF_COLOUR)
    outcome = worst_of(limits)
    headline = _headline(outcome, limits, verdict.fries_counted, claim=verdict.terms.claim)
    if outcome is Outcome.PASS:
        headline = "Pass: lengths, width and shape meet the standard."
    headline = _judged_how(headline, standard, verdict.plates)
    return replace(verdict, outcome=outcome, limits=limits, headline=f"{headline} Colour was withheld.")


def _judged_how(headline: str, standard: Standard, plates: int) -> str:
    """The headline, and what the verdict doesn't hold beyond: the stage, a single plate."""
    how = [*_as(standard), *(["from one plate only"] if plates == 1 else [])]
    return f"{headline.rstrip('.')} (judged {', '.join(how)})." if how else headline


def _as(standard: Standard) -> list[str]:
    return [] if standard.stage == FINISHED else [f"as {standard.stage} fries"]


_GRAVEST_FIRST = (Outcome.FAIL, Outcome.UNDECIDED, Outcome.PASS)


def by_gravity(limits: Sequence[LimitDecision]) -> list[LimitDecision]:
    """Failed limits first, then undecided ones; within each the surest failure, or the least sure pass, first."""

    def gravity(limit: LimitDecision) -> tuple[int, float]:
        return _GRAVEST_FIRST.index(limit.outcome), -1.0 if np.isnan(limit.probability) else limit.probability

    return sorted(limits, key=gravity)


def _useless(pieces: Pieces) -> MaskArray:
    return ~pieces.length.known & ~pieces.width.known & np.isnan(pieces.place)


def worst_of(limits: Sequence[LimitDecision]) -> Outcome:
    """The outcome of the whole: fail if any fails, else undecided if any is, else pass."""
    found = {limit.outcome for limit in limits}
    return next(outcome for outcome in _GRAVEST_FIRST if outcome in found)


def _headline(outcome: Outcome, limits: Sequence[LimitDecision], fries: int, *, claim: bool) -> str:
    if fries == 0:
        return "Can't tell: no fries were found."
    if outcome is Outcome.PASS:
        passed = "No fault, as far as was asked" if claim else "Pass"
        return f"{passed}: colour, lengths, width and defects all meet the standard."
    told = [limit for limit in limits if limit.outcome is outcome]
    if outcome is Outcome.FAIL:
        return f"{'Fault proven' if claim else 'Fail'}: {words.listed([limit.finding for limit in told])}."
    about = words.listed(list(dict.fromkeys(limit.about for limit in told)))
    remedy = _remedy(told)
    unsure = "Not proven either way" if claim else "Can't tell yet"
    return f"{unsure} about {about}: {remedy[0].lower()}{remedy[1:]}"


def begin_with(undecided: Sequence[LimitDecision]) -> LimitDecision:
    """The limit whose remedy to begin with: first see the fries, then see more of them; else the gravest limit's."""
    worst = by_gravity(undecided)
    for lay_them_right in (words.LAY_FLAT, words.SHOW_FLESH):
        for limit in worst:
            if limit.remedy == lay_them_right:
                return limit
    return max(worst, key=lambda limit: limit.more_plates or 0)


def _remedy(undecided: Sequence[LimitDecision]) -> str:
    """What to do first. More plates are never asked for as if they settled what they don't."""
    first = begin_with(undecided)
    if first.more_plates and any(not limit.more_plates for limit in undecided):
        return words.not_all_settled(first.remedy)
    return first.remedy
