"""The values of a print run as the text of a TOML file: what was written comes back the same."""

import tomllib
from collections.abc import Iterator, Sequence
from datetime import date
from typing import Annotated, Literal

import numpy as np
from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError

from grader.arrays import FloatArray, frozen
from grader.card.model import Layout
from grader.card.serial import Serial
from grader.card_values.model import AsRead, CardValues, Method
from grader.errors import DocumentFaulty, Fault, dotted
from grader.toml_text import toml_entry, toml_value

SCHEMA_VERSION = 1
CHARACTERS_AT_MOST = 200_000
"""The largest mat read of forty cards, to the last digit of each number, takes some 195 000."""

_HINT = "Correct the file, or take it away and import the readings again."
_HEAD = """\
# The colours of one print run of one sheet, all of whose cards share them. CIELAB, CIE 1931 2 degree observer, D65.
# patch_lab lists the patches in the order of their numbers; each _u is a standard uncertainty (k = 1).
"""

_Share = Annotated[float, Field(ge=-200, le=200, allow_inf_nan=False, strict=True)]
_Lab = tuple[
    Annotated[float, Field(ge=0, le=100, allow_inf_nan=False, strict=True)],
    Annotated[float, Field(ge=-128, le=128, allow_inf_nan=False, strict=True)],
    Annotated[float, Field(ge=-128, le=128, allow_inf_nan=False, strict=True)],
]
_U = Annotated[float, Field(ge=0, le=20, allow_inf_nan=False, strict=True)]
_LabU = tuple[_U, _U, _U]
_RawLab = tuple[_Share, _Share, _Share]
_Words = Annotated[str, Field(max_length=400)]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class _AsRead(_Part):
    white: Literal["D50", "D65"]
    quantity: Literal["lab", "xyz", "spectrum"]
    patch_lab: tuple[_RawLab, ...]
    base_lab: _RawLab
    field_lab: _RawLab | None = None
    source: _Words
    source_sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]


def _named_run(run: str) -> str:
    """The name of a print run, if it is one: it stands in the file's own name and in the serial of each card."""
    return Serial(run, 1).run


