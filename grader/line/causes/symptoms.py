"""What may be seen on a plate, and what of it a verdict shows."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from grader.decision.model import Outcome
from grader.language import said
from grader.standard.model import StageName

SYMPTOMS: Mapping[str, str] = {
    "dark": said("all fries too dark"),
    "pale": said("all fries too pale"),
    "uneven": said("uneven in colour"),
    "dark_ends": said("dark ends"),
    "short": said("too many short pieces"),
    "slivers": said("too many slivers"),
    "spots": said("spots"),
    "widths": said("widths off the cut"),
    "torn": said("torn or broken ends"),
    "blanch_dark": said("dark or grey after the blanch"),
    "hold_dark": said("dark after the hold"),
    "limp": said("limp"),
    "greasy": said("greasy"),
}
"""By key, in plain words. A photo shows all but the last two: those somebody has to tell."""

_OF_LIMIT = {
    "spread": "uneven",
    "dark_end": "dark_ends",
    "short": "short",
    "scrap": "short",
    "crumb": "short",
    "sliver": "slivers",
    "width": "widths",
    "spot": "spots",
    "torn_end": "torn",
}
_DARK_AT = {"blanched": "blanch_dark", "held": "hold_dark", "finished": "dark"}


_BY_EYE = ("dark", "pale", "uneven", "dark_ends", "short", "slivers", "spots")
"""Whoever says what is wrong with a plate has seen whether these are."""
_BOTH_WAYS = {"dark", "pale"}


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedLimit:
    """What a list of causes wants of a judged limit; fields as in `decision.model.LimitDecision`."""

    key: str
    outcome: Outcome
    measured: float
    lower: float | None
    upper: float | None
    counted: int


def seen_by_eye(symptoms: Iterable[str]) -> dict[str, bool]:
    """What a person says is wrong; what else shows at a glance and isn't named is taken to be right.

    Fries that are said to be too dark and too pale at once can't all be either: that is uneven.
    """
    told = set(symptoms)
    if told >= _BOTH_WAYS:
        told = (told - _BOTH_WAYS) | {"uneven"}
    return dict.fromkeys(_BY_EYE, False) | dict.fromkeys(told, True)


def seen_in(limits: Iterable[JudgedLimit], stage: StageName) -> dict[str, bool]:
    """Which symptoms judged limits of plates of this stage show: True, or False where it was judged and isn't so.

    A limit that isn't decided shows its symptom where the figure measured is beyond it: for a list of causes, a
    suspicion is enough.
    """
    seen: dict[str, bool] = {}
    for limit in limits:
        if limit.counted == 0:
            continue
        off = _beyond(limit)
        if limit.key == "colour":
            seen[_DARK_AT[stage]] = off > 0
            if stage != "blanched":
                seen["pale"] = off < 0
        else:
            named = "short" if limit.key.startswith("length_") else _OF_LIMIT.get(limit.key)
            if named is not None:
                seen[named] = seen.get(named, False) or off != 0
    return seen


def _beyond(limit: JudgedLimit) -> int:
    """1 where the figure is above its limit, -1 below, 0 where it isn't shown to be off."""
    if limit.outcome is Outcome.PASS:
        return 0
    if limit.upper is not None and limit.measured > limit.upper:
        return 1
    return -1 if limit.lower is not None and limit.measured < limit.lower else 0
