"""How far cooks agree: with the method week by week, with each other on the same plates, with themselves."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta, tzinfo
from itertools import combinations

from grader.consistency.kappa import Agreement, agreement
from grader.records.database.colour_calls import CALLS, Called
from grader.standard.model import ColourScale


@dataclass(frozen=True, slots=True, kw_only=True)
class CookWeek:
    """One cook and the method in one week; `monday` is its first day, None for all weeks together."""

    cook: str
    monday: date | None
    told: Agreement


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Two cooks on the plates that both called; a cook and herself where plates came back."""

    first: str
    second: str
    told: Agreement


def method_call(place: float | None, scale: ColourScale) -> str:
    """What the method calls a plate whose mean lies there on the scale; empty without a place."""
    if place is None:
        return ""
    return "pale" if place < scale.target_from else "dark" if place > scale.target_to else "right"


def by_week(calls: Sequence[Called], *, zone: tzinfo | None = None) -> tuple[CookWeek, ...]:
    """Each cook against the method, all weeks together first, then week by week; where the method had a call.

    Weeks begin by the clock of `zone` (None: this machine's).
    """
    grouped: dict[tuple[str, date | None], list[Called]] = defaultdict(list)
    for call in calls:
        if call.method:
            day = call.at.astimezone(zone).date()
            grouped[call.by, None].append(call)
            grouped[call.by, day - timedelta(days=day.weekday())].append(call)
    order = sorted(grouped, key=lambda key: (key[0], key[1] or date.min))
    return tuple(
        CookWeek(
            cook=cook,
            monday=monday,
            told=agreement(
                [one.called for one in grouped[cook, monday]], [one.method for one in grouped[cook, monday]], CALLS
            ),
        )
        for cook, monday in order
    )


def between_cooks(calls: Sequence[Called]) -> tuple[Pair, ...]:
    """Each two cooks on the plates that both called, by the last call of each."""
    last: dict[str, dict[str, str]] = defaultdict(dict)
    for call in calls:
        last[call.by][call.photo_sha256] = call.called
    pairs = []
    for first, second in combinations(sorted(last), 2):
        both = sorted(last[first].keys() & last[second].keys())
        if both:
            told = agreement([last[first][one] for one in both], [last[second][one] for one in both], CALLS)
            pairs.append(Pair(first=first, second=second, told=told))
    return tuple(pairs)


def with_oneself(calls: Sequence[Called]) -> tuple[Pair, ...]:
    """Each cook's call of a plate that came back, against that cook's call before."""
    before: dict[tuple[str, str], str] = {}
    looks: dict[str, tuple[list[str], list[str]]] = defaultdict(lambda: ([], []))
    for call in calls:
        key = (call.by, call.photo_sha256)
        if key in before:
            looks[call.by][0].append(before[key])
            looks[call.by][1].append(call.called)
        before[key] = call.called
    return tuple(Pair(first=cook, second=cook, told=agreement(*looks[cook], CALLS)) for cook in sorted(looks))
