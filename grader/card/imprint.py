"""What tells one printed sheet from the next: its serial, the day it was printed, the day to print it anew."""

from calendar import monthrange
from dataclasses import dataclass
from datetime import date

from grader.card.serial import MOST_PER_RUN, Serial, SerialFaulty

DEFAULT_MONTHS = 6
"""Until a sheet is to be printed anew. Pigment ink on matt paper that is kept in the dark outlasts this; in a kitchen
grease, wiping and hands end a card sooner than light does. Half a year is often enough to be sure and seldom enough to
be done. Common practice, no source: a card that is compared with its twin from the dark may be given longer."""
MOST_MONTHS = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class Imprint:
    """The part of a sheet's print that is its own; `renew_by` is the last day on which it counts."""

    serial: Serial
    printed: date
    renew_by: date


def imprint_run(run: str, *, first: int, count: int, printed: date, months: int) -> tuple[Imprint, ...]:
    """The imprints of `count` sheets of one print run, numbered from `first`.

    Parameters
    ----------
    months
        From printing to printing anew, 1 to 24.

    Raises
    ------
    SerialFaulty
        The run has no such name, or its numbers are used up: more than 999.
    ValueError
        `count` or `months` lie outside their range.
    """
    if count < 1 or not 1 <= months <= MOST_MONTHS:
        raise ValueError(f"count must be at least 1 and months 1 to {MOST_MONTHS}, not {count} and {months}")
    if first + count - 1 > MOST_PER_RUN:
        raise SerialFaulty(
            f"A print run has {MOST_PER_RUN} numbers; {count} sheets from {first} on would need more.",
            hint="Print fewer, or begin a new run.",
        )
    renew_by = months_later(printed, months)
    return tuple(
        Imprint(serial=Serial(run, number), printed=printed, renew_by=renew_by)
        for number in range(first, first + count)
    )


def months_later(day: date, months: int) -> date:
    """The same day so many months later; the last day of that month where it is shorter."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))
