"""The table of a lot test fry: as it was planned, as it is filled in by hand or scored from photos."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from grader.line.lot_fry import Lot, TestStrip
from grader.trueness.tables import Row, read_rows, table_text

COLUMNS = ("basket", "lot", "carton", "tuber", "place", "sugar_end")
NUMBERS = ("number", "stem_number")
"""By the published numbering, where the house has chips of it; a table may lack them."""
_SAID = {"yes": True, "no": False, "": None}
_HINT = "Enter each strip's place on the house scale, and yes or no for a dark stem end (empty where it can't be told)."


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """A strip as it was planned; carton and tuber are counted within its lot."""

    basket: str
    lot: Lot
    carton: str
    tuber: str


def plan_text(planned: Sequence[tuple[Lot, int, int, int]]) -> str:
    """A table with the strips to fry, basket by basket; places and ends still empty."""
    return table_text(COLUMNS, [(basket, lot, carton, tuber, "", "") for lot, carton, tuber, basket in planned])


def read_strips(path: Path) -> tuple[TestStrip, ...]:
    """The strips of a filled-in table.

    Raises
    ------
    DocumentFaulty
        With everything that is wrong with it.
    OSError
        It can't be read.
    """
    return read_rows(path, COLUMNS, _strip, hint=_HINT)


def read_planned(path: Path) -> tuple[Planned, ...]:
    """The strips of a planned table, whether it is filled in or not.

    Raises
    ------
    DocumentFaulty
        With everything that is wrong with it.
    OSError
        It can't be read.
    """
    return read_rows(path, COLUMNS[:4], _planned, hint="Take the table that intake plan-fry wrote.")


def scored_text(strips: Sequence[TestStrip]) -> str:
    """A table with every scored strip."""
    told = {yes: word for word, yes in _SAID.items()}
    rows = [
        (one.basket, one.lot, one.carton, one.tuber, f"{one.place:.3f}", told[one.sugar_end],
         *("" if number is None else f"{number:.2f}" for number in (one.number, one.stem_number)))
        for one in strips
    ]  # fmt: skip
    return table_text((*COLUMNS, *NUMBERS), rows)


def _strip(row: Row) -> TestStrip | None:
    lot, end = row.choice("lot", [lot.value for lot in Lot]), row.choice("sugar_end", list(_SAID))
    place = row.number("place", -5, 99)
    names = [row.needed(key) for key in ("basket", "carton", "tuber")]
    if lot is None or end is None or place is None or not all(names):
        return None
    basket, carton, tuber = names
    number, stem = (row.number(key, 0, 4) if row.text(key) else None for key in NUMBERS)
    return TestStrip(
        lot=Lot(lot),
        carton=carton,
        tuber=tuber,
        basket=basket,
        place=place,
        sugar_end=_SAID[end],
        number=number,
        stem_number=stem,
    )


def _planned(row: Row) -> Planned | None:
    lot = row.choice("lot", [lot.value for lot in Lot])
    basket, carton, tuber = (row.needed(key) for key in ("basket", "carton", "tuber"))
    return None if lot is None else Planned(basket=basket, lot=Lot(lot), carton=carton, tuber=tuber)
