"""A trial's table: written as it was planned, read once it is filled in."""

from collections.abc import Sequence
from pathlib import Path

from grader.line.trial import COLDEST_C, HOTTEST_C, LONGEST_S, SHORTEST_S, TrialPlate
from grader.line.trial_plan import Setting
from grader.trueness.tables import Row, read_rows, table_text

COLUMNS = ("time_s", "celsius", "place")
_HINT = "Fill in the mean place of each plate on the house scale, as `grade` tells it; drop rows of plates not fried."


def plan_text(settings: Sequence[Setting]) -> str:
    """A table with the plates to fry, their places still empty."""
    return table_text(COLUMNS, [(f"{one.time_s:g}", f"{one.celsius:g}", "") for one in settings])


def read_plates(path: Path) -> tuple[TrialPlate, ...]:
    """The plates of a filled-in table.

    Raises
    ------
    DocumentFaulty
        With everything that is wrong with it.
    OSError
        It can't be read.
    """
    return read_rows(path, COLUMNS, _plate, hint=_HINT)


def _plate(row: Row) -> TrialPlate | None:
    time_s, celsius = row.number("time_s", SHORTEST_S, LONGEST_S), row.number("celsius", COLDEST_C, HOTTEST_C)
    place = row.number("place", -5, 99)
    if time_s is None or celsius is None or place is None:
        return None
    return TrialPlate(time_s=time_s, celsius=celsius, place=place)
