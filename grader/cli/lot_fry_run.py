"""The table of a lot test fry: written as it was planned, read once it is filled in."""

from collections.abc import Sequence
from pathlib import Path

from grader.errors import DocumentFaulty
from grader.line.lot_fry import Lot, TestStrip
from grader.new_files import write_new
from grader.trueness.tables import Noted, Row, read_table, table_text

COLUMNS = ("basket", "lot", "carton", "tuber", "place", "sugar_end")
_SAID = {"yes": True, "no": False, "": None}
_HINT = "Enter each strip's place on the house scale, and yes or no for a dark stem end (empty where it can't be told)."


def write_lot_plan(path: Path, planned: Sequence[tuple[Lot, int, int, int]]) -> None:
    """A table with the strips to fry, basket by basket; places and ends still empty.

    Raises
    ------
    OSError
        It can't be written, or is there already.
    """
    write_new(
        path, table_text(COLUMNS, [(basket, lot, carton, tuber, "", "") for lot, carton, tuber, basket in planned])
    )


def read_strips(path: Path) -> tuple[TestStrip, ...]:
    """The strips of a filled-in table.

    Raises
    ------
    DocumentFaulty
        With everything that is wrong with it.
    OSError
        It can't be read.
    """
    noted = Noted()
    strips = [_strip(row) for row in read_table(path, COLUMNS, noted)]
    if noted.faults:
        raise DocumentFaulty(f"The table {path.name}", tuple(noted.faults), hint=_HINT)
    return tuple(strip for strip in strips if strip is not None)


def _strip(row: Row) -> TestStrip | None:
    lot, end = row.choice("lot", [lot.value for lot in Lot]), row.choice("sugar_end", list(_SAID))
    place = row.number("place", -5, 99)
    names = [row.needed(key) for key in ("basket", "carton", "tuber")]
    if lot is None or end is None or place is None or not all(names):
        return None
    basket, carton, tuber = names
    return TestStrip(lot=Lot(lot), carton=carton, tuber=tuber, basket=basket, place=place, sugar_end=_SAID[end])
