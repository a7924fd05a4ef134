"""The fries of a photo without a card: outlined and numbered, and above them that there are no numbers and why."""

import numpy as np

from grader.arrays import ByteArray
from grader.drawing.band import head_band
from grader.drawing.ink import WHITE, stroke, write_turned
from grader.drawing.labels import SMALLEST_PX, deepest
from grader.drawing.view import WIDTH_PX, view_of
from grader.outlines import OutlinedPhoto

_ACROSS = np.array([1.0, 0.0])


def draw_outlines(photo: OutlinedPhoto) -> ByteArray | None:
    """(h, 1600, 3) RGB: the whole photo with each fry's outline and number; None where it wasn't read."""
    if photo.photo is None or photo.outlined is None:
        return None
    view = view_of(photo.photo, [])
    picture = np.ascontiguousarray(view.ground(photo.photo.pixels))
    outlines = [view.shown(fry.outline_px) for fry in photo.outlined.fries]
    for outline in outlines:
        stroke(picture, outline, WHITE, 4, closed=True)
    for fry, outline in zip(photo.outlined.fries, outlines, strict=True):
        write_turned(picture, str(fry.number), deepest(outline), _ACROSS, SMALLEST_PX)
    reason = photo.reasons[0]
    found = f"{len(outlines)} outlines"
    return np.concatenate([head_band(WIDTH_PX, None, found, reason.message, reason.hint), picture])
