"""The words on a sheet, where they stand, and the typefaces that they are set in."""

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from grader.card.imprint import Imprint
from grader.card.model import Layout
from grader.card.zones import RULE_MM, print_area

Weight = Literal["regular", "bold"]

_FOLDER = Path(__file__).resolve().parent / "fonts"
TYPEFACES: dict[Weight, Path] = {
    "regular": _FOLDER / "DejaVuSansCondensed.ttf",
    "bold": _FOLDER / "DejaVuSansCondensed-Bold.ttf",
}
"""Carried in every PDF, so that each printer sets the same words in the same width."""

_ARROW_MM = 4.0
_CARD_LINE_MM, _MAT_LINE_MM = 3.4, 2.9
_SIZE_MM = 2.3
_OLD_SIZE_MM = 2.1
"""On sheets that are only read, where there is less room."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SmallPrint:
    """A line of text of this size (of the type's body), its baseline beginning at (x, y)."""

    x_mm: float
    y_mm: float
    size_mm: float
    words: str
    weight: Weight = "regular"


def small_print(layout: Layout, imprint: Imprint | None) -> tuple[SmallPrint, ...]:
    """What a sheet says of itself: which it is, which way up, how to check and to keep it."""
    area = print_area(layout)
    x, y = area.x_mm + _ARROW_MM, area.y_mm + 3.2
    if layout.qr is None:
        words = (
            f"{layout.key}. This way up. Print at 100 % on matt paper, lay it flat, keep it dry and clean.",
            f"Measure the rule: it must be {RULE_MM:.0f} mm long, or every length will be wrong.",
        )
        return tuple(
            SmallPrint(x_mm=x, y_mm=y + k * _CARD_LINE_MM, size_mm=_OLD_SIZE_MM, words=line)
            for k, line in enumerate(words)
        )
    pitch = _CARD_LINE_MM if layout.kind == "card" else _MAT_LINE_MM
    own = SmallPrint(x_mm=x, y_mm=y, size_mm=_SIZE_MM, words=_own_line(layout, imprint), weight="bold")
    rest = _card_lines(layout) if layout.kind == "card" else _mat_lines()
    return own, *(
        SmallPrint(x_mm=x, y_mm=y + k * pitch, size_mm=_SIZE_MM, words=line) for k, line in enumerate(rest, start=1)
    )


def _own_line(layout: Layout, imprint: Imprint | None) -> str:
    if imprint is None:
        return f"{layout.key}   this way up"
    return f"{layout.key}   {imprint.serial}   printed {imprint.printed}   renew by {imprint.renew_by}"


def _card_lines(layout: Layout) -> tuple[str, ...]:
    tag = layout.tag_size_mm
    across = max(t.x_mm for t in layout.tags) + tag - min(t.x_mm for t in layout.tags)
    down = max(t.y_mm for t in layout.tags) + tag - min(t.y_mm for t in layout.tags)
    return (
        "This way up. Lay it flat beside the plate, as high as the fries lie, not on the food.",
        "Keep it clean, dry, flat and in the dark. Do not fold it, do not write on it.",
        f"Check: the rule is {RULE_MM:.0f} mm; the corner squares span {across:g} × {down:g} mm, edge to edge.",
    )


def _mat_lines() -> tuple[str, ...]:
    return (
        "This way up. Fries lie on clean film over the grey, never on a patch.",
        f"Keep it clean, flat and in the dark. Check: both rules are {RULE_MM:.0f} mm.",
    )
