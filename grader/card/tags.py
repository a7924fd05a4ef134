"""AprilTag 36h11: the tags' bits, where their corners lie on a sheet, and finding them in a photo.

Source of the family: Olson, "AprilTag: A robust and flexible visual fiducial system", ICRA 2011; Wang and Olson,
"AprilTag 2", IROS 2016. The codes are those of OpenCV's own dictionary (587 tags, 36 bits, Hamming distance 11), which
holds each tag half a turn from the way AprilTag's own pictures show it: the sheets are drawn and read the same way.
"""

from dataclasses import dataclass
from functools import cache
from typing import cast

import cv2
import numpy as np

from grader.arrays import ByteArray, FloatArray, frozen
from grader.card.model import Layout, Tag

TAG_COUNT = 587
MODULES = 8
"""Modules along a tag's black square: six of data within a border of one."""

GLANCE_PX, CLOSER_PX = 1000, 2000
"""About so long is the longer side of the copies in which tags are looked for, one after the other: the search costs by
area, and the corners are refined in the full picture afterwards."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeenTag:
    """One tag as decoded: `corners_px` (4, 2) clockwise from the tag's own top left, a pixel or two of error."""

    number: int
    corners_px: FloatArray


@cache
def tag_bits(number: int) -> ByteArray:
    """(8, 8) modules of a tag as printed: 0 black, 1 white; the border is black."""
    modules = cv2.aruco.generateImageMarker(_dictionary(), number, MODULES)
    return frozen((np.asarray(modules) > 127).astype(np.uint8))


def tag_corners_mm(layout: Layout, tag: Tag) -> FloatArray:
    """(4, 2) corners of a tag's black square: top left, top right, bottom right, bottom left."""
    size = layout.tag_size_mm
    return np.array([tag.x_mm, tag.y_mm]) + size * np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])


def shrink_to(luma: ByteArray, long_side_px: float) -> int:
    """By what a picture is shrunk to be about so long: a whole number takes a tenth of the time of any other."""
    return max(1, round(float(max(luma.shape)) / long_side_px))


def find_tags(luma: ByteArray, *, shrink: int = 1) -> list[SeenTag]:
    """The tags of the family that show in a picture, (h, w) uint8; shrunk so many times faster, but for small ones."""
    if shrink == 1:
        return _decode(luma)
    height, width = (side // shrink for side in luma.shape)
    whole = luma[: height * shrink, : width * shrink]
    reduced = cast("ByteArray", cv2.resize(whole, (width, height), interpolation=cv2.INTER_AREA))
    # Pixel centres are whole numbers, so a picture's own edge lies at -0.5 in both.
    return [SeenTag(number=tag.number, corners_px=(tag.corners_px + 0.5) * shrink - 0.5) for tag in _decode(reduced)]


def _decode(luma: ByteArray) -> list[SeenTag]:
    corners, numbers, _ = _detector().detectMarkers(luma)
    if numbers is None:
        return []
    flat = np.asarray(numbers).reshape(-1)
    return [
        SeenTag(number=int(number), corners_px=np.asarray(quad, float).reshape(4, 2))
        for quad, number in zip(corners, flat, strict=True)
    ]


@cache
def _dictionary() -> cv2.aruco.Dictionary:
    return cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)


def _detector() -> cv2.aruco.ArucoDetector:
    parameters = cv2.aruco.DetectorParameters()
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_NONE
    return cv2.aruco.ArucoDetector(_dictionary(), parameters)
