"""The times at which a shift is to be sampled: drawn once, kept, and never drawn again for the same shift."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

import numpy as np
from sqlalchemy import Connection, select

from grader.records.database.house import House
from grader.records.database.newest import newest
from grader.records.database.pass_tables import SampleTimes
from grader.records.database.setting import Setting, check_setting
from grader.records.database.things import add_once, kitchen_of, known_kitchen, writer
from grader.sampling.times import draw_times

ANSWERED_WITHIN = timedelta(minutes=30)
"""A plate later than that is another sample (house default)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShiftTimes:
    """One shift of a kitchen, when it begins and ends, and the moments drawn in it, all with their zone."""

    day: date
    shift: str
    start: datetime
    end: datetime
    times: tuple[datetime, ...]

    def taken_for(self, now: datetime) -> datetime | None:
        """The drawn moment that a plate of now answers: the last one, within half an hour; None where there is none."""
        passed = [one for one in self.times if timedelta() <= now - one <= ANSWERED_WITHIN]
        return passed[-1] if passed else None

    def due(self, now: datetime) -> datetime | None:
        """The next moment; None where all have passed."""
        return next((one for one in self.times if one > now), None)


def times_of(house: House, setting: Setting, now: datetime) -> ShiftTimes | None:
    """What was drawn for a shift of a kitchen that is known; None where nothing was.

    It is that of the day on which `now` falls by the kitchen's clock; but after midnight, of the shift that began the
    day before, until nothing more can answer it.
    """
    check_setting(setting)
    with house.reading() as connection:
        known = known_kitchen(connection, setting)
        if known is None:
            return None
        kitchen_id, zone = known
        today = now.astimezone(zone).date()
        before = _kept(connection, kitchen_id, today - timedelta(days=1), setting.shift)
        if before is not None and now <= before.end + ANSWERED_WITHIN:
            return before
        return _kept(connection, kitchen_id, today, setting.shift)


def draw_for_shift(
    house: House, setting: Setting, *, start: datetime, end: datetime, samples: int, rng: np.random.Generator
) -> ShiftTimes:
    """Draw the times of the shift that begins at `start`, or give those that were drawn for it before.

    Raises
    ------
    PlanImpossibleError
        As `draw_times`.
    RecordsRefused
        The setting says too little, or contradicts what is kept.
    RecordsUnusable
        The database can't be written.
    """
    check_setting(setting)
    drawn = draw_times(start, end, samples, rng)

    def keep(connection: Connection) -> ShiftTimes:
        write = writer(connection, now=datetime.now(UTC), by=setting.by)
        kitchen_id, zone = kitchen_of(write, setting)
        day = start.astimezone(zone).date()
        plan = {
            "times": [one.astimezone(UTC).isoformat() for one in drawn],
            "from": start.astimezone(UTC).isoformat(),
            "until": end.astimezone(UTC).isoformat(),
        }
        row = {"kitchen_id": kitchen_id, "day": day, "shift": setting.shift, "plan": plan}
        add_once(connection, SampleTimes, {**write.signed, **row})
        kept = _kept(connection, kitchen_id, day, setting.shift)
        if kept is None:
            raise RuntimeError("the times were added and aren't there")
        return kept

    return house.write(keep)


def _kept(connection: Connection, kitchen_id: int, day: date, shift: str) -> ShiftTimes | None:
    table = SampleTimes
    asked = select(table.plan).where(
        newest(table), table.kitchen_id == kitchen_id, table.day == day, table.shift == shift
    )
    plan = connection.scalar(asked)
    if plan is None:
        return None
    return ShiftTimes(
        day=day,
        shift=shift,
        start=datetime.fromisoformat(plan["from"]),
        end=datetime.fromisoformat(plan["until"]),
        times=tuple(datetime.fromisoformat(one) for one in plan["times"]),
    )
