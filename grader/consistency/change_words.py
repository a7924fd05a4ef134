"""What changed, in the words of a kitchen: each event's step, drift inside a lot, where a level changed."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime

from grader.consistency.batches import Batch, Measure
from grader.consistency.lot_drift import LEAST_BATCHES, Slope
from grader.consistency.segments import Segment
from grader.consistency.steps import NEAR, Difference, EventStep
from grader.consistency.what_changed import Changed, WhatChanged

CAUTION = (
    "Hot oil burns and catches fire: only who is trained for it checks or changes oil and fryer, by the maker's manual "
    "and the local rules. Colour says nothing of whether food is safe."
)
"""To stand under all advice that sends somebody to a fryer."""

Clock = Callable[[datetime], str]
"""A moment (UTC) as the kitchen's clock and calendar had it."""
Namer = Callable[[str], str]
"""What people call a plate; charts know it by what the records do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureWords:
    """What people call a measure, its unit, and what is more or less of it."""

    title: str
    unit: str
    more: str
    less: str
    where_more: str
    where_less: str

    def amount(self, value: float, digits: int = 2) -> str:
        """How much and which way: `0.42 steps darker`."""
        return f"{abs(value):.{digits}f} {self.unit} {self.more if value > 0 else self.less}"

    def where(self, value: float) -> str:
        """Where to look first for what makes it so: common practice, no source."""
        return self.where_more if value > 0 else self.where_less


MEASURE_WORDS: dict[Measure, MeasureWords] = {
    "place": MeasureWords(
        title="Mean place on the colour scale",
        unit="steps",
        more="darker",
        less="paler",
        where_more="how hot and how old the oil is, the time in it, and the potatoes' sugar",
        where_less="whether the oil recovers its heat (baskets too full, fries too wet), and the time in it",
    ),
    "spread": MeasureWords(
        title="How far fries of a plate differ in colour",
        unit="steps",
        more="farther apart",
        less="nearer together",
        where_more="how full baskets are, whether they are shaken, and whether lots were mixed",
        where_less="what is done otherwise than before, and keep it",
    ),
    "length": MeasureWords(
        title="Mean length",
        unit="mm",
        more="longer",
        less="shorter",
        where_more="the size of the potatoes and the cutter",
        where_less="the size of the potatoes, the cutter, and how fries are tipped and stirred",
    ),
}


def change_lines(told: WhatChanged, measure: Measure, clock: Clock, named: Namer = str) -> Iterator[str]:
    """All that changed, a line each; what is not shown is said not to be."""
    words = MEASURE_WORDS[measure]
    for step in told.steps:
        yield _step_line(step, told.batches, words, clock)
    yield from _drift_lines(told, words)
    for changed in told.changes:
        yield _change_line(changed, words, clock, named)
    if not told.changes:
        yield "Inside stretches without an event no change of level is shown."


def _step_line(step: EventStep, batches: tuple[Batch, ...], words: MeasureWords, clock: Clock) -> str:
    name = _begun(step.part)
    if step.first_batch is None:
        return (
            f"{name}, {clock(step.part.events[0].at)}: nothing was photographed since. Fry a first basket, photograph "
            "it and hold it against the house standard before you go on."
        )
    line = f"{name}, before batch {step.first_batch + 1} ({clock(batches[step.first_batch].at)}): "
    if step.first is None or step.step is None:
        return line + "too few batches to tell what it did."
    line += f"the first basket came out {_difference(step.first, words)} than the batches before"
    count = min(step.part.batches, NEAR)
    if count > 1:
        line += f", its first {count} batches {_difference(step.step, words)}"
    shown = step.step.shown or step.first.shown
    return line + (". The level is learned anew." if shown else ". That is no step to be sure of.")


def _difference(one: Difference, words: MeasureWords) -> str:
    return f"{words.amount(one.value)} ({_interval(one.low, one.high, words)})"


def _interval(low: float, high: float, words: MeasureWords, digits: int = 2) -> str:
    """Without signs, which a kitchen would have to translate: `0.10 to 0.74`, or `0.02 paler to 1.31 darker`."""
    if low * high >= 0:
        near, far = sorted([abs(low), abs(high)])
        return f"{near:.{digits}f} to {far:.{digits}f}"
    return f"{-low:.{digits}f} {words.less} to {high:.{digits}f} {words.more}"


def _begun(part: Segment) -> str:
    name = part.words
    return name[:1].upper() + name[1:]


def _since(part: Segment) -> str:
    return f"since {part.words}" if part.events else "in the stretch before any event"


def _drift_lines(told: WhatChanged, words: MeasureWords) -> Iterator[str]:
    """A change at once also leaves a slope; where it fits better, it is told instead."""
    at_once = [changed.part for changed in told.changes if not changed.gradual]
    shown = [
        (part, slope)
        for part, slope in zip(told.parts, told.drift.slopes, strict=True)
        if slope is not None and slope.shown and part not in at_once
    ]
    for part, slope in shown:
        yield (
            f"Drift {_since(part)}: {_slope(slope, words)}, {words.amount(slope.over_all)} over its "
            f"{slope.batches} batches. No new lot explains that: look at "
            f"{words.where(slope.per_batch)}; and at card, phone and light."
        )
    common = told.drift.common if not at_once else None
    if common is not None and common.shown:
        yield (
            f"Drift in all stretches alike: {_slope(common, words)}. No new lot explains what moves the same way in "
            f"each: look at {words.where(common.per_batch)}."
        )
    elif not shown:
        yield "No drift inside a stretch is shown."
    if told.drift.unseen:
        yield (
            f"{told.drift.unseen} of {len(told.batches)} batches lie in stretches of fewer than {LEAST_BATCHES}: "
            "a drift inside those can't be told."
        )


def _slope(slope: Slope, words: MeasureWords) -> str:
    interval = _interval(slope.low, slope.high, words, 3)
    return f"each batch is {words.amount(slope.per_batch, 3)} than the one before ({interval})"


def _change_line(changed: Changed, words: MeasureWords, clock: Clock, named: Namer) -> str:
    change, start = changed.change, changed.part.start
    line = (
        f"Changed {_since(changed.part)}: most likely between batch {start + change.first} "
        f"({clock(changed.last_before.at)}) and batch {start + change.last} ({clock(changed.first_after.at)}), "
        f"{min(100 * change.held, 99):.0f} % sure; {words.amount(change.step)} from then on. "
    )
    if changed.gradual:
        line += "A steady drift fits better than one change. "
    before, after = _plates(changed.before[-1:], named), _plates(changed.after[:1], named)
    return f"{line}Look at the plates on both sides: {before} before, {after} after; and at {words.where(change.step)}."


def _plates(batches: tuple[Batch, ...], named: Namer) -> str:
    return ", ".join(named(plate.plate) for batch in batches for plate in batch.plates)
