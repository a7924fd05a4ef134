"""What is printed on a sheet: filled rectangles, one triangle and two lines of small print; mm, each with its ink."""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, frozen
from grader.card.model import Layout, Rectangle
from grader.card.tags import MODULES, tag_bits
from grader.card.zones import RULE_MM, print_area, rule_area

PAPER, BLACK = 0, 1
"""The first two inks of every sheet: bare paper, and the black of tags, rule and small print."""

_BLACK_LAB = (18.0, 0.0, 0.0)
"""Black toner or ink on plain paper, about. Common practice, no source; nothing is measured against it."""
_TICK_MM = 0.15
_TEXT_MM = 2.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Fill:
    """A rectangle filled with one ink (an index into `Artwork.inks_lab`); later ones lie over earlier ones."""

    area: Rectangle
    ink: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SmallPrint:
    """A line of text, its baseline beginning at (x, y)."""

    x_mm: float
    y_mm: float
    height_mm: float
    words: str


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


def artwork(layout: Layout) -> Artwork:
    """Everything that is printed on a sheet."""
    inks = [layout.base_lab, _BLACK_LAB]
    fills: list[Fill] = []
    if layout.field and layout.field_lab:
        fills.append(Fill(area=layout.field, ink=len(inks)))
        inks.append(layout.field_lab)
    for patch in layout.patches:
        fills.append(Fill(area=patch.area, ink=len(inks)))
        inks.append(patch.lab)
    for tag in layout.tags:
        fills += _tag_fills(tag.number, tag.x_mm, tag.y_mm, layout.tag_size_mm)
    area = print_area(layout)
    x, y = area.x_mm, area.y_mm
    lines = (
        f"{layout.key}. This way up. Print at 100 % on matt paper, lay it flat, keep it dry and clean.",
        f"Measure the rule: it must be {RULE_MM:.0f} mm long, or every length will be wrong.",
    )
    return Artwork(
        width_mm=layout.width_mm,
        height_mm=layout.height_mm,
        inks_lab=frozen(np.array(inks)),
        fills=tuple(fills + _rule_fills(rule_area(layout))),
        arrow_mm=frozen(np.array([[x + 1.5, y + 0.5], [x + 3, y + 3.2], [x, y + 3.2]])),
        small_print=(
            SmallPrint(x_mm=x + 4, y_mm=y + 3.2, height_mm=_TEXT_MM, words=lines[0]),
            SmallPrint(x_mm=x + 4, y_mm=y + 6.6, height_mm=_TEXT_MM, words=lines[1]),
        ),
    )


def _tag_fills(number: int, x_mm: float, y_mm: float, size_mm: float) -> list[Fill]:
    """A black square with its white modules, merged to runs along rows and again along columns.

    Either alone would cover them; both together leave no seam between neighbours where a viewer smooths edges.
    """
    module = size_mm / MODULES
    fills = [Fill(area=Rectangle(x_mm=x_mm, y_mm=y_mm, width_mm=size_mm, height_mm=size_mm), ink=BLACK)]
    bits = tag_bits(number)
    for line in range(MODULES):
        for start, length in _white_runs(bits[line].tolist()):
            area = Rectangle(
                x_mm=x_mm + start * module, y_mm=y_mm + line * module, width_mm=length * module, height_mm=module
            )
            fills.append(Fill(area=area, ink=PAPER))
        for start, length in _white_runs(bits[:, line].tolist()):
            area = Rectangle(
                x_mm=x_mm + line * module, y_mm=y_mm + start * module, width_mm=module, height_mm=length * module
            )
            fills.append(Fill(area=area, ink=PAPER))
    return fills


def _white_runs(bits: list[int]) -> list[tuple[int, int]]:
    """(start, length) of each run of ones."""
    edges = np.flatnonzero(np.diff([0, *bits, 0]))
    return [(int(start), int(end - start)) for start, end in zip(edges[::2], edges[1::2], strict=True)]


def _rule_fills(area: Rectangle) -> list[Fill]:
    """A rule along the foot of its area: a tick each mm, longer ones each 5 and 10 mm, on a base line."""
    foot = area.y_mm + area.height_mm
    fills = []
    for mm in range(round(area.width_mm) + 1):
        length = 4.0 if mm % 10 == 0 else 2.5 if mm % 5 == 0 else 1.5
        tick = Rectangle(x_mm=area.x_mm + mm - _TICK_MM / 2, y_mm=foot - length, width_mm=_TICK_MM, height_mm=length)
        fills.append(Fill(area=tick, ink=BLACK))
    return fills
