"""Strokes, hatching and letters that stay visible on any ground: each is light with a dark rim.

Pictures are (h, w, 3) uint8 RGB and are drawn into; points are (x, y) px.
"""

import cv2
import numpy as np

from grader.arrays import ByteArray, FloatArray, MaskArray

Colour = tuple[int, int, int]

WHITE: Colour = (255, 255, 255)
BLACK: Colour = (20, 20, 20)

_FINE_BITS = 4
_FONT = cv2.FontFace("sans")
REGULAR, BOLD = 400, 700


def _fixed(points: FloatArray) -> "np.ndarray[tuple[int, ...], np.dtype[np.int32]]":
    """Points with the sixteenths of a pixel that OpenCV's lines take."""
    return np.round(points * (1 << _FINE_BITS)).astype(np.int32).reshape(-1, 1, 2)


def stroke(picture: ByteArray, points: FloatArray, colour: Colour, width: int, *, closed: bool = False) -> None:
    """A line through `points` with a dark rim."""
    line = [_fixed(points)]
    cv2.polylines(picture, line, closed, BLACK, width + 3, cv2.LINE_AA, _FINE_BITS)
    cv2.polylines(picture, line, closed, colour, width, cv2.LINE_AA, _FINE_BITS)


def along(points: FloatArray, at: FloatArray) -> FloatArray:
    """The points (n, 2) at the distances `at` (n,) along a line through `points`; beyond its ends the ends."""
    reached = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))))
    return np.stack([np.interp(at, reached, points[:, axis]) for axis in (0, 1)], axis=-1)


def line_length(points: FloatArray) -> float:
    """The length of the line through `points`, px."""
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def dashes(picture: ByteArray, outline: FloatArray, colour: Colour, width: int, *, dash_px: float = 16.0) -> None:
    """A closed broken line with a dark rim."""
    closed = np.concatenate([outline, outline[:1]])
    length = line_length(closed)
    count = max(int(length / (2 * dash_px)), 3)
    for start in np.arange(count) * (length / count):
        stroke(picture, along(closed, np.linspace(start, start + dash_px, 5)), colour, width)


def hatch(picture: ByteArray, area: FloatArray, colour: Colour, *, gap_px: int = 11, width: int = 3) -> None:
    """Slanting lines with a dark rim inside the polygon `area`."""
    inside = np.zeros(picture.shape[:2], np.uint8)
    cv2.fillPoly(inside, [_fixed(area)], 255, cv2.LINE_8, _FINE_BITS)
    hatch_mask(picture, inside > 0, colour, gap_px=gap_px, width=width)


def hatch_mask(picture: ByteArray, inside: MaskArray, colour: Colour, *, gap_px: int = 11, width: int = 3) -> None:
    """Slanting lines with a dark rim where `inside` (h, w) is True."""
    rows, columns = np.flatnonzero(inside.any(axis=1)), np.flatnonzero(inside.any(axis=0))
    if not len(rows):
        return
    box = slice(int(rows[0]), int(rows[-1]) + 1), slice(int(columns[0]), int(columns[-1]) + 1)
    part = picture[box]
    lined = part.copy()
    height, reach = part.shape[0], part.shape[0] + part.shape[1]
    for ink, thick in ((BLACK, width + 3), (colour, width)):
        for start in range(0, reach, gap_px):
            cv2.line(lined, (start, 0), (start - height, height), ink, thick, cv2.LINE_AA)
    part[inside[box]] = lined[inside[box]]


def text_size(text: str, height_px: int, *, weight: int = BOLD) -> tuple[int, int]:
    """Width and height of a line of text whose letters are about `height_px` high, px."""
    _, _, width, height = cv2.getTextSize((1, 1), text, (0, 0), _FONT, height_px, weight)
    return int(width), int(height)


def _letters(text: str, height_px: int, weight: int, margin: int) -> ByteArray:
    """(h, w) how much of each pixel the letters cover, 0 to 255, with a margin around."""
    width, _ = text_size(text, height_px, weight=weight)
    ground = np.zeros((int(height_px * 1.5) + 2 * margin, width + 2 * margin, 3), np.uint8)
    cv2.putText(ground, text, (margin, margin + int(height_px * 1.1)), WHITE, _FONT, height_px, weight)
    return ground[..., 0].copy()


def write(
    picture: ByteArray, text: str, at: tuple[int, int], colour: Colour, height_px: int, *, weight: int = BOLD
) -> None:
    """Plain letters on a plain ground; `at` is the left end of their base line."""
    cv2.putText(picture, text, at, colour, _FONT, height_px, weight)


def write_turned(picture: ByteArray, text: str, centre: FloatArray, direction: FloatArray, height_px: int) -> None:
    """White letters with a dark rim, centred on `centre` and running along `direction`, never upside down."""
    rim = max(height_px // 8, 2)
    letters = _letters(text, height_px, BOLD, margin=rim + 2)
    around = cv2.dilate(letters, cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * rim + 1, 2 * rim + 1)))
    dx, dy = direction if direction[0] > 0 or (direction[0] == 0 and direction[1] > 0) else -direction
    angle = np.degrees(np.arctan2(dy, dx))
    height, width = letters.shape
    side = int(np.hypot(height, width)) + 2
    turn = cv2.getRotationMatrix2D((width / 2, height / 2), -float(angle), 1.0)
    turn[:, 2] += (side - width) / 2, (side - height) / 2
    for layer, ink in ((around, BLACK), (letters, WHITE)):
        _cover(picture, cv2.warpAffine(layer, turn, (side, side)), centre, ink)


def _cover(
    picture: ByteArray,
    layer: "np.ndarray[tuple[int, ...], np.dtype[np.integer | np.floating]]",
    centre: FloatArray,
    ink: Colour,
) -> None:
    """Ink where `layer` (side, side) says, centred on `centre`, cut off at the picture's edge."""
    side = layer.shape[0]
    left, top = (round(value - side / 2) for value in centre)
    x0, y0 = max(left, 0), max(top, 0)
    x1, y1 = min(left + side, picture.shape[1]), min(top + side, picture.shape[0])
    if x0 >= x1 or y0 >= y1:
        return
    share = layer[y0 - top : y1 - top, x0 - left : x1 - left, None].astype(np.float32) / 255
    part = picture[y0:y1, x0:x1]
    part[:] = np.round(part * (1 - share) + np.array(ink, np.float32) * share).astype(np.uint8)
