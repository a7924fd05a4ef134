"""The annotated plate: every fry outlined, numbered and measured, with the verdict above and a legend below.

Made for a phone: 1600 px wide, it shows letters of about 9 px on a screen 360 px wide, and more when zoomed.
"""

from collections.abc import Callable
from dataclasses import dataclass
from statistics import median

import cv2
import numpy as np

from grader.arrays import ByteArray, FloatArray, PixelArray
from grader.decision import is_crumb
from grader.drawing.band import LegendItem, head_band, legend_band
from grader.drawing.ink import WHITE, Colour, along, dashes, hatch, line_length, stroke, text_size, write_turned
from grader.drawing.marks import Mark, doubtful, marks_of
from grader.drawing.signs import SIGNS, spoken
from grader.errors import GraderError
from grader.fries.model import Fry
from grader.grading import GradedPhoto
from grader.photo.model import Photo
from grader.standard.model import Standard

WIDTH_PX = 1600
JPEG_QUALITY = 88

POINTED_OUT: Colour = (255, 70, 220)
DOUBT: Colour = (90, 225, 255)
CARD: Colour = (120, 255, 140)
_LETTERS_PX, _SMALLEST_PX = 40, 24


@dataclass(frozen=True, slots=True, kw_only=True)
class _View:
    """The part of a photo that is shown, px."""

    left: int
    top: int
    right: int
    bottom: int

    @property
    def scale(self) -> float:
        """Picture px per photo px."""
        return WIDTH_PX / (self.right - self.left)

    def shown(self, points_px: FloatArray) -> FloatArray:
        """Photo px to picture px; pixel centres are at whole numbers."""
        return (points_px - (self.left, self.top) + 0.5) * self.scale - 0.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Drawn:
    """A fry with its lines in the picture's own px, and what is said of it."""

    fry: Fry
    outline: FloatArray
    centreline: FloatArray
    marks: tuple[Mark, ...]
    doubtful: bool
    crumb: bool


def draw_plate(graded: GradedPhoto, standard: Standard) -> ByteArray | None:
    """(h, 1600, 3) RGB: the photo with what was found in it, or why it was refused; None where it could not be read."""
    if graded.photo is None:
        return None
    view = _view(graded, graded.photo)
    picture = _ground(graded.photo.pixels, view)
    if graded.sheet is not None:
        stroke(picture, view.shown(graded.sheet.corners_px), CARD, 3, closed=True)
    if graded.plate is None:
        return _refused(picture, graded)
    drawn = [_placed(fry, view, standard) for fry in graded.plate.fries]
    for one in drawn:
        _draw_fry(picture, one)
    for one in drawn:
        _label(picture, one)
    head = _head(graded, drawn)
    return np.concatenate([head, picture, legend_band(WIDTH_PX, _legend(drawn, card=graded.sheet is not None))])


def picture_jpeg(picture: ByteArray) -> bytes:
    """The picture (h, w, 3) RGB as a JPEG."""
    settings = [cv2.IMWRITE_JPEG_QUALITY, JPEG_QUALITY]
    worked, data = cv2.imencode(".jpg", cv2.cvtColor(picture, cv2.COLOR_RGB2BGR), settings)
    if not worked:
        raise GraderError("The annotated picture could not be written.", hint="Report this with the photo, please.")
    packed: bytes = data.tobytes()
    return packed


def _view(graded: GradedPhoto, photo: Photo) -> _View:
    """All fries and the card with a margin, so that they are as large as the picture allows; else the whole photo."""
    width, height = photo.size_px
    shown = [fry.outline_px for fry in graded.plate.fries] if graded.plate is not None else []
    if not shown:
        return _View(left=0, top=0, right=width, bottom=height)
    points = np.concatenate([*shown, graded.sheet.corners_px] if graded.sheet is not None else shown)
    margin = 0.04 * float(np.ptp(points, axis=0).max())
    (left, top), (right, bottom) = points.min(axis=0) - margin, points.max(axis=0) + margin
    return _View(
        left=max(int(left), 0), top=max(int(top), 0), right=min(int(right), width), bottom=min(int(bottom), height)
    )


