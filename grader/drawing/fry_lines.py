"""One fry drawn into a picture: its outline by what is thought of it, its dark end hatched; what is written on it.

Lines differ in kind, not only in colour: thin and whole for a sound fry, thick for one that is pointed out, dashed for
one that is not seen whole, dotted for what is not counted. A fry curved beyond use has a string from end to end, like a
bow; a torn end a zigzag across it.
"""

from dataclasses import dataclass

import numpy as np

from grader.arrays import ByteArray, FloatArray
from grader.decision import is_crumb
from grader.drawing.ink import WHITE, Colour, along, dashes, hatch, line_length, stroke
from grader.drawing.marks import Mark, doubtful, marks_of, torn_ends
from grader.drawing.view import View
from grader.fries.model import Fry
from grader.standard.model import Standard

POINTED_OUT: Colour = (255, 70, 220)
DOUBT: Colour = (90, 225, 255)
LEFT_OUT: Colour = (215, 215, 215)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawnFry:
    """A fry with its lines in the picture's own px, and what is said of it; `dropped` where a person left it out.

    `torn`: which of its ends look torn, 0 for the first, -1 for the last.
    """

    fry: Fry
    outline: FloatArray
    centreline: FloatArray
    marks: tuple[Mark, ...]
    torn: tuple[int, ...]
    doubtful: bool
    crumb: bool
    dropped: bool


def placed(fry: Fry, view: View, standard: Standard, *, dropped: bool = False) -> DrawnFry:
    """A fry as a picture of this view shows it."""
    return DrawnFry(
        fry=fry,
        outline=view.shown(fry.outline_px),
        centreline=view.shown(fry.centreline_px),
        marks=() if dropped else marks_of(fry, standard),
        torn=() if dropped else torn_ends(fry, standard),
        doubtful=doubtful(fry),
        crumb=is_crumb(fry, standard),
        dropped=dropped,
    )


def draw_lines(picture: ByteArray, one: DrawnFry) -> None:
    """The outline; the dark end, the bow's string, the zigzag of a torn end."""
    if Mark.DARK_END in one.marks:
        area = dark_end_area(one.fry, one.centreline)
        if area is not None:
            hatch(picture, area, POINTED_OUT)
    if one.dropped or one.crumb:
        dashes(picture, one.outline, LEFT_OUT if one.dropped else WHITE, 3, dash_px=5)
    elif one.doubtful:
        dashes(picture, one.outline, DOUBT, 5)
    elif one.marks:
        stroke(picture, one.outline, POINTED_OUT, 6, closed=True)
    else:
        stroke(picture, one.outline, WHITE, 3, closed=True)
    if len(one.centreline) < 2 or one.crumb:
        return
    if Mark.CURVED in one.marks:
        stroke(picture, one.centreline[[0, -1]], POINTED_OUT, 4)
    for end in one.torn:
        stroke(picture, _torn_line(one, end), POINTED_OUT, 5)


def _torn_line(one: DrawnFry, end: int) -> FloatArray:
    """A zigzag (k, 2) across an end, a little wider than the fry."""
    tip, inner = one.centreline[end], one.centreline[1 if end == 0 else -2]
    length = one.fry.length_mm or one.fry.straight_mm
    px_per_mm = line_length(one.centreline) / length.value if length is not None else 1.0
    width = px_per_mm * (one.fry.width_mm.value if one.fry.width_mm is not None else 10.0)
    return zigzag(tip, (tip - inner) / max(float(np.hypot(*(tip - inner))), 1e-9), width * 1.3)


def zigzag(middle: FloatArray, way: FloatArray, width: float) -> FloatArray:
    """A line (9, 2) across a direction (unit, (2,)), so wide, with teeth an eighth of that high."""
    at = np.linspace(-0.5, 0.5, 9)
    teeth = np.where(np.arange(9) % 2, 1.0, -1.0) / 8
    across = np.array([-way[1], way[0]])
    return np.asarray(middle + width * (at[:, None] * across + teeth[:, None] * way))


def dark_end_area(fry: Fry, centreline: FloatArray) -> FloatArray | None:
    """Corners (k, 2) of a fry's dark end along its centreline, in that line's px; None where it can't be placed."""
    shares = dark_end_shares(fry)
    length = fry.length_mm or fry.straight_mm
    if shares is None or length is None or fry.width_mm is None or len(centreline) < 2:
        return None
    whole = line_length(centreline)
    return strip_area(along(centreline, np.linspace(*shares, 6) * whole), fry.width_mm.value * whole / length.value)


def dark_end_shares(fry: Fry) -> tuple[float, float] | None:
    """From where to where the dark end reaches, shares of the centreline; None where there is none, or no length."""
    length = fry.length_mm or fry.straight_mm
    if fry.dark_end_mm is None or fry.end_labs is None or length is None:
        return None
    reach = min(fry.dark_end_mm.value / length.value, 1.0)
    first_is_darker = fry.end_labs[0][0] <= fry.end_labs[1][0]
    return (0.0, reach) if first_is_darker else (1 - reach, 1.0)


def strip_area(spine: FloatArray, width: float) -> FloatArray:
    """Corners (2 k, 2) of a strip so wide along a line (k, 2)."""
    way = np.gradient(spine, axis=0)
    across = np.stack([-way[:, 1], way[:, 0]], axis=-1) / np.maximum(np.hypot(*way.T), 1e-9)[:, None]
    return np.concatenate([spine + across * width / 2, (spine - across * width / 2)[::-1]])


def fry_texts(one: DrawnFry) -> tuple[str, ...]:
    """What is written on a fry: number, length in mm, letters; then the same with less, for a fry with less room."""
    number = str(one.fry.number)
    if one.dropped:
        return (f"{number} ×",)
    measured = number if one.fry.length_mm is None else f"{number} · {one.fry.length_mm.value:.0f}"
    letters = "".join(mark.letter for mark in one.marks) + ("?" if one.doubtful else "")
    return (f"{measured} {letters}", f"{number} {letters}", number) if letters else (measured, number)
