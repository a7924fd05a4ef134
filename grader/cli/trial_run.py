"""A trial's table: written as it was planned, read once it is filled in."""

from collections.abc import Sequence
from pathlib import Path

from grader.errors import DocumentFaulty
from grader.line.trial import TrialPlate
from grader.line.trial_plan import Setting
from grader.new_files import write_new
from grader.trueness.tables import Noted, read_table, table_text

COLUMNS = ("time_s", "celsius", "place")
_HINT = "Fill in the mean place of each plate on the house scale, as `grade` tells it; drop rows of plates not fried."


def write_plan(path: Path, settings: Sequence[Setting]) -> None:
    """A table with the plates to fry, their places still empty.

    Raises
    ------
    OSError
        It can't be written, or is there already.
    """
    rows = [(f"{one.time_s:g}", f"{one.celsius:g}", "") for one in settings]
    write_new(path, table_text(COLUMNS, rows))


def read_plates(path: Path) -> tuple[TrialPlate, ...]:
    """The plates of a filled-in table.

    Raises
    ------
    DocumentFaulty
        With everything that is wrong with it.
    OSError
        It can't be read.
    """
    noted, plates = Noted(), []
    for row in read_table(path, COLUMNS, noted):
        time_s, celsius = row.number("time_s", 1, 3600), row.number("celsius", 100, 220)
        place = row.number("place", -5, 99)
        if time_s is not None and celsius is not None and place is not None:
            plates.append(TrialPlate(time_s=time_s, celsius=celsius, place=place))
    if noted.faults:
        raise DocumentFaulty(f"The table {path.name}", tuple(noted.faults), hint=_HINT)
    return tuple(plates)
