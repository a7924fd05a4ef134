"""What is printed on a sheet: filled rectangles, one triangle and a few lines of small print; mm, each with its ink."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, frozen
from grader.card.imprint import Imprint
from grader.card.model import Layout, Rectangle
from grader.card.qr import qr_modules
from grader.card.serial import serial_payload
from grader.card.small_print import SmallPrint, small_print
from grader.card.tags import MODULES, tag_bits
from grader.card.zones import print_area, rule_areas

PAPER, BLACK = 0, 1
"""The first two inks of every sheet: bare paper, and the black of tags, code, rules and small print."""

_BLACK_LAB = (18.0, 0.0, 0.0)
"""Black toner or ink on plain paper, about. Common practice, no source; nothing is measured against it."""
_TICK_MM = 0.15
_HAIRLINE_MM = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Fill:
    """A rectangle filled with one ink (an index into `Artwork.inks_lab`); later ones lie over earlier ones."""

    area: Rectangle
    ink: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Artwork:
    """A sheet's print.

    Attributes
    ----------
    inks_lab
        (n, 3) CIELAB of each ink: paper, black, the mat's field if any, then the patches.
    arrow_mm
        (3, 2) a triangle that points to the sheet's upper edge.
    """

    width_mm: float
    height_mm: float
    inks_lab: FloatArray
    fills: tuple[Fill, ...]
    arrow_mm: FloatArray
    small_print: tuple[SmallPrint, ...]


def artwork(layout: Layout, imprint: Imprint | None = None) -> Artwork:
    """Everything that is printed on a sheet; without an imprint no serial and no date."""
    inks = [layout.base_lab, _BLACK_LAB]
    fills: list[Fill] = []
    if layout.field and layout.field_lab:
        fills.append(Fill(area=layout.field, ink=len(inks)))
        inks.append(layout.field_lab)
    for patch in layout.patches:
        if patch.lab == layout.base_lab:
            fills += _frame(patch.area)
        else:
            fills.append(Fill(area=patch.area, ink=len(inks)))
            inks.append(patch.lab)
    for tag in layout.tags:
        fills += _tag_fills(tag.number, tag.x_mm, tag.y_mm, layout.tag_size_mm)
    for area in rule_areas(layout):
        fills += rule_fills(area)
    if layout.qr and imprint:
        fills += _code_fills(serial_payload(layout.key, imprint.serial), layout.qr)
    x, y = print_area(layout).x_mm, print_area(layout).y_mm
    return Artwork(
        width_mm=layout.width_mm,
        height_mm=layout.height_mm,
        inks_lab=frozen(np.array(inks)),
        fills=tuple(fills),
        arrow_mm=frozen(np.array([[x + 1.5, y + 0.5], [x + 3, y + 3.2], [x, y + 3.2]])),
        small_print=small_print(layout, imprint),
    )


def rule_fills(area: Rectangle) -> Iterator[Fill]:
    """A rule along the longer side of its area, at its foot or right edge: a tick each mm, longer each 5 and 10."""
    level = area.width_mm > area.height_mm
    right, foot = area.x_mm + area.width_mm, area.y_mm + area.height_mm
    for mm in range(round(max(area.width_mm, area.height_mm)) + 1):
        length = 4.0 if mm % 10 == 0 else 2.5 if mm % 5 == 0 else 1.5
        at = mm - _TICK_MM / 2
        if level:
            tick = Rectangle(x_mm=area.x_mm + at, y_mm=foot - length, width_mm=_TICK_MM, height_mm=length)
        else:
            tick = Rectangle(x_mm=right - length, y_mm=area.y_mm + at, width_mm=length, height_mm=_TICK_MM)
        yield Fill(area=tick, ink=BLACK)


def _frame(area: Rectangle) -> Iterator[Fill]:
    """A hairline around a patch of bare paper, so that whoever measures it sees where it is."""
    x, y, width, height, line = area.x_mm, area.y_mm, area.width_mm, area.height_mm, _HAIRLINE_MM
    for left, top in ((x, y), (x, y + height - line)):
        yield Fill(area=Rectangle(x_mm=left, y_mm=top, width_mm=width, height_mm=line), ink=BLACK)
    for left, top in ((x, y), (x + width - line, y)):
        yield Fill(area=Rectangle(x_mm=left, y_mm=top, width_mm=line, height_mm=height), ink=BLACK)


def _tag_fills(number: int, x_mm: float, y_mm: float, size_mm: float) -> Iterator[Fill]:
    """A black square with its white modules."""
    square = Rectangle(x_mm=x_mm, y_mm=y_mm, width_mm=size_mm, height_mm=size_mm)
    yield Fill(area=square, ink=BLACK)
    yield from _module_fills(tag_bits(number).astype(bool).tolist(), square, MODULES, PAPER)


def _code_fills(text: str, square: Rectangle) -> Iterator[Fill]:
    """The black modules of a QR code."""
    modules = qr_modules(text)
    yield from _module_fills(modules.astype(bool).tolist(), square, len(modules), BLACK)


def _module_fills(modules: list[list[bool]], square: Rectangle, count: int, ink: int) -> Iterator[Fill]:
    """The modules that are set, merged to runs along rows and again along columns.

    Either alone would cover them; both together leave no seam between neighbours where a viewer smooths edges.
    """
    side = square.width_mm / count
    for line in range(count):
        for start, length in _runs(modules[line]):
            x, y = square.x_mm + start * side, square.y_mm + line * side
            yield Fill(area=Rectangle(x_mm=x, y_mm=y, width_mm=length * side, height_mm=side), ink=ink)
        for start, length in _runs([row[line] for row in modules]):
            x, y = square.x_mm + line * side, square.y_mm + start * side
            yield Fill(area=Rectangle(x_mm=x, y_mm=y, width_mm=side, height_mm=length * side), ink=ink)


def _runs(bits: list[bool]) -> list[tuple[int, int]]:
    """(start, length) of each run of what is set."""
    edges = np.flatnonzero(np.diff([0, *bits, 0]))
    return [(int(start), int(end - start)) for start, end in zip(edges[::2], edges[1::2], strict=True)]
