"""AprilTag 36h11: the tags' bits, where their corners lie on a sheet, and finding them in a photo.

Source of the family: Olson, "AprilTag: A robust and flexible visual fiducial system", ICRA 2011; Wang and Olson,
"AprilTag 2", IROS 2016. The codes are those of OpenCV's own dictionary (587 tags, 36 bits, Hamming distance 11), which
holds each tag half a turn from the way AprilTag's own pictures show it: the sheets are drawn and read the same way.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np

from grader.arrays import ByteArray, FloatArray, frozen
from grader.card.model import Layout, Tag
from grader.photo.shrinking import shrunk

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
    """By what whole number a picture is shrunk to be about so long."""
    return max(1, round(float(max(luma.shape)) / long_side_px))


def find_tags(luma: ByteArray, *, shrink: int = 1, numbers: Iterable[int] = range(TAG_COUNT)) -> list[SeenTag]:
    """The tags of those numbers that show in a picture, (h, w) uint8; shrunk so many times faster, but for small ones.

    Whatever may be a tag is held against each number in each turn: the few that sheets have take a fifth of the time
    that the whole family takes.
    """
    # Pixel centres are whole numbers, so a picture's own edge lies at -0.5 in both.
    return [
        SeenTag(number=tag.number, corners_px=(tag.corners_px + 0.5) * shrink - 0.5)
        for tag in _decode(shrunk(luma, shrink), sorted(set(numbers)))
    ]


def _decode(luma: ByteArray, numbers: list[int]) -> list[SeenTag]:
    corners, places, _ = _detector(numbers).detectMarkers(luma)
    if places is None:
        return []
    flat = np.asarray(places).reshape(-1)
    return [
        SeenTag(number=numbers[int(place)], corners_px=np.asarray(quad, float).reshape(4, 2))
        for quad, place in zip(corners, flat, strict=True)
    ]


@cache
def _dictionary() -> cv2.aruco.Dictionary:
    return cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)


def _detector(numbers: list[int]) -> cv2.aruco.ArucoDetector:
    family = _dictionary()
    some = cv2.aruco.Dictionary(family.bytesList[numbers], family.markerSize, family.maxCorrectionBits)
    parameters = cv2.aruco.DetectorParameters()
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_NONE
    return cv2.aruco.ArucoDetector(some, parameters)
