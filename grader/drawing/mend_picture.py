"""The plate to mend: every fry outlined with its number, large, and nothing else; what was dropped dotted."""

from collections.abc import Iterable
from dataclasses import dataclass

import cv2
import numpy as np

from grader.arrays import ByteArray, FloatArray
from grader.drawing.fry_lines import LEFT_OUT, fry_texts, placed
from grader.drawing.ink import WHITE, dashes, stroke
from grader.drawing.labels import write_labels
from grader.drawing.plate_picture import plate_fries
from grader.drawing.view import View, view_of
from grader.fries.mends import PointPx
from grader.fries.model import Fry
from grader.grading import GradedPhoto
from grader.standard.model import Standard

MARGIN = 0.06
"""Room around the fries for a point beside one that is to be split."""
_FINGER = 0.03
"""A tap beside a fry means it where it lies no farther off than this share of the picture's width: a fingertip."""
_STEPS = 60


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MendPicture:
    """The picture (h, 1600, 3) RGB, and which part of the photo it is."""

    picture: ByteArray
    view: View

    def outline(self, fry: Fry) -> FloatArray:
        """(k, 2) a fry's outline, picture px."""
        return self.view.shown(fry.outline_px)

    def place(self, point: PointPx) -> FloatArray:
        """(2,) a point of the photo, picture px."""
        return self.view.shown(np.array(point))

    def in_photo(self, across: float, down: float) -> PointPx:
        """The point of the photo that was tapped, from shares (0 to 1) of the picture's width and height."""
        point = np.array([across * self.view.width_px - 0.5, down * self.view.height_px - 0.5])
        x, y = np.clip(
            self.view.in_photo(point), (self.view.left, self.view.top), (self.view.right - 1, self.view.bottom - 1)
        )
        return float(x), float(y)

    def fry_at(self, fries: Iterable[Fry], point: PointPx) -> int | None:
        """The fry that a tap at a point of the photo means: the one it lies in or, within a fingertip, the nearest."""
        depths = {fry.number: _depth(fry.outline_px, point) for fry in fries}
        nearest = max(depths, key=lambda number: depths[number], default=None)
        if nearest is None or depths[nearest] * self.view.scale < -_FINGER * self.view.width_px:
            return None
        return nearest


def fry_between(fries: Iterable[Fry], line_px: tuple[PointPx, PointPx]) -> int | None:
    """The fry over which the way from one point to the other runs longest; None where it runs over none."""
    way = np.linspace(line_px[0], line_px[1], _STEPS)
    crossed = {fry.number: sum(_depth(fry.outline_px, (x, y)) >= 0 for x, y in way.tolist()) for fry in fries}
    longest = max(crossed, key=lambda number: crossed[number], default=None)
    return longest if longest is not None and crossed[longest] else None


def _depth(outline_px: FloatArray, point: PointPx) -> float:
    """How far inside an outline a point lies, px; below 0 outside."""
    return float(cv2.pointPolygonTest(outline_px.astype(np.float32).reshape(-1, 1, 2), point, measureDist=True))


def draw_for_mending(graded: GradedPhoto, standard: Standard) -> MendPicture | None:
    """The fries of a photo with their numbers; None where no pixels are at hand."""
    if graded.photo is None or graded.plate is None:
        return None
    fries, dropped = plate_fries(graded)
    view = view_of(graded.photo, [fry.outline_px for fry in (*fries, *dropped)], margin=MARGIN)
    picture = np.ascontiguousarray(view.ground(graded.photo.pixels))
    drawn = [placed(fry, view, standard, dropped=fry in dropped) for fry in (*fries, *dropped)]
    for one in drawn:
        if one.dropped:
            dashes(picture, one.outline, LEFT_OUT, 3, dash_px=5)
        else:
            stroke(picture, one.outline, WHITE, 3, closed=True)
    write_labels(picture, [(one, fry_texts(one)[-1:]) for one in drawn])
    return MendPicture(picture=picture, view=view)
