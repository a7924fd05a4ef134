"""One fry seen close, and why it is marked: its dark end, where it meets others, where there was too much light."""

import cv2
import numpy as np

from grader.arrays import ByteArray, FloatArray, LabelArray, MaskArray
from grader.card.plane import px_per_mm
from grader.drawing.fry_lines import POINTED_OUT, draw_lines, fry_texts, placed, strip_area, write_label
from grader.drawing.ink import BLACK, WHITE, along, dashes, hatch_mask, line_length, stroke
from grader.drawing.plate_picture import plate_fries
from grader.drawing.view import View, view_of
from grader.fries.model import Fry, FryFlag
from grader.grading import GradedPhoto
from grader.standard.model import Standard

WIDTH_PX = 900
_MEETING_PX = 5
"""So near its outline (photo px) another fry, or the photo's edge, counts as met."""
_BEAD_PX, _BEAD_GAP_PX = 9, 26
_AROUND = 0.3


def draw_fry(graded: GradedPhoto, number: int, standard: Standard) -> ByteArray | None:
    """(h, 900, 3) RGB: a fry and what lies around it; None where there is no such fry, or no pixels are at hand.

    Beads lie where it meets another fry or the photo's edge; a dashed strip as wide as the cut shows what a fry of odd
    shape is held against; hatching lies where the camera saw too much light, and on a dark end.
    """
    fries, dropped = plate_fries(graded)
    fry = next((one for one in (*fries, *dropped) if one.number == number), None)
    if fry is None or graded.photo is None or graded.plate is None or graded.plate.labels.size == 0:
        return None
    view = view_of(graded.photo, [fry.outline_px], margin=_AROUND, width_px=WIDTH_PX)
    picture = view.ground(graded.photo.pixels)
    for other in fries:
        if other.number != number:
            _draw_neighbour(picture, other, view, standard)
    if FryFlag.CLIPPED in fry.flags:
        hatch_mask(picture, _shown_mask(_burnt(graded, number, view), view), WHITE)
    draw_lines(picture, placed(fry, view, standard, dropped=fry in dropped))
    if FryFlag.ODD_SHAPE in fry.flags and graded.sheet is not None:
        width_px = standard.cut.width_mm * px_per_mm(graded.sheet) * view.scale
        dashes(picture, strip_area(view.shown(fry.centreline_px), width_px), WHITE, 4, dash_px=12)
    beads_px = _spaced(fry.outline_px, _BEAD_GAP_PX / view.scale)
    for bead in view.shown(beads_px[_meeting(beads_px, graded.plate.labels, number)]):
        _draw_bead(picture, bead)
    return picture


def _draw_neighbour(picture: ByteArray, fry: Fry, view: View, standard: Standard) -> None:
    one = placed(fry, view, standard)
    stroke(picture, one.outline, WHITE, 2, closed=True)
    write_label(picture, one, fry_texts(one)[-1:])


def _burnt(graded: GradedPhoto, number: int, view: View) -> MaskArray:
    """(h, w) of the view in photo px: pixels of the fry with a channel at the top of its range."""
    if graded.photo is None or graded.plate is None:
        return np.zeros((0, 0), bool)
    rows, columns = slice(view.top, view.bottom), slice(view.left, view.right)
    part = graded.photo.pixels[rows, columns]
    burnt = (part == np.iinfo(part.dtype).max).any(axis=-1)
    return np.asarray(burnt & (graded.plate.labels[rows, columns] == number))


def _shown_mask(mask: MaskArray, view: View) -> MaskArray:
    size = (view.width_px, view.height_px)
    return np.asarray(cv2.resize(mask.astype(np.uint8), size, interpolation=cv2.INTER_NEAREST) > 0)


def _spaced(outline_px: FloatArray, gap_px: float) -> FloatArray:
    """(n, 2) places along a closed outline, evenly spaced."""
    closed = np.concatenate([outline_px, outline_px[:1]])
    return along(closed, np.arange(0, line_length(closed), gap_px))


def _meeting(places_px: FloatArray, labels: LabelArray, number: int) -> MaskArray:
    """(k,) which places on a fry's outline lie near another fry or the photo's edge."""
    height, width = labels.shape
    meets = np.zeros(len(places_px), bool)
    for dx in (-_MEETING_PX, 0, _MEETING_PX):
        for dy in (-_MEETING_PX, 0, _MEETING_PX):
            x, y = np.round(places_px + np.array([dx, dy])).astype(int).T
            outside = (x < 0) | (y < 0) | (x >= width) | (y >= height)
            there = labels[np.clip(y, 0, height - 1), np.clip(x, 0, width - 1)]
            meets |= outside | ((there > 0) & (there != number))
    return meets


def _draw_bead(picture: ByteArray, centre: FloatArray) -> None:
    x, y = (round(float(value)) for value in centre)
    cv2.circle(picture, (x, y), _BEAD_PX + 3, BLACK, -1, cv2.LINE_AA)
    cv2.circle(picture, (x, y), _BEAD_PX, POINTED_OUT, -1, cv2.LINE_AA)
