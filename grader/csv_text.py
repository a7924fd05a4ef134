"""CSV text whose cells are never run: a spreadsheet takes what begins with =, +, - or @ for a formula.

The rule, for every cell of text in every CSV file that this program writes:

- one that begins with =, +, -, @, a tab or a line's end (spaces and quotation marks before it don't count; the wide
  signs of East Asian text do) gets an apostrophe in front, which spreadsheets take for "text follows";
- so does every part of it behind a semicolon, a tab or a line's end that begins with such a sign: where a spreadsheet
  parts cells by semicolons, that part would be a cell of its own;
- a plain number, such as -1.5, stays as it is, and so do cells that are numbers anyway.

`as_meant` takes exactly that away again, so that what the program reads back is what was entered.
Source of the signs: OWASP, CSV Injection.
"""

import csv
import io
import re
from collections.abc import Iterable, Sequence
from typing import TypeVar

Cell = TypeVar("Cell")

_SIGNS = "=+@\\-\uff1d\uff0b\uff0d\uff20"
_PLAIN_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?", re.ASCII)
_BEGINS = re.compile(rf"\A(?=['\" ]*[{_SIGNS}\t\r\n])")
_PART = re.compile(rf"([;\t\r\n])(?=['\" ]*[{_SIGNS}])")
_BEGAN = re.compile(rf"\A'(?=['\" ]*[{_SIGNS}\t\r\n])")
_PARTED = re.compile(rf"([;\t\r\n])'(?=['\" ]*[{_SIGNS}])")


def inert(cell: Cell) -> Cell | str:
    """The cell as no spreadsheet runs it; see above."""
    if not isinstance(cell, str) or _PLAIN_NUMBER.fullmatch(cell):
        return cell
    return _BEGINS.sub("'", _PART.sub(r"\1'", cell))


def as_meant(cell: str) -> str:
    """What was made inert, as it was before."""
    return _PARTED.sub(r"\1", _BEGAN.sub("", cell))


def csv_text(rows: Iterable[Sequence[object]]) -> str:
    """Rows of a table, the columns' names first: commas, decimal points, every cell inert.

    A spreadsheet wants it encoded with a byte order mark.
    """
    text = io.StringIO(newline="")
    csv.writer(text).writerows([inert(cell) for cell in row] for row in rows)
    return text.getvalue()