def _ground(pixels: PixelArray, view: _View) -> ByteArray:
    """What is shown of the photo at the picture's width, 8 bit."""
    part: PixelArray = pixels[view.top : view.bottom, view.left : view.right]
    size = (WIDTH_PX, max(round(part.shape[0] * view.scale), 1))
    sized = cv2.resize(part, size, interpolation=cv2.INTER_AREA if view.scale < 1 else cv2.INTER_LINEAR)
    return np.asarray(sized // 257 if sized.dtype == np.uint16 else sized, np.uint8)


def _placed(fry: Fry, view: _View, standard: Standard) -> _Drawn:
    return _Drawn(
        fry=fry,
        outline=view.shown(fry.outline_px),
        centreline=view.shown(fry.centreline_px),
        marks=marks_of(fry, standard),
        doubtful=doubtful(fry),
        crumb=is_crumb(fry, standard),
    )


def _draw_fry(picture: ByteArray, one: _Drawn) -> None:
    if Mark.DARK_END in one.marks:
        area = dark_end_area(one.fry, one.centreline)
        if area is not None:
            hatch(picture, area, POINTED_OUT)
    if one.crumb:
        dashes(picture, one.outline, WHITE, 2, dash_px=5)
    elif one.doubtful:
        dashes(picture, one.outline, DOUBT, 4)
    elif one.marks:
        stroke(picture, one.outline, POINTED_OUT, 5, closed=True)
    else:
        stroke(picture, one.outline, WHITE, 2, closed=True)


def dark_end_area(fry: Fry, centreline: FloatArray) -> FloatArray | None:
    """Corners (k, 2) of a fry's dark end along its centreline, in that line's px; None where it can't be placed."""
    length = fry.length_mm or fry.straight_mm
    if fry.dark_end_mm is None or fry.end_labs is None or fry.width_mm is None or length is None or len(centreline) < 2:
        return None
    px_per_mm = line_length(centreline) / length.value
    first_is_darker = fry.end_labs[0][0] <= fry.end_labs[1][0]
    from_tip = centreline if first_is_darker else centreline[::-1]
    spine = along(from_tip, np.linspace(0, fry.dark_end_mm.value * px_per_mm, 6))
    way = np.gradient(spine, axis=0)
    across = np.stack([-way[:, 1], way[:, 0]], axis=-1) / np.maximum(np.hypot(*way.T), 1e-9)[:, None]
    half = fry.width_mm.value * px_per_mm / 2
    return np.concatenate([spine + across * half, (spine - across * half)[::-1]])


def fry_texts(fry: Fry, marks: tuple[Mark, ...], *, unsure: bool) -> tuple[str, ...]:
    """What is written on a fry: number, length in mm, letters; then the same with less, for a fry with less room."""
    number = str(fry.number)
    length = [] if fry.length_mm is None else [f"{fry.length_mm.value:.0f}"]
    letters = "".join(mark.letter for mark in marks) + ("?" if unsure else "")
    told = [letters] if letters else []
    return " · ".join([number, *length, *told]), " · ".join([number, *told]), number


def _label(picture: ByteArray, one: _Drawn) -> None:
    """Number, length and letters along the fry, as large as it has room for."""
    if one.crumb or len(one.centreline) < 2:
        return
    room = line_length(one.centreline)
    middle = along(one.centreline, np.array([0.3, 0.5, 0.7]) * room)
    way = middle[2] - middle[0]
    way = way / max(float(np.hypot(*way)), 1e-9)
    texts = fry_texts(one.fry, one.marks, unsure=one.doubtful)
    sizes = range(_LETTERS_PX, _SMALLEST_PX - 1, -4)
    fitting = ((text, size) for text in texts for size in sizes if text_size(text, size)[0] <= room)
    text, size = next(fitting, (texts[-1], _SMALLEST_PX))
    write_turned(picture, text, middle[1], way, size)


def _head(graded: GradedPhoto, drawn: list[_Drawn]) -> ByteArray:
    counted = [one.fry for one in drawn if not one.crumb]
    lengths = [fry.length_mm.value for fry in counted if fry.length_mm is not None]
    facts = f"{len(counted)} fries" + (f" · middle length {median(lengths):.0f} mm" if lengths else "")
    claim = [] if graded.standing is None else [graded.standing.short]
    if graded.verdict is None:
        return head_band(WIDTH_PX, None, "Measured, but not judged.", facts, *claim)
    outcome = graded.verdict.outcome
    headline = spoken(graded.verdict.headline, SIGNS[outcome])
    return head_band(WIDTH_PX, outcome, headline, facts, *claim)


def _refused(picture: ByteArray, graded: GradedPhoto) -> ByteArray:
    reason = graded.reasons[0] if graded.reasons else None
    words = "This photo can't be judged." if reason is None else f"{reason.message} {reason.hint}"
    return np.concatenate([head_band(WIDTH_PX, None, words), picture // 2 + 40])


def _legend(drawn: list[_Drawn], *, card: bool) -> list[LegendItem]:
    """Only what this picture shows."""
    marks = {mark for one in drawn for mark in one.marks}
    items = [LegendItem(words="number · length, mm")]
    if any(one.doubtful for one in drawn):
        items.append(LegendItem(words="? partly hidden or unsure", draw=_dashed_sample))
    if marks:
        items.append(LegendItem(words="pointed out:", draw=_line_sample(POINTED_OUT, 5)))
    for mark in Mark:
        if mark in marks:
            sample = _hatched_sample if mark is Mark.DARK_END else None
            items.append(LegendItem(words=f"{mark.letter} {mark.words}", draw=sample))
    if any(one.crumb for one in drawn):
        items.append(LegendItem(words="dotted: crumb, not counted"))
    if card:
        items.append(LegendItem(words="card", draw=_line_sample(CARD, 3)))
    return items


def _box(x: int, y: int, width: int) -> FloatArray:
    return np.array([(x, y - 15), (x + width, y - 15), (x + width, y + 15), (x, y + 15)], np.float64)


def _dashed_sample(picture: ByteArray, x: int, y: int, width: int) -> None:
    dashes(picture, _box(x, y, width), DOUBT, 4)


def _hatched_sample(picture: ByteArray, x: int, y: int, width: int) -> None:
    hatch(picture, _box(x, y, width), POINTED_OUT)


def _line_sample(colour: Colour, thick: int) -> Callable[[ByteArray, int, int, int], None]:
    def draw(picture: ByteArray, x: int, y: int, width: int) -> None:
        stroke(picture, _box(x, y, width), colour, thick, closed=True)

    return draw
