"""How common causes are in a house, learnt from its own batches of which somebody told which cause it was in the end.

Only how common a cause is behind a symptom is learnt, and only from 20 told batches that showed the symptom; rules stay
what they are. What the file says counts as 20 batches more, so that few cases can't turn the list over.
"""

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from grader.line.causes.model import Cause

CASES_FROM = 20
_AS_MANY = 20
"""So many batches the file's own figures count for (house default)."""
_AT_MOST = 1.5
"""No cause moves by more (house default): half of what one strong record does."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldCase:
    """One batch: what was seen of it, and the key of the cause that it was in the end."""

    seen: frozenset[str]
    cause: str


def learnt_causes(causes: Sequence[Cause], cases: Sequence[ToldCase]) -> tuple[Cause, ...]:
    """The causes with what a house's own history says of how common each is; unchanged where it says too little.

    The change is the logarithm of the share of a symptom's batches that had the cause, as told and as the file has it
    together, over the file's own share. A batch whose cause explains none of what was seen doesn't count.
    """
    moved = {symptom: shift for symptom in _symptoms(causes) if (shift := _shifts(causes, cases, symptom))}
    return tuple(
        replace(
            cause,
            explains={
                symptom: often + moved.get(symptom, {}).get(cause.key, 0.0) for symptom, often in cause.explains.items()
            },
        )
        for cause in causes
    )


def _symptoms(causes: Sequence[Cause]) -> set[str]:
    return {symptom for cause in causes for symptom in cause.explains}


def _shifts(causes: Sequence[Cause], cases: Sequence[ToldCase], symptom: str) -> Mapping[str, float]:
    usual = {cause.key: math.exp(cause.explains[symptom]) for cause in causes if symptom in cause.explains}
    told = Counter(case.cause for case in cases if symptom in case.seen and case.cause in usual)
    if told.total() < CASES_FROM:
        return {}
    whole = sum(usual.values())
    shares = {key: one / whole for key, one in usual.items()}
    return {
        key: max(-_AT_MOST, min(_AT_MOST, math.log(_together(told, key, share) / share)))
        for key, share in shares.items()
    }


def _together(told: Counter[str], key: str, share: float) -> float:
    return (told[key] + _AS_MANY * share) / (told.total() + _AS_MANY)
