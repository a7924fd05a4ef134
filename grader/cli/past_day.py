"""A day on which something was done, as a command is told it: none that is still to come."""

from datetime import date, datetime

from grader.errors import GraderError
from grader.records.house import today


class DayToComeError(GraderError, ValueError):
    """A slip of the pen: what was measured or photographed then would count for years."""


def past_day(day: datetime) -> date:
    """The day that was given.

    Raises
    ------
    DayToComeError
        It has not come yet.
    """
    if day.date() > today():
        raise DayToComeError(
            f"{day.date().isoformat()} has not come yet.", hint="Check the year; give today or a day before."
        )
    return day.date()
