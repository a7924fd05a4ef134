"""One fry seen close, and why it is marked: each mark and doubt has something drawn for it, told apart by its kind.

Beads where the fry meets another or the photo's edge; hatching on a dark end and where there was too much light; a
dashed strip as wide as the cut, where width or shape is off; a rule as long as the limit, where it is short; beneath,
its colour beside those between which the target lies.
"""

import cv2
import numpy as np

from grader.arrays import ByteArray, FloatArray, LabelArray, MaskArray
from grader.card.plane import px_per_mm
from grader.colour import lab_to_srgb8
from grader.drawing.fry_lines import POINTED_OUT, DrawnFry, draw_lines, fry_texts, placed, strip_area
from grader.drawing.ink import (
    BLACK,
    REGULAR,
    WHITE,
    along,
    dashes,
    hatch_mask,
    line_length,
    stroke,
    text_size,
    write,
    write_turned,
)
from grader.drawing.labels import write_labels
from grader.drawing.marks import Mark
from grader.drawing.plate_picture import plate_fries
from grader.drawing.view import View, view_of
from grader.fries.model import Fry, FryFlag
from grader.grading import GradedPhoto
from grader.standard.model import ColourScale, Standard

WIDTH_PX = 900
_AROUND = 0.3
_MEETING_PX = 5
"""So near its outline (photo px) another fry, or the photo's edge, counts as met."""
_BEAD_PX, _BEAD_GAP_PX = 9, 26
_TEXT_PX = 30
_SWATCH_PX = 90


def draw_fry(graded: GradedPhoto, number: int, standard: Standard) -> ByteArray | None:
    """(h, 900, 3) RGB: a fry and what lies around it; None where there is no such fry, or no pixels are at hand."""
    fries, dropped = plate_fries(graded)
    fry = next((one for one in (*fries, *dropped) if one.number == number), None)
    if fry is None or graded.photo is None or graded.plate is None or graded.plate.labels.size == 0:
        return None
    rule_px = _rule_px(fry, standard)
    view = view_of(graded.photo, [fry.outline_px, rule_px], margin=_AROUND, width_px=WIDTH_PX)
    picture = view.ground(graded.photo.pixels)
    near = [other for other in fries if other.number != number and view.shows_part_of(other.outline_px)]
    neighbours = [placed(other, view, standard) for other in near]
    for other in neighbours:
        stroke(picture, other.outline, WHITE, 2, closed=True)
    write_labels(picture, [(other, fry_texts(other)[-1:]) for other in neighbours])
    if FryFlag.CLIPPED in fry.flags:
        hatch_mask(picture, _burnt(graded.photo.pixels, graded.plate.labels == number, view), WHITE)
    one = placed(fry, view, standard, dropped=fry in dropped)
    draw_lines(picture, one)
    _draw_cut(picture, one, graded, view, standard)
    beads_px = _spaced(fry.outline_px, _BEAD_GAP_PX / view.scale)
    for bead in view.shown(beads_px[_meeting(beads_px, graded.plate.labels, number)]):
        _draw_bead(picture, bead)
    if {Mark.SHORT, Mark.SCRAP} & set(one.marks):
        _draw_rule(picture, view.shown(rule_px), f"{standard.defects.short_below_mm:g} mm")
    if Mark.COLOUR in one.marks and fry.colour is not None:
        return np.concatenate([picture, _swatches(fry.colour.lab, standard.scale)])
    return picture


def _burnt(
    pixels: "np.ndarray[tuple[int, ...], np.dtype[np.unsignedinteger]]", fry: MaskArray, view: View
) -> MaskArray:
    """(h, w) of the picture: where the fry has a channel at the top of its range."""
    rows, columns = slice(view.top, view.bottom), slice(view.left, view.right)
    part = pixels[rows, columns]
    burnt = (part == np.iinfo(part.dtype).max).any(axis=-1) & fry[rows, columns]
    size = (view.width_px, view.height_px)
    return np.asarray(cv2.resize(burnt.astype(np.uint8), size, interpolation=cv2.INTER_NEAREST) > 0)


def _draw_cut(picture: ByteArray, one: DrawnFry, graded: GradedPhoto, view: View, standard: Standard) -> None:
    """A strip as wide as the cut along the fry's middle, where its width is pointed out or its shape is odd."""
    fry = one.fry
    if FryFlag.ODD_SHAPE in fry.flags and graded.sheet is not None:
        scale = px_per_mm(graded.sheet) * view.scale
    elif fry.length_mm is not None and {Mark.WIDTH, Mark.SLIVER} & set(one.marks):
        scale = line_length(one.centreline) / fry.length_mm.value
    else:
        return
    dashes(picture, strip_area(one.centreline, standard.cut.width_mm * scale), WHITE, 4, dash_px=12)


def _rule_px(fry: Fry, standard: Standard) -> FloatArray:
    """(2, 2) a line beside the fry as long as a short piece's limit, photo px; (0, 2) where it has no length."""
    length = fry.length_mm or fry.straight_mm
    if length is None or fry.width_mm is None or length.value >= standard.defects.short_below_mm:
        return np.zeros((0, 2))
    scale = line_length(fry.centreline_px) / length.value
    way = fry.centreline_px[-1] - fry.centreline_px[0]
    way = way / max(float(np.hypot(*way)), 1e-9)
    start = fry.centreline_px[0] + np.array([-way[1], way[0]]) * fry.width_mm.value * scale
    return np.array([start, start + way * standard.defects.short_below_mm * scale])


def _draw_rule(picture: ByteArray, rule: FloatArray, words: str) -> None:
    way = rule[1] - rule[0]
    across = np.array([-way[1], way[0]]) / max(float(np.hypot(*way)), 1e-9)
    for line in (rule, *(np.array([end - across * 14, end + across * 14]) for end in rule)):
        stroke(picture, line, WHITE, 4)
    write_turned(picture, words, rule.mean(axis=0) + across * 32, way, _TEXT_PX)


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


def _swatches(lab: FloatArray, scale: ColourScale) -> ByteArray:
    """(h, 900, 3) a fry's colour between the two that bound the target; screens show them only about right."""
    steps = np.arange(1, len(scale.steps) + 1)
    anchors = np.array([step.lab for step in scale.steps])
    ends = [
        [np.interp(at, steps, anchors[:, axis]) for axis in range(3)] for at in (scale.target_from, scale.target_to)
    ]
    named = (
        (f"target from {scale.target_from:g}", ends[0]),
        ("this fry", lab),
        (f"target to {scale.target_to:g}", ends[1]),
    )
    band = np.full((_SWATCH_PX + 60, WIDTH_PX, 3), BLACK, np.uint8)
    wide = WIDTH_PX // len(named)
    for place, (words, colour) in enumerate(named):
        band[:_SWATCH_PX, place * wide : (place + 1) * wide] = lab_to_srgb8(np.array(colour))
        left = place * wide + (wide - text_size(words, _TEXT_PX, weight=REGULAR)[0]) // 2
        write(band, words, (left, _SWATCH_PX + 42), WHITE, _TEXT_PX, weight=REGULAR)
    return band
