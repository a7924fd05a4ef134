"""A file of readings as a table of words: CGATS.17 text as instruments write it, or CSV as people type it.

The file may come from anybody: it is bounded in size, and nothing in it is believed before it is checked. Numbers stay
words here; what they mean `readings` tells.
"""

import csv
import hashlib
import shlex
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from grader.errors import DocumentFaulty, Fault

BYTES_AT_MOST = 1_000_000
ROWS_AT_MOST = 2_000
_LONGEST_LINE = 20_000

READINGS_HINT = (
    "Export the readings anew as CGATS text or as CSV with the columns number, L, a, b; the command"
    " `card-values template` writes a table to fill in."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row: the line that it stands on, from 1, and its cells in the order of the table's fields."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingsTable:
    """A table as it stands in a file.

    Attributes
    ----------
    name, sha256
        Of the file.
    fields
        Names of the columns, in capitals.
    decimal_comma
        Numbers may be written with a comma: columns are parted by another sign.
    statements
        What the file says of its data: CGATS keywords, in capitals, and all values given to each.
    """

    name: str
    sha256: str
    fields: tuple[str, ...]
    rows: tuple[Row, ...]
    decimal_comma: bool
    statements: dict[str, tuple[str, ...]]


def read_table(data: bytes, *, name: str) -> ReadingsTable:
    """The table in the bytes of a file; `name` is what the file is called in the message.

    Raises
    ------
    DocumentFaulty
        With every fault of the file's form.
    """
    lines = _lines(data, name)
    sha256 = hashlib.sha256(data).hexdigest()
    if any(line.strip().upper() == "BEGIN_DATA_FORMAT" for line in lines):
        return _cgats(lines, name, sha256)
    return _csv(lines, name, sha256)


def _lines(data: bytes, name: str) -> list[str]:
    if len(data) > BYTES_AT_MOST:
        raise _faulty(name, [_fault(None, f"is larger than a table of readings can be ({BYTES_AT_MOST // 1000} kB)")])
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise _faulty(name, [_fault(line, "is not UTF-8 text; save it as plain text in UTF-8")]) from error
    lines = text.splitlines()
    faults = [_fault(n, "holds signs that no text has") for n, line in enumerate(lines, 1) if not _is_text(line)]
    faults += [_fault(n, "is too long") for n, line in enumerate(lines, 1) if len(line) > _LONGEST_LINE]
    if not any(line.strip() for line in lines):
        faults.append(_fault(None, "is empty"))
    if faults:
        raise _faulty(name, faults[:20])
    return lines


def _is_text(line: str) -> bool:
    return line.replace("\t", "").isprintable()


def _faulty(name: str, faults: Sequence[Fault]) -> DocumentFaulty:
    return DocumentFaulty(name, tuple(faults), hint=READINGS_HINT)


def _fault(line: int | None, message: str) -> Fault:
    return Fault(line=line, field="the file", message=message)


def _csv(lines: Sequence[str], name: str, sha256: str) -> ReadingsTable:
    """A header and rows, parted by commas, semicolons or tabs; lines that begin with # are remarks."""
    numbered = [(n, line) for n, line in enumerate(lines, 1) if line.strip() and not line.lstrip('" ').startswith("#")]
    if not numbered:
        raise _faulty(name, [_fault(None, "holds no table")])
    parted_by = next((sign for sign in "\t;" if sign in numbered[0][1]), ",")
    try:
        parsed = [(n, next(csv.reader([line], delimiter=parted_by, strict=True))) for n, line in numbered]
    except csv.Error as error:
        raise _faulty(name, [_fault(None, f"can't be read as CSV: {error}")]) from error
    rows = [Row(line=n, cells=tuple(cell.strip() for cell in cells)) for n, cells in parsed]
    # Spreadsheets leave rows of empty cells behind.
    kept = tuple(row for row in rows[1:] if any(row.cells))
    fields = tuple(cell.upper() for cell in rows[0].cells)
    faults = list(_faults_of_form(fields, kept))
    if faults:
        raise _faulty(name, faults)
    return ReadingsTable(
        name=name, sha256=sha256, fields=fields, rows=kept, decimal_comma=parted_by != ",", statements={}
    )


def _faults_of_form(fields: Sequence[str], rows: Sequence[Row]) -> Iterator[Fault]:
    doubled = sorted(field for field, times in Counter(fields).items() if field and times > 1)
    if doubled:
        yield _fault(None, f"has more than one column {', '.join(doubled)}")
    if len(rows) > ROWS_AT_MOST:
        yield _fault(None, f"has {len(rows)} rows; at most {ROWS_AT_MOST} are read")
        return
    for row in rows:
        if len(row.cells) != len(fields):
            yield _fault(row.line, f"has {len(row.cells)} entries for {len(fields)} columns")


def _cgats(lines: Sequence[str], name: str, sha256: str) -> ReadingsTable:
    """Keywords, then BEGIN_DATA_FORMAT fields END_DATA_FORMAT, then BEGIN_DATA rows END_DATA. Source: ANSI CGATS.17."""
    statements: dict[str, list[str]] = {}
    fields: list[str] = []
    rows: list[Row] = []
    faults: list[Fault] = []
    part, tables = "", 0
    for number, line in enumerate(lines, 1):
        words = _words(line)
        if not words:
            continue
        match words[0].upper():
            case ("BEGIN_DATA_FORMAT" | "BEGIN_DATA") as begins:
                part = begins.removeprefix("BEGIN_")
                tables += part == "DATA"
            case "END_DATA_FORMAT" | "END_DATA":
                part = ""
            case _ if part == "DATA_FORMAT":
                fields += [word.upper() for word in words]
            case _ if part == "DATA":
                rows.append(Row(line=number, cells=tuple(words)))
            case keyword:
                statements.setdefault(keyword, []).append(" ".join(words[1:]))
    if part:
        faults.append(_fault(len(lines), f"ends before END_{part}: it was cut short"))
    if tables != 1:
        faults.append(_fault(None, f"holds {tables} tables of data; export one, of one measuring condition"))
    else:
        faults += _faults_of_form(fields, rows)
        faults += _faults_of_counts(statements, fields=len(fields), rows=len(rows))
    if faults:
        raise _faulty(name, faults)
    said = {keyword: tuple(values) for keyword, values in statements.items()}
    return ReadingsTable(
        name=name, sha256=sha256, fields=tuple(fields), rows=tuple(rows), decimal_comma=False, statements=said
    )


def _words(line: str) -> list[str]:
    """The words of a line; what stands in double quotes is one, and # begins a remark."""
    lexer = shlex.shlex(line, posix=True, punctuation_chars=False)
    lexer.whitespace_split = True
    lexer.quotes, lexer.escape, lexer.commenters = '"', "", "#"
    try:
        return list(lexer)
    except ValueError:  # a quotation mark without its other half: a remark in words, no data
        return line.split()


def _faults_of_counts(statements: dict[str, list[str]], *, fields: int, rows: int) -> Iterator[Fault]:
    """The file's own counts, where it gives them, against what is in it: a copy that lost its end shows here."""
    for said in statements.get("NUMBER_OF_FIELDS", []):
        if said != str(fields):
            yield _fault(None, f"says NUMBER_OF_FIELDS {said[:20]} and has {fields} columns")
    for said in statements.get("NUMBER_OF_SETS", []):
        if said != str(rows):
            yield _fault(None, f"says NUMBER_OF_SETS {said[:20]} and has {rows} rows")
