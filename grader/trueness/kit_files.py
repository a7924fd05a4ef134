"""A kit as a folder: what it is, which pieces there are, and which lies where in which photo.

kit.toml and three tables are made by the plan and filled in by people. What is not filled in yet is no fault;
what can't be, is.
"""

import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Annotated, Literal, get_args

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from grader.card import load_layouts
from grader.card.serial import Serial, SerialFaulty
from grader.errors import DocumentFaulty, Fault, GraderError, dotted
from grader.fries.model import Measured
from grader.new_files import write_new
from grader.toml_text import toml_entry
from grader.trueness.accepted import MOST_MONTHS, AcceptedLimits
from grader.trueness.model import COLUMNS, PLACES, Kind, Kit, Laid, Piece, PlannedPhoto
from grader.trueness.tables import Noted, Row, read_table, table_text

KIT, PIECES, PHOTOS, LAYINGS = "kit.toml", "pieces.csv", "photos.csv", "places.csv"

_PIECE_COLUMNS = ("piece", "kind", "length_mm", "length_mm_u", "width_mm", "width_mm_u", "L", "a", "b", "lab_u")
_PHOTO_COLUMNS = ("photo", "kind", "light", "raised_mm", "file")
_LAYING_COLUMNS = ("photo", "place", "order", "piece")
_HINT = "Correct the files of the kit and try again."
_CALIPER_U_MM, _INSTRUMENT_U = "0.05", "0.5"
"""What the tables begin with, to be changed: a caliper on wood, an instrument on a matt print. Common practice."""
_BOM = "\ufeff"
"""Before a table, so that spreadsheets take it for UTF-8."""

_HEAD = """\
# A kit for a trueness study. Fill in what is empty.
# print_run: the five signs that the serial of your cards begins with. by: your initials.
# length_reference, colour_reference: what the bars and the chips were measured with, in words.
# counts_months: for how long the study shall count, 12 at most. accepted: the most that you take to be off, and why.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadKit:
    """A kit as far as it is filled in, and what is missing, in words."""

    kit: Kit
    missing: tuple[str, ...]


class NoKitError(GraderError, ValueError):
    """The folder holds no kit."""


class _Accepted(BaseModel):
    """A house may take less; more than this would make "absolute" an empty word (our choice)."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    length_bias_mm: Annotated[float, Field(gt=0, le=3)]
    length_single_mm: Annotated[float, Field(gt=0, le=10)]
    width_bias_mm: Annotated[float, Field(gt=0, le=2)]
    width_single_mm: Annotated[float, Field(gt=0, le=5)]
    lab_bias: Annotated[float, Field(gt=0, le=5)]
    de_median: Annotated[float, Field(gt=0, le=5)]
    de_high: Annotated[float, Field(gt=0, le=10)]
    reason: Annotated[str, Field(min_length=1, max_length=400)]


