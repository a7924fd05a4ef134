"""What stands out on a chart, in the words of a kitchen: a line for each run of batches that a rule points at."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from grader.consistency.change_words import MEASURE_WORDS, Clock, MeasureWords, Namer
from grader.consistency.rules import RULES, RuleKey, Seen, Side
from grader.consistency.shares import LEAST_PLATES
from grader.consistency.shift_watch import ShareWatch, ShiftWatch

_SHARE_TITLES = {
    "short": "Short pieces",
    "scrap": "Pieces too small to serve",
    "sliver": "Slivers",
    "width": "Fries off width",
    "dark_end": "Dark ends",
    "spot": "Spots",
    "out_of_target": "Fries outside the target",
    "curved": "Curved fries",
    "torn_end": "Torn ends",
    "crumb": "Crumbs",
}
LETTERS: dict[RuleKey, str] = dict(zip(RuleKey, "ABCDEFG", strict=True))
"""By which a rule's signals are found again on the picture."""
_PLATES_TOLD = 10


def baseline_line(told: ShiftWatch, clock: Clock) -> str:
    """Which baseline, who chose it, and what is to be said of one that is short."""
    baseline, words = told.watched.baseline, MEASURE_WORDS[told.measure]
    chosen = "" if told.chosen else f" Nobody chose it: these are the earliest {baseline.batches} batches."
    caution = f" {baseline.caution}" if baseline.caution else ""
    if told.baseline_moved:
        caution += " It moved in itself: batches next to each other are much more alike than all. Choose a calmer one."
    return (
        f"Baseline: {clock(baseline.from_at)} to {clock(baseline.to_at)}, {baseline.batches} batches "
        f"({baseline.plates} plates), level {baseline.level:.2f} {words.unit}.{chosen}{caution}"
    )


def signal_lines(told: ShiftWatch, clock: Clock) -> Iterator[str]:
    """Signals rule by rule, the latest first; batches next to each other that stand out alike share a line."""
    words = MEASURE_WORDS[told.measure]
    rows = sorted(_rows(told.watched.seen), key=lambda row: row[-1].at, reverse=True)
    for row in rows:
        key, side = row[0].key, row[0].side
        first, last = row[0].at, row[-1].at
        when = f"batch {last + 1} ({clock(told.batches[last].at)})"
        if first < last:
            when = (
                f"batches {first + 1} to {last + 1} ({clock(told.batches[first].at)} to {clock(told.batches[last].at)})"
            )
        seen = f"{RULES[key].title}, {_way(key, side, words.more, words.less)}"
        yield f"{LETTERS[key]}, {when}: {seen}. {RULES[key].means} Look at {_where(key, side, words)}."
    if not rows:
        yield f"None of {len(told.batches)} batches stands out."


def _way(key: RuleKey, side: Side, more: str, less: str) -> str:
    if key is RuleKey.PLATES_APART:
        return "farther apart" if side is Side.HIGH else "nearer together"
    return more if side is Side.HIGH else less


def _where(key: RuleKey, side: Side, words: MeasureWords) -> str:
    if key is RuleKey.PLATES_APART:
        return "how baskets are filled and shaken, and where in the batch the plates were drawn"
    return words.where(1 if side is Side.HIGH else -1)


def _rows(seen: Sequence[Seen]) -> Iterator[list[Seen]]:
    """Signals of one rule and side at batches next to each other."""
    for _, alike in groupby(sorted(seen, key=_kind), key=_kind):
        row: list[Seen] = []
        for one in alike:
            if row and one.at > row[-1].at + 1:
                yield row
                row = []
            row.append(one)
        yield row


def _kind(seen: Seen) -> tuple[str, str]:
    return seen.key.value, seen.side.value


def share_title(key: str) -> str:
    """What people call the share of a limit: `dark_end`, `length_76.2`."""
    if key.startswith("length_"):
        mm, _, by = key.removeprefix("length_").partition("_")
        return f"Fries of {mm} mm or longer" + (", by mass" if by else "")
    return _SHARE_TITLES.get(key, key)


def untold_line(key: str) -> str:
    """Why a share that was asked for isn't told."""
    return f"{share_title(key)}: fewer than {LEAST_PLATES} plates of the baseline have counts of it, too few to chart."


def share_line(key: str, share: ShareWatch, clock: Clock, named: Namer = str) -> str:
    """One share: what is usual, how alike fries of a plate are, and which plates stand out."""
    out = [point for point in share.points if point.side is not None]
    base = share.baseline
    alike = f"two fries of a plate correlated by {base.correlation:.2f}"
    line = f"{share_title(key)}: usually {100 * base.share:.1f} %, {alike}. "
    if not out:
        return f"{line}No plate of {len(share.points)} stands out. {base.caution}".rstrip()
    latest = [f"{named(one.plate)} ({clock(one.at)}, {100 * one.share:.0f} %)" for one in out[-_PLATES_TOLD:]]
    return f"{line}{len(out)} of {len(share.points)} plates stand out: {', '.join(latest)}. {base.caution}".rstrip()
