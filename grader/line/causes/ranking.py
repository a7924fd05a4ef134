"""Causes ranked by what was seen and what is known.

A cause begins with how commonly it explains what was seen; each rule that holds adds its weight. Weights are house
guesses at how much more often such a record is found with that cause than without (as logarithms, roughly): they order
a list, and are no probabilities. What isn't known adds nothing, and is told.
"""

from collections.abc import Mapping, Sequence

from grader.errors import GraderError
from grader.line.causes.model import Cause, Facts, Grade, Ranked, Ranking, Reason
from grader.line.causes.symptoms import SYMPTOMS

LIKELY_FROM = 2.5
"""A cause is called likely from here on, and only where something recorded speaks for it."""
UNLIKELY_BELOW = 0.0
_TO_RECORD = 5


class CausesError(GraderError, ValueError):
    """Nothing was seen that a cause could explain."""


def rank_causes(causes: Sequence[Cause], facts: Facts) -> Ranking:
    """The causes of what was seen (the symptoms among `facts` that are so), the likeliest first.

    Raises
    ------
    CausesError
        No symptom was seen.
    """
    seen = tuple(symptom for symptom in SYMPTOMS if facts.get(symptom) is True)
    if not seen:
        hint = "Say what is wrong with the fries: " + ", ".join(SYMPTOMS.values()) + "."
        raise CausesError("Nothing was seen that has to be explained.", hint=hint)
    ranked = [_ranked(cause, facts, seen) for cause in causes if cause.explains.keys() & set(seen)]
    ranked.sort(key=lambda one: -one.score)
    first_of = {
        symptom: max((one for one in ranked if symptom in one.explains), key=lambda one: _of(one, symptom)).cause.key
        for symptom in seen
        if any(symptom in one.explains for one in ranked)
    }
    return Ranking(seen=seen, causes=tuple(ranked), first_of=first_of, to_record=_to_record(ranked))


def _ranked(cause: Cause, facts: Facts, seen: Sequence[str]) -> Ranked:
    explains = tuple(symptom for symptom in seen if symptom in cause.explains)
    reasons = tuple(
        Reason(rule=rule.key, weight=rule.weight, words=rule.why.format(**_told(facts)), source=rule.source)
        for rule in cause.rules
        if rule.holds(facts)
    )
    score = sum(cause.explains[symptom] for symptom in explains) + sum(reason.weight for reason in reasons)
    speaks = any(reason.weight > 0 for reason in reasons)
    unknown = (fact for rule in cause.rules for fact in rule.unknown(facts))
    return Ranked(
        cause=cause,
        score=score,
        grade=_grade(score, speaks=speaks),
        explains=explains,
        reasons_for=tuple(reason for reason in reasons if reason.weight > 0),
        reasons_against=tuple(reason for reason in reasons if reason.weight < 0),
        missing=tuple(fact for fact in dict.fromkeys(unknown) if fact not in SYMPTOMS),
    )


def _grade(score: float, *, speaks: bool) -> Grade:
    if score < UNLIKELY_BELOW:
        return Grade.UNLIKELY
    return Grade.LIKELY if speaks and score >= LIKELY_FROM else Grade.POSSIBLE


def _of(one: Ranked, symptom: str) -> float:
    """How well a cause explains one symptom: what else it explains doesn't count here."""
    others = sum(one.cause.explains[other] for other in one.explains if other != symptom)
    return one.score - others


_SHARES = ("_share", "lot_sugar_ends", "tuber_ratio")


def _told(facts: Facts) -> Mapping[str, str]:
    """Facts as the rules' words take them: without sign, for those say which way; shares in percent."""
    return {
        name: value
        if isinstance(value, str)
        else f"{100 * float(value):.0f} %"
        if name.endswith(_SHARES)
        else f"{abs(float(value)):g}"
        for name, value in facts.items()
    }


def _to_record(ranked: Sequence[Ranked]) -> tuple[str, ...]:
    """What nobody recorded, weighed by what it could add to or take from causes that are still open."""
    worth: dict[str, float] = {}
    for turn, one in enumerate(one for one in ranked if one.grade is not Grade.UNLIKELY):
        for fact in one.missing:
            most = max(abs(rule.weight) for rule in one.cause.rules if fact in {asked.fact for asked in rule.when})
            worth[fact] = worth.get(fact, 0.0) + most / (1 + turn)
    return tuple(sorted(worth, key=lambda fact: -worth[fact]))[:_TO_RECORD]
