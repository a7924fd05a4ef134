"""The sheets that the program knows: read from calibration/layouts, checked, every fault reported at once."""

import tomllib
from collections import Counter
from collections.abc import Iterator
from functools import cache
from itertools import combinations
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from grader.card.model import Layout, Patch, Rectangle, Tag
from grader.card.qr import QR_WHITE_SHARE
from grader.card.tags import TAG_COUNT
from grader.errors import DocumentFaulty, Fault, dotted
from grader.places import calibration_folder

_HINT = "Correct the file in calibration/layouts, or restore the one that came with the program."
_CLEARANCE_MM = 2.0
"""White that a tag needs on each side to be found (one module of an 18 mm tag, rounded down)."""

_Positive = Annotated[float, Field(gt=0, le=1200)]
_Place = tuple[Annotated[float, Field(ge=0)], Annotated[float, Field(ge=0)]]
_Lab = tuple[
    Annotated[float, Field(ge=0, le=100)],
    Annotated[float, Field(ge=-128, le=128)],
    Annotated[float, Field(ge=-128, le=128)],
]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class _TagEntry(_Part):
    number: Annotated[int, Field(ge=0, lt=TAG_COUNT)]
    at_mm: _Place


class _PatchEntry(_Part):
    number: Annotated[int, Field(ge=1)]
    at_mm: _Place
    lab: _Lab


class _FieldEntry(_Part):
    at_mm: _Place
    size_mm: tuple[_Positive, _Positive]
    lab: _Lab


class _QrEntry(_Part):
    at_mm: _Place
    side_mm: _Positive