class _About(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    format_version: Literal[1]
    sheet: str
    print_run: str
    by: Annotated[str, Field(max_length=40)]
    length_reference: Annotated[str, Field(max_length=200)]
    colour_reference: Annotated[str, Field(max_length=200)]
    counts_months: Annotated[int, Field(ge=1, le=MOST_MONTHS)]
    lights: Annotated[tuple[Annotated[str, Field(min_length=1, max_length=80)], ...], Field(min_length=1)]
    accepted: _Accepted


def write_kit(folder: Path, kit: Kit) -> tuple[Path, ...]:
    """Write a kit's files into a folder, which is made where it isn't there; none that is there is overwritten.

    Raises
    ------
    OSError
        It can't be written, or a kit is there already; no part of this one is left behind.
    """
    folder.mkdir(parents=True, exist_ok=True)
    written: list[Path] = []
    try:
        for name, text in _texts(kit):
            write_new(folder / name, text if name == KIT else f"{_BOM}{text}")
            written.append(folder / name)
    except OSError:
        for path in written:
            path.unlink(missing_ok=True)
        raise
    return tuple(written)


def _texts(kit: Kit) -> Iterator[tuple[str, str]]:
    yield KIT, "\n".join([_HEAD, *_about_lines(kit), ""])
    yield PIECES, table_text(_PIECE_COLUMNS, [_piece_cells(piece) for piece in kit.pieces])
    yield (
        PHOTOS,
        table_text(_PHOTO_COLUMNS, [(p.name, p.kind, p.light, f"{p.raised_mm:g}", p.file) for p in kit.photos]),
    )
    layings = [
        (photo.name, laid.place, order, name)
        for photo in kit.photos
        for laid in photo.laid
        for order, name in enumerate(laid.pieces, 1)
    ]
    yield LAYINGS, table_text(_LAYING_COLUMNS, layings)


def _about_lines(kit: Kit) -> Iterator[str]:
    yield toml_entry("format_version", 1)
    for key in ("sheet", "print_run", "by", "length_reference", "colour_reference", "counts_months", "lights"):
        yield toml_entry(key, getattr(kit, key))
    yield "\n[accepted]"
    for field in fields(kit.accepted):
        yield toml_entry(field.name, getattr(kit.accepted, field.name))


def _piece_cells(piece: Piece) -> tuple[object, ...]:
    if piece.kind == "chip":
        lab = ("", "", "") if piece.lab is None else tuple(repr(channel.value) for channel in piece.lab)
        u = _INSTRUMENT_U if piece.lab is None else repr(piece.lab[0].u)
        return piece.name, piece.kind, "", "", "", "", *lab, u
    sizes = (piece.length_mm, piece.width_mm)
    cells = [
        cell for size in sizes for cell in (("", _CALIPER_U_MM) if size is None else (repr(size.value), repr(size.u)))
    ]
    return piece.name, piece.kind, *cells, "", "", "", ""


def read_kit(folder: Path) -> ReadKit:
    """A kit from its folder.

    Raises
    ------
    NoKitError
        There is none.
    DocumentFaulty
        With every fault of all its files.
    """
    lacking = [name for name in (KIT, PIECES, PHOTOS, LAYINGS) if not (folder / name).is_file()]
    if lacking:
        raise NoKitError(
            f"{folder} holds no kit. It lacks {', '.join(lacking)}.",
            hint=f"Plan one: python -m grader trueness plan --out {folder}.",
        )
    noted = Noted()
    about = _about(folder / KIT, noted)
    pieces = _pieces(list(read_table(folder / PIECES, _PIECE_COLUMNS, noted)))
    layings = _layings(list(read_table(folder / LAYINGS, _LAYING_COLUMNS, noted)))
    lights = () if about is None else about.lights
    photos = _photos(list(read_table(folder / PHOTOS, _PHOTO_COLUMNS, noted)), lights, layings, pieces)
    _check_layings(pieces, photos, layings)
    if about is None or noted.faults:
        raise DocumentFaulty(str(folder), tuple(noted.faults), hint=_HINT)
    kit = Kit(
        sheet=about.sheet,
        print_run=about.print_run,
        by=about.by,
        lights=about.lights,
        length_reference=about.length_reference,
        colour_reference=about.colour_reference,
        counts_months=about.counts_months,
        accepted=AcceptedLimits(**about.accepted.model_dump()),
        pieces=tuple(pieces.values()),
        photos=tuple(photos),
    )
    return ReadKit(kit=kit, missing=tuple(dict.fromkeys(noted.missing)))


def _about(path: Path, noted: Noted) -> _About | None:
    try:
        about = _About.model_validate(tomllib.loads(path.read_text(encoding="utf-8-sig")))
    except ValidationError as error:
        noted.faults += [
            Fault(line=None, field=f"{KIT}, {dotted(one['loc'])}", message=one["msg"]) for one in error.errors()
        ]
        return None
    except (ValueError, RecursionError) as error:
        noted.faults.append(Fault(line=None, field=KIT, message=f"is not valid TOML: {error}"))
        return None
    for field in ("print_run", "by", "length_reference", "colour_reference"):
        if not getattr(about, field).strip():
            noted.missing.append(f"{field} in {KIT}")
    if about.sheet not in {layout.key for layout in load_layouts()}:
        noted.faults.append(Fault(line=None, field=f"{KIT}, sheet", message=f'"{about.sheet}" is no sheet'))
    try:
        if about.print_run:
            Serial(about.print_run, 1)
    except SerialFaulty as error:
        noted.faults.append(Fault(line=None, field=f"{KIT}, print_run", message=str(error)))
    return about


def _pieces(rows: Sequence[Row]) -> dict[str, Piece]:
    pieces: dict[str, Piece] = {}
    for row in rows:
        name, kind = row.needed("piece"), row.choice("kind", get_args(Kind))
        if name in pieces:
            row.fault("piece", f"{name} is in the table twice")
        if kind == "bar":
            length = _size(row, "length_mm", 5, 200, f"the length of bar {name}")
            width = _size(row, "width_mm", 2, 40, f"the width of bar {name}")
            pieces[name] = Piece(name=name, kind=kind, length_mm=length, width_mm=width)
        elif kind == "chip":
            pieces[name] = Piece(name=name, kind=kind, lab=_lab(row, f"the colour of chip {name}"))
    return pieces


def _size(row: Row, key: str, low: float, high: float, what: str) -> Measured | None:
    value = row.number(key, low, high, may_be_missing=what)
    u = row.number(f"{key}_u", 0.001, 5, may_be_missing=f"{what}: its uncertainty")
    return None if value is None or u is None else Measured(value=value, u=u)


def _lab(row: Row, what: str) -> tuple[Measured, Measured, Measured] | None:
    L = row.number("L", 0, 100, may_be_missing=what)
    a, b = (row.number(channel, -128, 128, may_be_missing=what) for channel in ("a", "b"))
    u = row.number("lab_u", 0.01, 10, may_be_missing=f"{what}: its uncertainty")
    if L is None or a is None or b is None or u is None:
        return None
    return Measured(value=L, u=u), Measured(value=a, u=u), Measured(value=b, u=u)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Laying:
    photo: str
    place: int
    order: int
    piece: str
    row: Row


def _layings(rows: Sequence[Row]) -> list[_Laying]:
    found = []
    for row in rows:
        photo, piece = row.needed("photo"), row.needed("piece")
        place, order = row.whole("place", 1, PLACES), row.whole("order", 1, 20)
        if photo and piece and place is not None and order is not None:
            found.append(_Laying(photo=photo, place=place, order=order, piece=piece, row=row))
    return found


def _photos(
    rows: Sequence[Row], lights: Sequence[str], layings: Sequence[_Laying], pieces: dict[str, Piece]
) -> list[PlannedPhoto]:
    photos: list[PlannedPhoto] = []
    for row in rows:
        name, kind = row.needed("photo"), row.choice("kind", get_args(Kind))
        light, raised, file = row.choice("light", lights), row.number("raised_mm", 0, 100), row.needed("file")
        if name in {photo.name for photo in photos}:
            row.fault("photo", f"{name} is in the table twice")
        if kind is None or light is None or raised is None:
            continue
        own = [laying for laying in layings if laying.photo == name]
        for laying in own:
            if laying.piece in pieces and pieces[laying.piece].kind != kind:
                laying.row.fault("piece", f"{laying.piece} is no {kind}, but {name} is a photo of {kind}s")
        laid = _laid(own)
        rows_held, columns_held = ({f(one.place - 1) for one in laid} for f in (_row_of, _column_of))
        if len(rows_held) < PLACES // COLUMNS or len(columns_held) < COLUMNS:
            row.fault("photo", f"{name} leaves a whole row or column of places empty, so places can't be told apart")
        photos.append(PlannedPhoto(name=name, kind=kind, light=light, raised_mm=raised, file=file, laid=laid))
    return photos


def _row_of(place: int) -> int:
    return place // COLUMNS


def _column_of(place: int) -> int:
    return place % COLUMNS


def _laid(layings: Sequence[_Laying]) -> tuple[Laid, ...]:
    places = sorted({laying.place for laying in layings})
    ordered = sorted(layings, key=lambda laying: laying.order)
    return tuple(
        Laid(place=place, pieces=tuple(laying.piece for laying in ordered if laying.place == place)) for place in places
    )


def _check_layings(pieces: dict[str, Piece], photos: Sequence[PlannedPhoto], layings: Sequence[_Laying]) -> None:
    """Layings of pieces or photos that there aren't, and two things in one place."""
    names = {photo.name for photo in photos}
    seen: set[tuple[object, ...]] = set()
    for laying in layings:
        if laying.photo not in names:
            laying.row.fault("photo", f"{laying.photo} is not in {PHOTOS}")
        if laying.piece not in pieces:
            laying.row.fault("piece", f"{laying.piece} is not in {PIECES}")
        for key, what in (
            ((laying.photo, laying.piece), f"{laying.piece} lies in {laying.photo} twice"),
            ((laying.photo, laying.place, laying.order), f"two pieces are number {laying.order} at this place"),
        ):
            if key in seen:
                laying.row.fault("order" if len(key) == 3 else "piece", what)
            seen.add(key)
