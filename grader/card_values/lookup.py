"""Which values hold for a card on a day."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from grader.card.layouts import load_layouts
from grader.card.model import Layout
from grader.card.serial import Serial
from grader.card_values.keeping import load_values
from grader.card_values.model import CardValues


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class KnownValues:
    """All that is known of the house's print runs, and the day on which it is asked."""

    values: tuple[CardValues, ...]
    on: date


def known_values(folder: Path, *, on: date) -> KnownValues:
    """What a folder holds; see `load_values` for what is raised."""
    return KnownValues(values=load_values(folder, load_layouts()), on=on)


def as_of(known: KnownValues, taken_at: str | None) -> KnownValues:
    """The same, asked for the day on which a photo was taken (ISO 8601), where it says so and that day has come."""
    try:
        taken_on = date.fromisoformat((taken_at or "")[:10])
    except ValueError:
        return known
    return replace(known, on=min(taken_on, known.on))


def find_values(known: KnownValues, serial: Serial | None, layout: Layout) -> CardValues | None:
    """The values of a card: of all measurements of its print run the newest by that day.

    Where all are later the earliest counts: a run may have been photographed before it was measured. Of two of one day
    the one kept later counts. None where the serial is not known or its run was never kept.
    """
    if serial is None:
        return None
    return _newest([one for one in known.values if one.run == serial.run and one.layout == layout.key], known.on)


def newest_of_each(known: KnownValues) -> tuple[CardValues, ...]:
    """Of each print run of each sheet what counts on that day, by run and sheet."""
    kept: dict[tuple[str, str], list[CardValues]] = {}
    for one in known.values:
        kept.setdefault((one.run, one.layout), []).append(one)
    newest = (_newest(of_one, known.on) for _, of_one in sorted(kept.items()))
    return tuple(one for one in newest if one is not None)


def _newest(of_one_run: Sequence[CardValues], on: date) -> CardValues | None:
    # A run is noted as designed before anybody measures it, and what was measured then holds for it all along.
    counting = [one for one in of_one_run if one.measured] or list(of_one_run)
    by_day = sorted(counting, key=lambda one: one.measured_on)
    by_then = [one for one in by_day if one.measured_on <= on]
    return by_then[-1] if by_then else next(iter(by_day), None)


def values_for(serial: Serial | None, layout: Layout, folder: Path, *, on: date) -> CardValues | None:
    """`find_values` in a folder; see `load_values` for what is raised."""
    return find_values(known_values(folder, on=on), serial, layout)


def measured_runs(known: Sequence[CardValues], layout: Layout) -> tuple[str, ...]:
    """The print runs of a sheet that were measured, by name."""
    return tuple(sorted({one.run for one in known if one.layout == layout.key and one.measured}))
