"""When a shift is sampled: moments that are drawn, so that nobody chooses which plate is looked at.

The shift is cut into as many equal parts as there are samples, and one moment is drawn in each: a stratified random
sample. It is spread over the shift, and still no cook can tell when the next one comes.

Source: W. G. Cochran, Sampling Techniques, 3rd edition, Wiley 1977, chapter 5 (one unit a stratum of equal size). From
memory; the tests check what follows from it (the mean of the parts' middles, a variance n squared times smaller).
"""

from datetime import UTC, datetime, time, timedelta

import numpy as np

from grader.errors import GraderError

SAMPLES_AT_MOST = 48


class PlanImpossibleError(GraderError, ValueError):
    """A shift or a number of samples that can't be drawn for."""


def shift_on(now: datetime, begins: time, ends: time) -> tuple[datetime, datetime]:
    """The shift of `now`'s day by the clock of its zone; after midnight still the one that runs since the day before.

    One that ends no later than it begins ends on the next day.
    """
    start, end = (datetime.combine(now.date(), clock, now.tzinfo) for clock in (begins, ends))
    if ends > begins:
        return start, end
    day = timedelta(days=1)
    return (start - day, end) if now < end else (start, end + day)


def draw_times(start: datetime, end: datetime, samples: int, rng: np.random.Generator) -> tuple[datetime, ...]:
    """`samples` moments between start and end, one in each equal part, to the whole second; the earliest first.

    Parts are equal in time that passes: a shift over a change of clocks is an hour longer, or shorter, than it looks.

    Raises
    ------
    PlanImpossibleError
        The shift ends before it begins, or lasts less than a minute a sample; or no samples are asked for, or too many.
    """
    if not 1 <= samples <= SAMPLES_AT_MOST:
        raise PlanImpossibleError(f"{samples} samples a shift can't be.", hint=f"Take 1 to {SAMPLES_AT_MOST}.")
    begun, zone = start.astimezone(UTC), start.tzinfo
    length_s = (end.astimezone(UTC) - begun).total_seconds()
    if length_s < 60 * samples:
        raise PlanImpossibleError(
            "The shift is too short for so many samples, or it ends before it begins.",
            hint="Check when it begins and ends; a shift over midnight ends on the next day.",
        )
    part_s = length_s / samples
    drawn = (begun + timedelta(seconds=int((k + one) * part_s)) for k, one in enumerate(rng.random(samples)))
    return tuple(moment.astimezone(zone) for moment in drawn)
