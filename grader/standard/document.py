"""A document of TOML tables, built into a typed value; every fault reported at once, with its line and field."""

import re
import tomllib
from collections.abc import Callable, Iterable
from typing import TypeVar

from grader.errors import DocumentFaulty, Fault
from grader.standard.fields import Faults, Table
from grader.toml_lines import lines_of_fields

LINES_AT_MOST = 500
CHARACTERS_AT_MOST = 50_000

Built = TypeVar("Built")


def read_document(text: str, *, name: str, hint: str, build: Callable[[Table], Built | None]) -> Built:
    """What `build` makes of the document's top table; `name` is what the file is called in the message.

    `build` notes each fault in the table that it is given, and hands back None where something is missing or wrong.

    Raises
    ------
    DocumentFaulty
        With every fault of the file, in the order of its lines.
    """
    content = _parsed(text, name, hint)
    faults = Faults({})
    built = build(Table(content, place=(), faults=faults))
    if built is None or faults.in_order():
        # Read again to say where: lines are looked up only for a file that has faults, because that takes long.
        faults = Faults(lines_of_fields(text))
        build(Table(content, place=(), faults=faults))
        raise DocumentFaulty(name, faults.in_order(), hint=hint)
    return built


def rows_of(tables: Iterable[Table], build: Callable[[Table], Built | None]) -> tuple[Built, ...] | None:
    """What `build` makes of each table of a list; None where one is faulty."""
    built = [build(table) for table in tables]
    whole = tuple(row for row in built if row is not None)
    return whole if len(whole) == len(built) else None


def _parsed(text: str, name: str, hint: str) -> dict[str, object]:
    if len(text) > CHARACTERS_AT_MOST or text.count("\n") > LINES_AT_MOST:
        message = f"is longer than a standard can be ({LINES_AT_MOST} lines, {CHARACTERS_AT_MOST} characters)"
        raise DocumentFaulty(name, (Fault(line=None, field="the file", message=message),), hint=hint)
    try:
        content = tomllib.loads(text)
        str(content)  # hexadecimal numbers of any length are read; no fault that shows one could be written
    except RecursionError:
        fault = Fault(line=None, field="the file", message="is nested too deep")
    except ValueError as error:  # tomllib's own error, and Python's for a number with thousands of digits
        at = re.search(r"\(at line (\d+)", str(error))
        # Where the file just ends, the parser gives no line.
        line = int(at.group(1)) if at else max(1, len(text.splitlines()))
        fault = Fault(line=line, field="the file", message=f"is not valid TOML: {error}")
    else:
        return content
    raise DocumentFaulty(name, (fault,), hint=hint)
