"""The annotated plate: every fry outlined, numbered and measured, with the verdict above and a legend below.

Made for a phone: on a screen 360 px wide its letters are about 10 px high, and larger when zoomed.
"""

from collections.abc import Callable
from statistics import median

import cv2
import numpy as np

from grader.arrays import ByteArray, FloatArray
from grader.drawing.band import LegendItem, head_band, legend_band
from grader.drawing.fry_lines import (
    DOUBT,
    LEFT_OUT,
    POINTED_OUT,
    DrawnFry,
    draw_lines,
    fry_texts,
    placed,
    zigzag,
)
from grader.drawing.ink import WHITE, Colour, dashes, hatch, stroke
from grader.drawing.labels import write_labels
from grader.drawing.marks import Mark
from grader.drawing.signs import SIGNS, spoken
from grader.drawing.view import WIDTH_PX, view_of
from grader.errors import GraderError
from grader.fries.mends import mend_words, signers
from grader.fries.model import Fry
from grader.grading import GradedPhoto
from grader.standard.model import Standard

JPEG_QUALITY = 88
CARD: Colour = (120, 255, 140)


def draw_plate(graded: GradedPhoto, standard: Standard, *, head: bool = True) -> ByteArray | None:
    """(h, 1600, 3) RGB: the fries of a photo with what was found, or why it was refused; None where it wasn't read.

    Without its `head` the picture of a plate that was judged bears no verdict.
    """
    if graded.photo is None:
        return None
    fries, dropped = plate_fries(graded)
    view = view_of(graded.photo, [fry.outline_px for fry in (*fries, *dropped)])
    picture = view.ground(graded.photo.pixels)
    if graded.plate is None:
        return _refused(picture, graded)
    card = graded.sheet is not None and view.holds(graded.sheet.corners_px)
    if graded.sheet is not None and card:
        stroke(picture, view.shown(graded.sheet.corners_px), CARD, 3, closed=True)
    drawn = [placed(fry, view, standard) for fry in fries]
    drawn += [placed(fry, view, standard, dropped=True) for fry in dropped]
    for one in drawn:
        draw_lines(picture, one)
    write_labels(picture, [(one, fry_texts(one)) for one in drawn if not one.crumb])
    above = [_head(graded, drawn)] if head else []
    return np.concatenate([*above, picture, legend_band(WIDTH_PX, _legend(drawn, card=card))])


def plate_fries(graded: GradedPhoto) -> tuple[tuple[Fry, ...], tuple[Fry, ...]]:
    """The fries that count, and what doesn't: dropped by a person, or told to be no fry."""
    if graded.plate is None:
        return (), ()
    by_hand = () if graded.mending is None else graded.mending.dropped
    return graded.plate.fries, (*by_hand, *(one.fry for one in graded.plate.no_fries))


def picture_jpeg(picture: ByteArray) -> bytes:
    """The picture (h, w, 3) RGB as a JPEG."""
    settings = [cv2.IMWRITE_JPEG_QUALITY, JPEG_QUALITY]
    worked, data = cv2.imencode(".jpg", cv2.cvtColor(picture, cv2.COLOR_RGB2BGR), settings)
    if not worked:
        raise GraderError("The annotated picture could not be written.", hint="Report this with the photo, please.")
    packed: bytes = data.tobytes()
    return packed


def _head(graded: GradedPhoto, drawn: list[DrawnFry]) -> ByteArray:
    counted = [one.fry for one in drawn if not one.crumb and not one.dropped]
    lengths = [fry.length_mm.value for fry in counted if fry.length_mm is not None]
    facts = [f"{len(counted)} fries" + (f" · middle length {median(lengths):.0f} mm" if lengths else "")]
    if graded.standing is not None:
        facts.append(graded.standing.short)
    facts += _mended(graded)
    if graded.verdict is None:
        return head_band(WIDTH_PX, None, "Measured, but not judged.", *facts)
    outcome = graded.verdict.outcome
    return head_band(WIDTH_PX, outcome, spoken(graded.verdict.headline, SIGNS[outcome]), *facts)


