"""Stretches between events: a new lot, a new crop or new oil may shift the level, so each stretch has its own."""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from grader.consistency.model import Event, PlateSummary


@dataclass(frozen=True, slots=True, kw_only=True)
class Segment:
    """The batches `start` to `stop` (not with it), counted from 0 in the order of time, and the events before them.

    `events` is empty for the first stretch, unless something happened before its first batch. No batch yet
    (`start == stop`) after an event that nothing was photographed since.
    """

    start: int
    stop: int
    events: tuple[Event, ...] = ()

    @property
    def batches(self) -> int:
        """How many batches it has."""
        return self.stop - self.start

    @property
    def words(self) -> str:
        """What it began with: `new lot 4711 (from Monday's truck) + oil changed`."""
        return " + ".join(event_words(event) for event in self.events)


def event_words(event: Event) -> str:
    """An event in a few words: its kind, its lot, what a person wrote of it."""
    lot = f" {event.lot}" if event.lot else ""
    written = f" ({event.words})" if event.words else ""
    return f"{event.kind.value}{lot}{written}"


def segments(times: Sequence[datetime], events: Sequence[Event]) -> tuple[Segment, ...]:
    """The stretches of batches taken at `times` (n,), ascending, between `events` in any order.

    A batch taken at the very moment of an event belongs to what follows it. Events with no batch between them begin
    one stretch together.

    Raises
    ------
    ValueError
        `times` don't ascend.
    """
    if any(later < earlier for earlier, later in pairwise(times)):
        raise ValueError("batches must come in the order of time")
    begun: dict[int, list[Event]] = {0: []}
    for event in sorted(events, key=lambda one: one.at):
        begun.setdefault(bisect_left(times, event.at), []).append(event)
    starts = sorted(begun)
    stops = [*starts[1:], len(times)]
    return tuple(
        Segment(start=start, stop=stop, events=tuple(begun[start])) for start, stop in zip(starts, stops, strict=True)
    )


def events_of(plates: Sequence[PlateSummary], events: Sequence[Event]) -> tuple[Event, ...]:
    """The events after which one or more of these plates may differ, by where they were made; in the order of time."""
    concerned = (event for event in events if any(event.concerns(plate) for plate in plates))
    return tuple(sorted(concerned, key=lambda one: one.at))
