"""Moments and days as a file for strangers bears them: UTC, written in one way, of years that a clock can show."""

from datetime import date, datetime, timedelta

_FIRST_YEAR, _LAST_YEAR = 1970, 9998
"""Days can be added to such moments, and taken from them, without leaving the calendar."""


def read_moment(text: str) -> datetime:
    """The moment in "2026-10-06T09:00:00+00:00".

    Raises
    ------
    ValueError
        It is none, names another zone than UTC or none, or is written otherwise.
    """
    at = datetime.fromisoformat(text)
    if at.utcoffset() != timedelta() or at.isoformat(timespec="seconds") != text or not _shown(at):
        raise ValueError(text)
    return at


def read_day(text: str) -> date:
    """The day in "2026-10-06".

    Raises
    ------
    ValueError
        It is none, or written otherwise.
    """
    day = date.fromisoformat(text)
    if day.isoformat() != text or not _shown(day):
        raise ValueError(text)
    return day


def _shown(day: date) -> bool:
    return _FIRST_YEAR <= day.year <= _LAST_YEAR