class _Document(_Part):
    schema_version: Literal[1]
    run: Annotated[str, AfterValidator(_named_run)]
    layout: Annotated[str, Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$")]
    method: Method
    measured_on: date
    expires_on: date
    measured_by: Annotated[str, Field(min_length=1, max_length=40)]
    instrument: _Words
    base_lab: _Lab
    base_lab_u: _LabU
    field_lab: _Lab | None = None
    field_lab_u: _LabU | None = None
    patch_lab: tuple[_Lab, ...]
    patch_lab_u: tuple[_LabU, ...]
    as_read: tuple[_AsRead, ...] = ()


def read_values(text: str, *, name: str, layouts: Sequence[Layout]) -> CardValues:
    """The values from the text of a TOML file; `name` is what the file is called in the message.

    Parameters
    ----------
    layouts
        The sheets that the program knows.

    Raises
    ------
    DocumentFaulty
        With every fault of the file.
    """
    try:
        document = _Document.model_validate(_parsed(text, name))
    except ValidationError as error:
        faults = tuple(Fault(line=None, field=dotted(e["loc"]), message=e["msg"]) for e in error.errors())
        raise DocumentFaulty(name, faults, hint=_HINT) from error
    values = _values(document)
    faults = tuple(faults_of_values(values, layouts))
    if faults:
        raise DocumentFaulty(name, faults, hint=_HINT)
    return values


def _parsed(text: str, name: str) -> dict[str, object]:
    if len(text) > CHARACTERS_AT_MOST:
        message = f"is longer than such a document can be ({CHARACTERS_AT_MOST} characters)"
    else:
        try:
            return tomllib.loads(text)
        except RecursionError:
            message = "is nested too deep"
        except ValueError as error:  # tomllib's own error, and Python's for a number with thousands of digits
            message = f"is not valid TOML: {error}"
    raise DocumentFaulty(name, (Fault(line=None, field="the file", message=message),), hint=_HINT)


def _values(document: _Document) -> CardValues:
    return CardValues(
        run=document.run,
        layout=document.layout,
        patch_lab=_table(document.patch_lab),
        patch_lab_u=_table(document.patch_lab_u),
        base_lab=_triple(document.base_lab),
        base_lab_u=_triple(document.base_lab_u),
        field_lab=_triple_or_none(document.field_lab),
        field_lab_u=_triple_or_none(document.field_lab_u),
        method=document.method,
        measured_on=document.measured_on,
        expires_on=document.expires_on,
        measured_by=document.measured_by,
        instrument=document.instrument,
        as_read=tuple(_as_read(part) for part in document.as_read),
    )


def _as_read(part: _AsRead) -> AsRead:
    return AsRead(
        white=part.white,
        quantity=part.quantity,
        patch_lab=_table(part.patch_lab),
        base_lab=_triple(part.base_lab),
        field_lab=_triple_or_none(part.field_lab),
        source=part.source,
        source_sha256=part.source_sha256,
    )


def _triple(numbers: Sequence[float]) -> FloatArray:
    return frozen(np.array(numbers, float))


def _triple_or_none(numbers: Sequence[float] | None) -> FloatArray | None:
    return None if numbers is None else _triple(numbers)


def _table(rows: Sequence[Sequence[float]]) -> FloatArray:
    return frozen(np.array(rows, float).reshape(-1, 3))


def faults_of_values(values: CardValues, layouts: Sequence[Layout]) -> Iterator[Fault]:
    """What makes values that are each in bounds impossible together, or a misfit to the sheet that they name."""
    if values.expires_on < values.measured_on:
        yield _fault("expires_on", "lies before the day of the measurement")
    if len(values.patch_lab) != len(values.patch_lab_u):
        yield _fault("patch_lab_u", f"has {len(values.patch_lab_u)} entries for {len(values.patch_lab)} patches")
    if (values.field_lab is None) != (values.field_lab_u is None):
        yield _fault("field_lab_u", "and field_lab must both be given, or neither")
    if values.measured and not (values.patch_lab_u.all() and values.base_lab_u.all()):
        yield _fault("patch_lab_u", "is 0 somewhere: no measurement is that sure")
    layout = next((one for one in layouts if one.key == values.layout), None)
    if layout is None:
        known = ", ".join(one.key for one in layouts)
        yield _fault("layout", f'"{values.layout}" is no sheet that the program knows: {known}')
        return
    if len(values.patch_lab) != len(layout.patches):
        yield _fault("patch_lab", f"has {len(values.patch_lab)} entries; {layout.key} has {len(layout.patches)}")
    if (values.field_lab is None) != (layout.field_lab is None):
        yield _fault("field_lab", "is for a mat's field: a mat has one, a card has none")


def _fault(field: str, message: str) -> Fault:
    return Fault(line=None, field=field, message=message)


def write_values(values: CardValues) -> str:
    """The TOML text of values; `read_values` gives the same back, number by number."""
    return "\n".join(_lines(values)) + "\n"


def _lines(values: CardValues) -> Iterator[str]:
    yield _HEAD
    yield toml_entry("schema_version", SCHEMA_VERSION)
    for key in ("run", "layout", "method", "measured_on", "expires_on", "measured_by", "instrument"):
        yield toml_entry(key, getattr(values, key))
    for key in ("base_lab", "base_lab_u", "field_lab", "field_lab_u"):
        yield from _numbers(key, getattr(values, key))
    for key in ("patch_lab", "patch_lab_u"):
        yield from _rows(key, getattr(values, key))
    for read in values.as_read:
        yield "\n# The readings of one card as they came in, in the white that they came in."
        yield "[[as_read]]"
        for key in ("white", "quantity", "source", "source_sha256"):
            yield toml_entry(key, getattr(read, key))
        for key in ("base_lab", "field_lab"):
            yield from _numbers(key, getattr(read, key))
        yield from _rows("patch_lab", read.patch_lab)


def _numbers(key: str, numbers: FloatArray | None) -> Iterator[str]:
    if numbers is not None:
        yield toml_entry(key, numbers.tolist())


def _rows(key: str, rows: FloatArray) -> Iterator[str]:
    yield f"{key} = ["
    for row in rows.tolist():
        yield f"    {toml_value(row)},"
    yield "]"
