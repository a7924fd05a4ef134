"""What is watched from shift to shift, put onto charts: batches by means, slow drift and spread; shares by plates."""

from collections.abc import Iterable, Sequence

import numpy as np

from grader.arrays import FloatArray
from grader.consistency.batches import Measure
from grader.consistency.change_words import MEASURE_WORDS, Clock
from grader.consistency.rules import RULES, RuleKey
from grader.consistency.segments import Segment, segments
from grader.consistency.shift_watch import Line, ShiftWatch
from grader.consistency.signal_words import LETTERS, share_title
from grader.consistency.watching import Limits, Watched
from grader.drawing.control_chart import ControlChart, Flag, Panel
from grader.language import retell, tr
from grader.standard.model import Standard

LATEST, LATEST_ON_A_PHONE = 60, 30
"""More dots than that run together; the words tell of all."""
_SHARE_LETTER = "S"


Target = tuple[float, float] | None


def target_of(standard: Standard, measure: Measure) -> Target:
    """From what until what the house wants a measure to be; None where its standard says nothing of it."""
    return (standard.scale.target_from, standard.scale.target_to) if measure == "place" else None


def line_title(line: Line) -> str:
    """A kitchen and its fryer in the language that is spoken; their names as they are."""
    if line.fryer:
        kitchen_too = tr("{kitchen}, fryer {name}", kitchen=line.kitchen, name=line.fryer)
        return kitchen_too if line.kitchen else tr("fryer {name}", name=line.fryer)
    return line.kitchen or tr("all plates")


def batch_chart(told: ShiftWatch, clock: Clock, *, latest: int = LATEST, target: Target = None) -> ControlChart:
    """Means, weighted means and plates within batches of the latest batches, beneath one another."""
    words = MEASURE_WORDS[told.measure]
    watched, count = told.watched, len(told.batches)
    shown = slice(max(count - latest, 0), count)
    panels = [
        _panel(
            f"{retell(words.title)}, {retell(words.unit)}",
            [(point.value, point.level, point.limits) for point in watched.means[shown]],
            _letters(watched, shown, {*RULES} - {RuleKey.SLOW, RuleKey.PLATES_APART}),
            target,
        ),
        _panel(
            tr("Weighted mean of the last batches"),
            [
                (slow.value, mean.level, slow.limits)
                for slow, mean in zip(watched.slow[shown], watched.means[shown], strict=True)
            ],
            _letters(watched, shown, {RuleKey.SLOW}),
        ),
    ]
    if any(point.value is not None for point in watched.apart[shown]):
        panels.append(
            _panel(
                tr("Spread between plates of a batch"),
                [(point.value, point.usual, point.limits) for point in watched.apart[shown]],
                _letters(watched, shown, {RuleKey.PLATES_APART}),
            )
        )
    keys = sorted({letter for panel in panels for letters in panel.letters.values() for letter in letters})
    named = {letter: retell(RULES[key].title) for key, letter in LETTERS.items()}
    return ControlChart(
        title=f"{retell(words.title)}: {line_title(told.line)}",
        labels=tuple(clock(batch.at) for batch in told.batches[shown]),
        panels=tuple(panels),
        flags=_flags(told.changed.parts, shown),
        legend={letter: named[letter] for letter in keys},
    )


def share_chart(told: ShiftWatch, key: str, clock: Clock, *, latest: int = LATEST) -> ControlChart:
    """One share of the latest plates, with the limits that hold that fries of a plate are alike, and plain ones."""
    share, title = told.shares[key], retell(share_title(key))
    shown = slice(max(len(share.points) - latest, 0), len(share.points))
    points = share.points[shown]
    plain = np.array([[point.plain_low, point.plain_high] for point in points]).T
    panel = Panel(
        title=tr("{title}, plate by plate", title=title),
        value=np.array([point.share for point in points]),
        centre=np.full(len(points), share.baseline.share),
        low=np.array([point.low for point in points]),
        high=np.array([point.high for point in points]),
        plain=(plain[0], plain[1]),
        letters={at: _SHARE_LETTER for at, point in enumerate(points) if point.side is not None},
        percent=True,
    )
    events = [event for part in told.changed.parts for event in part.events]
    return ControlChart(
        title=f"{title}: {line_title(told.line)}",
        labels=tuple(clock(point.at) for point in points),
        panels=(panel,),
        flags=_flags(segments([point.at for point in share.points], events), shown),
        legend={_SHARE_LETTER: tr("a plate beyond the limits")} if panel.letters else {},
    )


def _panel(
    title: str,
    points: Iterable[tuple[float | None, float | None, Limits | None]],
    letters: dict[int, str],
    target: Target = None,
) -> Panel:
    values, centres, lows, highs = zip(
        *(
            (value, centre, None if limits is None else limits.low, None if limits is None else limits.high)
            for value, centre, limits in points
        ),
        strict=True,
    )
    return Panel(
        title=title,
        value=_numbers(values),
        centre=_numbers(centres),
        low=_numbers(lows),
        high=_numbers(highs),
        letters=letters,
        target=target,
    )


def _numbers(values: Sequence[float | None]) -> FloatArray:
    return np.array([np.nan if value is None else value for value in values])


def _letters(watched: Watched, shown: slice, keys: set[RuleKey]) -> dict[int, str]:
    told: dict[int, str] = {}
    for seen in watched.seen:
        if seen.key in keys and seen.at >= shown.start and LETTERS[seen.key] not in told.get(seen.at - shown.start, ""):
            told[seen.at - shown.start] = told.get(seen.at - shown.start, "") + LETTERS[seen.key]
    return told


def _flags(parts: Sequence[Segment], shown: slice) -> tuple[Flag, ...]:
    """Events before the first batch that is shown are left out: the level already follows them."""
    return tuple(
        Flag(before=part.start - shown.start, words=retell(part.words))
        for part in parts
        if part.events and part.start > shown.start
    )
