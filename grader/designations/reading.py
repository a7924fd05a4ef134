"""Published designations from their TOML files, checked; every fault reported at once, with its line and field."""

import math
from functools import cache
from typing import cast, get_args

from grader.designations.model import LengthRow, Mark, Published, SectionRow, Sense, ShareAsked, WordRow
from grader.places import calibration_folder
from grader.standard.document import read_document, rows_of
from grader.standard.fields import Table

SCHEMA_VERSION = 1

_HINT = "Correct the file and read it again; the files in calibration/designations show every field."
_NAME, _SENTENCE = 120, 400
_LENGTH_MM, _SECTION_MM = (5, 300), (1, 60)


@cache
def load_published() -> dict[str, Published]:
    """All published standards that ship, by the name of their file, in alphabetical order.

    Raises
    ------
    DocumentFaulty
        One of the files was damaged.
    """
    files = sorted((calibration_folder() / "designations").glob("*.toml"))
    return {file.stem: read_published(file.read_text(encoding="utf-8"), name=file.name) for file in files}


def read_published(text: str, *, name: str) -> Published:
    """Designations from the text of a TOML file; `name` is what the file is called in the message.

    Raises
    ------
    DocumentFaulty
        With every fault of the file, in the order of its lines.
    """
    return read_document(text, name=name, hint=_HINT, build=_published)


def _published(top: Table) -> Published | None:
    schema_version = top.number("schema_version", SCHEMA_VERSION, SCHEMA_VERSION, unit="")
    name, short_name = top.text("name", at_most=_NAME), top.text("short_name", at_most=_NAME)
    edition, issuer = top.text("edition", at_most=_SENTENCE), top.text("issuer", at_most=_NAME)
    said_of = top.text("said_of", at_most=_NAME)
    lengths = rows_of(top.tables("lengths"), _length)
    sections = rows_of(top.tables("sections"), _section)
    words = rows_of(top.tables("words"), _word)
    top.close()
    if (
        schema_version is None or name is None or short_name is None or edition is None or issuer is None
        or said_of is None or lengths is None or sections is None or words is None
    ):  # fmt: skip
        return None
    return Published(
        name=name,
        short_name=short_name,
        edition=edition,
        issuer=issuer,
        said_of=said_of,
        lengths=lengths,
        sections=sections,
        words=words,
    )


def _head(table: Table) -> tuple[str, Mark, str] | None:
    """What every row has: its name, how far it was read, and where."""
    name, source = table.text("name", at_most=_NAME), table.text("source", at_most=_SENTENCE)
    mark = table.choice("mark", get_args(Mark))
    if name is None or mark is None or source is None:
        return None
    return name, cast("Mark", mark), source


def _length(table: Table) -> LengthRow | None:
    head = _head(table)
    shares = rows_of(table.tables("shares"), _share)
    table.close()
    if shares == ():
        table.fault("shares", "is empty; a length designation asks for at least one share")
    if head is None or not shares:
        return None
    name, mark, source = head
    return LengthRow(name=name, mark=mark, source=source, shares=shares)


def _share(table: Table) -> ShareAsked | None:
    length = table.number("length_mm", *_LENGTH_MM, unit="mm")
    sense = table.choice("sense", get_args(Sense))
    share = table.share("share", 0.01, 0.99)
    table.close()
    if length is None or sense is None or share is None:
        return None
    return ShareAsked(length_mm=length, sense=cast("Sense", sense), share=share)


def _section(table: Table) -> SectionRow | None:
    head = _head(table)
    from_mm = table.number("from_mm", *_SECTION_MM, unit="mm")
    to_mm = table.number("to_mm", _SECTION_MM[0], math.inf, unit="mm")
    table.close()
    if from_mm is not None and to_mm is not None and to_mm <= from_mm:
        table.fault("to_mm", f"is {to_mm:g} mm, not above from_mm ({from_mm:g} mm)")
        return None
    if head is None or from_mm is None or to_mm is None:
        return None
    name, mark, source = head
    return SectionRow(name=name, mark=mark, source=source, from_mm=from_mm, to_mm=to_mm)


def _word(table: Table) -> WordRow | None:
    head = _head(table)
    about, meaning = table.text("about", at_most=_NAME), table.text("meaning", at_most=_SENTENCE)
    table.close()
    if head is None or about is None or meaning is None:
        return None
    name, mark, source = head
    return WordRow(about=about, name=name, meaning=meaning, mark=mark, source=source)