class _Sheet(_Part):
    key: Annotated[str, Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$")]
    name: Annotated[str, Field(min_length=1)]
    kind: Literal["card", "mat"]
    size_mm: tuple[_Positive, _Positive]
    base_lab: _Lab
    tag_size_mm: _Positive
    patch_size_mm: tuple[_Positive, _Positive]
    tags: Annotated[tuple[_TagEntry, ...], Field(min_length=4)]
    patches: Annotated[tuple[_PatchEntry, ...], Field(min_length=6)]
    field: _FieldEntry | None = None
    printable: bool = False
    qr: _QrEntry | None = None


@cache
def load_layouts() -> tuple[Layout, ...]:
    """All sheets that ship with the program, cards before mats, small before large.

    Raises
    ------
    DocumentFaulty
        A layout file is damaged, or two layouts share a tag or a key; all faults of the first bad file at once.
    """
    layouts = [read_layout(path) for path in sorted((calibration_folder() / "layouts").glob("*.toml"))]
    layouts.sort(key=lambda layout: (layout.kind, layout.width_mm * layout.height_mm, layout.key))
    faults = tuple(_faults_between(layouts))
    if faults:
        raise DocumentFaulty("calibration/layouts", faults, hint=_HINT)
    return tuple(layouts)


def read_layout(path: Path) -> Layout:
    """One layout from a TOML file.

    Raises
    ------
    DocumentFaulty
        With every fault of the file.
    """
    try:
        sheet = _Sheet.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        line = getattr(error, "lineno", None)
        raise DocumentFaulty(
            path.name, (Fault(line=line, field="the file", message=str(error)),), hint=_HINT
        ) from error
    except ValidationError as error:
        faults = tuple(Fault(line=None, field=dotted(e["loc"]), message=e["msg"]) for e in error.errors())
        raise DocumentFaulty(path.name, faults, hint=_HINT) from error
    layout = _layout(sheet)
    faults = tuple(_faults_within(layout))
    if faults:
        raise DocumentFaulty(path.name, faults, hint=_HINT)
    return layout


def _layout(sheet: _Sheet) -> Layout:
    width, height = sheet.patch_size_mm
    field = sheet.field
    return Layout(
        key=sheet.key,
        name=sheet.name,
        kind=sheet.kind,
        width_mm=sheet.size_mm[0],
        height_mm=sheet.size_mm[1],
        tag_size_mm=sheet.tag_size_mm,
        tags=tuple(Tag(number=tag.number, x_mm=tag.at_mm[0], y_mm=tag.at_mm[1]) for tag in sheet.tags),
        patches=tuple(
            Patch(number=p.number, area=_rectangle(p.at_mm, (width, height)), lab=p.lab) for p in sheet.patches
        ),
        base_lab=sheet.base_lab,
        field=_rectangle(field.at_mm, field.size_mm) if field else None,
        field_lab=field.lab if field else None,
        printable=sheet.printable,
        qr=_rectangle(sheet.qr.at_mm, (sheet.qr.side_mm, sheet.qr.side_mm)) if sheet.qr else None,
    )


def _rectangle(at_mm: tuple[float, float], size_mm: tuple[float, float]) -> Rectangle:
    return Rectangle(x_mm=at_mm[0], y_mm=at_mm[1], width_mm=size_mm[0], height_mm=size_mm[1])


def _faults_within(layout: Layout) -> Iterator[Fault]:
    """Parts off the sheet or on each other, numbers used twice, a mat without a field, what no printer can print."""
    yield from _faults_of_place(layout)
    for what, numbers in (("tag", [t.number for t in layout.tags]), ("patch", [p.number for p in layout.patches])):
        for number in _repeated(numbers):
            yield Fault(line=None, field=f"{what} {number}", message="the number is used more than once")
    if (layout.kind == "mat") != (layout.field is not None):
        yield Fault(line=None, field="field", message="a mat has a field that the fries lie on, a card has none")
    if layout.printable:
        yield from _faults_of_printing(layout)


def _faults_of_place(layout: Layout) -> Iterator[Fault]:
    """Parts that leave the sheet or overlap, each with the white that it needs around it."""
    tag = layout.tag_size_mm
    parts = [(f"patch {p.number}", p.area, 0.0) for p in layout.patches]
    parts += [(f"tag {t.number}", _rectangle((t.x_mm, t.y_mm), (tag, tag)), _CLEARANCE_MM) for t in layout.tags]
    if layout.field:
        parts.append(("field", layout.field, 0.0))
    if layout.qr:
        parts.append(("qr", layout.qr, layout.qr.width_mm * QR_WHITE_SHARE))
    for name, area, clearance in parts:
        right, foot = area.x_mm + area.width_mm + clearance, area.y_mm + area.height_mm + clearance
        if min(area.x_mm, area.y_mm) < clearance or right > layout.width_mm or foot > layout.height_mm:
            yield Fault(
                line=None, field=name, message="does not lie on the sheet with the white that it needs around it"
            )
    for (one, a, clear_a), (other, b, clear_b) in combinations(parts, 2):
        if _overlap(a, b, max(clear_a, clear_b)):
            yield Fault(line=None, field=one, message=f"overlaps {other}")


def _faults_of_printing(layout: Layout) -> Iterator[Fault]:
    """Colours lighter than the paper, and no place for the serial by which a print's values are found."""
    lighter = [(f"patch {p.number}", p.lab) for p in layout.patches]
    lighter += [("field", layout.field_lab)] if layout.field_lab else []
    for name, lab in lighter:
        if lab[0] > layout.base_lab[0]:
            yield Fault(line=None, field=name, message="is lighter than the paper: no printer can print that")
    if layout.qr is None:
        yield Fault(line=None, field="qr", message="a sheet to be printed has a place for the QR code of its serial")


def _overlap(a: Rectangle, b: Rectangle, clearance: float) -> bool:
    apart_x = max(a.x_mm, b.x_mm) - min(a.x_mm + a.width_mm, b.x_mm + b.width_mm)
    apart_y = max(a.y_mm, b.y_mm) - min(a.y_mm + a.height_mm, b.y_mm + b.height_mm)
    return max(apart_x, apart_y) < clearance


def _repeated(numbers: list[int]) -> list[int]:
    return [number for number, times in Counter(numbers).items() if times > 1]


def _faults_between(layouts: list[Layout]) -> Iterator[Fault]:
    """A tag tells which sheet it is, so no two sheets may share one."""
    for one, other in combinations(layouts, 2):
        if one.key == other.key:
            yield Fault(line=None, field=f"key {one.key}", message="is used by two files")
        shared = {tag.number for tag in one.tags} & {tag.number for tag in other.tags}
        if shared:
            yield Fault(line=None, field=f"{one.key}.tags", message=f"shares {sorted(shared)} with {other.key}")
