"""Tables that people fill in with a spreadsheet: lenient as to form, strict as to content, all faults at once."""

import csv
import io
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from grader.csv_text import as_meant, csv_text
from grader.errors import DocumentFaulty, Fault

Choice = TypeVar("Choice", bound=str)
Built = TypeVar("Built")

_BYTES_AT_MOST = 1_000_000


@dataclass(slots=True)
class Noted:
    """What was found while reading: faults, and what is not filled in yet, in words."""

    faults: list[Fault] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)


class Row:
    """One row of a table. Every reading method hands back None where the cell is empty or wrong."""

    def __init__(self, cells: dict[str, str], *, file: str, line: int, comma: bool, noted: Noted) -> None:
        self._cells, self._file, self._line, self._comma, self._noted = cells, file, line, comma, noted

    def text(self, key: str) -> str:
        """What stands in a cell, empty where nothing does."""
        return self._cells.get(key, "").strip()

    def needed(self, key: str) -> str:
        """Some text; an empty cell is a fault."""
        text = self.text(key)
        if not text:
            self.fault(key, "is empty")
        return text

    def choice(self, key: str, options: Sequence[Choice]) -> Choice | None:
        """One of a few words."""
        text = self.text(key)
        for option in options:
            if text == option:
                return option
        self.fault(key, f'is "{text}"; it can be {", ".join(options)}')
        return None

    def number(self, key: str, low: float, high: float, *, may_be_missing: str = "") -> float | None:
        """A number from `low` to `high`; an empty cell is not filled in yet where `may_be_missing` says what lacks."""
        text = self.text(key)
        if not text and may_be_missing:
            self._noted.missing.append(may_be_missing)
            return None
        try:
            value = float(text.replace(",", ".") if self._comma else text)
        except ValueError:
            value = math.nan
        if not low <= value <= high:
            self.fault(key, f'is "{text}"; it must be a number from {low:g} to {high:g}')
            return None
        return value

    def whole(self, key: str, low: int, high: int) -> int | None:
        """A whole number."""
        value = self.number(key, low, high)
        if value is None or value == int(value):
            return None if value is None else int(value)
        self.fault(key, f"is {value:g}; it must be a whole number")
        return None

    def fault(self, key: str, message: str) -> None:
        """Note a fault of one cell."""
        self._noted.faults.append(Fault(line=self._line, field=f"{self._file}, {key}", message=message))


def read_table(path: Path, columns: Sequence[str], noted: Noted) -> Iterator[Row]:
    """The rows of a CSV file, empty ones left out. Commas or semicolons; with semicolons a decimal comma will do.

    Raises
    ------
    OSError
        The file can't be read.
    """
    text = _decoded(path, noted)
    if text is None:
        return
    semicolons = text.partition("\n")[0].count(";") > text.partition("\n")[0].count(",")
    lines = _lines(text, ";" if semicolons else ",", path.name, noted)
    _, cells = next(lines, (1, []))
    header = [name.strip() for name in cells]
    lacking = [name for name in columns if name not in header]
    if lacking:
        message = f"lacks the column {', '.join(lacking)} in its first line"
        noted.faults.append(Fault(line=1, field=path.name, message=message))
        return
    for number, written in lines:
        cells = [as_meant(cell) for cell in written]
        if any(cell.strip() for cell in cells):
            named = dict(zip(header, cells, strict=False))
            yield Row(named, file=path.name, line=number, comma=semicolons, noted=noted)


def _lines(text: str, parted_by: str, file: str, noted: Noted) -> Iterator[tuple[int, list[str]]]:
    """The line on which each row ends, and its cells; where it can't go on, that is a fault."""
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=parted_by)
    try:
        for cells in lines:
            yield lines.line_num, cells
    except csv.Error as error:
        noted.faults.append(Fault(line=lines.line_num, field=file, message=f"can't be read as CSV: {error}"))


def read_rows(
    path: Path, columns: Sequence[str], build: Callable[[Row], Built | None], *, hint: str
) -> tuple[Built, ...]:
    """What `build` makes of each row of a table; it notes what is wrong with a row, and hands back None then.

    Raises
    ------
    DocumentFaulty
        With every fault of the table.
    OSError
        It can't be read.
    """
    noted = Noted()
    built = [build(row) for row in read_table(path, columns, noted)]
    if noted.faults:
        raise DocumentFaulty(f"The table {path.name}", tuple(noted.faults), hint=hint)
    return tuple(one for one in built if one is not None)


def _decoded(path: Path, noted: Noted) -> str | None:
    data = path.read_bytes()[: _BYTES_AT_MOST + 1]
    try:
        if len(data) > _BYTES_AT_MOST:
            message = "is longer than such a table can be"
        else:
            return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        message = f"is not UTF-8 text (byte {error.start}): save it as CSV, UTF-8"
    noted.faults.append(Fault(line=None, field=path.name, message=message))
    return None


def table_text(columns: Sequence[str], rows: Sequence[Sequence[object]]) -> str:
    """A table as CSV text: commas, decimal points; a spreadsheet wants it encoded with a byte order mark."""
    return csv_text([columns, *rows])
