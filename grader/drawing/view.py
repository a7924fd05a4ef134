"""The part of a photo that a picture shows, and the way between the photo's pixels and the picture's."""

from dataclasses import dataclass

import cv2
import numpy as np

from grader.arrays import ByteArray, FloatArray, PixelArray
from grader.photo.model import Photo

WIDTH_PX = 1600
"""A screen 360 px wide shows about a fifth of that: letters of 48 px are then 10 px high."""
_TALLEST, _WIDEST = 1.4, 2.2
"""A picture's height over its width at most, and its width over its height."""


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """A rectangle of a photo, px; `right` and `bottom` are the first ones outside. The picture is `width_px` wide."""

    left: int
    top: int
    right: int
    bottom: int
    width_px: int = WIDTH_PX

    @property
    def scale(self) -> float:
        """Picture px per photo px."""
        return self.width_px / (self.right - self.left)

    @property
    def height_px(self) -> int:
        """The picture's height."""
        return max(round((self.bottom - self.top) * self.scale), 1)

    def shown(self, points_px: FloatArray) -> FloatArray:
        """Photo px to picture px; pixel centres are at whole numbers."""
        return (points_px - (self.left, self.top) + 0.5) * self.scale - 0.5

    def in_photo(self, points: FloatArray) -> FloatArray:
        """Picture px to photo px: undoes `shown`."""
        return (points + 0.5) / self.scale + (self.left, self.top) - 0.5

    def holds(self, points_px: FloatArray) -> bool:
        """Whether all these points of the photo are shown."""
        low, high = (self.left - 0.5, self.top - 0.5), (self.right - 0.5, self.bottom - 0.5)
        return bool(((points_px >= low) & (points_px <= high)).all())

    def shows_part_of(self, points_px: FloatArray) -> bool:
        """Whether the box around these points of the photo reaches into what is shown."""
        low, high = points_px.min(axis=0), points_px.max(axis=0)
        return bool((high >= (self.left, self.top)).all() and (low <= (self.right, self.bottom)).all())

    def ground(self, pixels: PixelArray) -> ByteArray:
        """(h, width_px, 3) 8 bit: what is shown of the photo."""
        part: PixelArray = pixels[self.top : self.bottom, self.left : self.right]
        way = cv2.INTER_AREA if self.scale < 1 else cv2.INTER_LINEAR
        sized = cv2.resize(part, (self.width_px, self.height_px), interpolation=way)
        return np.asarray(sized // 257 if sized.dtype == np.uint16 else sized, np.uint8)


def view_of(photo: Photo, outlines_px: list[FloatArray], *, margin: float = 0.04, width_px: int = WIDTH_PX) -> View:
    """All these outlines with a margin around (a share of their extent), as large as the picture allows.

    Without outlines the whole photo. A narrow part is shown with what lies beside it: no picture is a mere strip.
    """
    size = np.array(photo.size_px)
    if not outlines_px:
        return View(left=0, top=0, right=int(size[0]), bottom=int(size[1]), width_px=width_px)
    points = np.concatenate(outlines_px)
    low, high = points.min(axis=0), points.max(axis=0)
    around = margin * float((high - low).max()) + 1
    wide, tall = high - low + 2 * around
    extent = np.minimum([max(wide, tall / _TALLEST), max(tall, wide / _WIDEST)], size)
    corner = np.clip((low + high - extent) / 2, 0, size - extent)
    left, top = np.floor(corner).astype(int)
    right, bottom = np.minimum(np.ceil(corner + extent).astype(int), size)
    return View(left=int(left), top=int(top), right=int(right), bottom=int(bottom), width_px=width_px)