def _mended(graded: GradedPhoto) -> list[str]:
    """That a person mended the plate, who, what, and the verdict without that."""
    mending = graded.mending
    if mending is None:
        return []
    before = "not judged" if mending.verdict is None else SIGNS[mending.verdict.outcome].word
    done = "; ".join(mend_words(mend) for mend in mending.mends)
    return [f"Mended by {', '.join(signers(mending.mends))}: {done}. Without mending: {before}."]


def _refused(picture: ByteArray, graded: GradedPhoto) -> ByteArray:
    reason = graded.reasons[0] if graded.reasons else None
    words = "This photo can't be judged." if reason is None else f"{reason.message} {reason.hint}"
    return np.concatenate([head_band(WIDTH_PX, None, words), picture // 2 + 40])


def _legend(drawn: list[DrawnFry], *, card: bool) -> list[LegendItem]:
    """Only what this picture shows."""
    marks = {mark for one in drawn for mark in one.marks}
    items = [LegendItem(words="number · length, mm")]
    if any(one.doubtful and not one.dropped for one in drawn):
        items.append(LegendItem(words="? partly hidden or unsure", draw=_dashed_sample(DOUBT, 5, dash_px=16)))
    if marks:
        items.append(LegendItem(words="pointed out:", draw=_line_sample(POINTED_OUT, 6)))
    items += [LegendItem(words=f"{m.letter} {m.words}", draw=_MARK_SAMPLES.get(m)) for m in Mark if m in marks]
    if any(one.crumb and not one.dropped for one in drawn):
        items.append(LegendItem(words="crumb, not counted", draw=_dashed_sample(WHITE, 3, dash_px=5)))
    if any(one.dropped for one in drawn):
        items.append(LegendItem(words="× left out", draw=_dashed_sample(LEFT_OUT, 3, dash_px=5)))
    if card:
        items.append(LegendItem(words="card", draw=_line_sample(CARD, 3)))
    return items


def _box(x: int, y: int, width: int) -> FloatArray:
    return np.array([(x, y - 15), (x + width, y - 15), (x + width, y + 15), (x, y + 15)], np.float64)


def _dashed_sample(colour: Colour, thick: int, *, dash_px: int) -> Callable[[ByteArray, int, int, int], None]:
    def draw(picture: ByteArray, x: int, y: int, width: int) -> None:
        dashes(picture, _box(x, y, width), colour, thick, dash_px=dash_px)

    return draw


def _hatched_sample(picture: ByteArray, x: int, y: int, width: int) -> None:
    hatch(picture, _box(x, y, width), POINTED_OUT)


def _bow_sample(picture: ByteArray, x: int, y: int, width: int) -> None:
    across = np.linspace(0, 1, 12)
    bow = np.column_stack([x + width * across, y + 12 - 88 * across * (1 - across)])
    stroke(picture, bow, POINTED_OUT, 6)
    stroke(picture, bow[[0, -1]], POINTED_OUT, 3)


def _zigzag_sample(picture: ByteArray, x: int, y: int, width: int) -> None:
    stroke(picture, zigzag(np.array([x + width / 2, y]), np.array([0.0, 1.0]), width), POINTED_OUT, 5)


_MARK_SAMPLES: dict[Mark, Callable[[ByteArray, int, int, int], None]] = {
    Mark.DARK_END: _hatched_sample,
    Mark.CURVED: _bow_sample,
    Mark.TORN_END: _zigzag_sample,
}


def _line_sample(colour: Colour, thick: int) -> Callable[[ByteArray, int, int, int], None]:
    def draw(picture: ByteArray, x: int, y: int, width: int) -> None:
        stroke(picture, _box(x, y, width), colour, thick, closed=True)

    return draw
