"""Words written along fries, each where it can be read: on its own fry, off its dark end, off other fries and words."""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np

from grader.arrays import ByteArray, Float32Array, FloatArray
from grader.drawing.fry_lines import DrawnFry, dark_end_shares
from grader.drawing.ink import along, line_length, text_size, write_turned
from grader.drawing.marks import Mark

Label = tuple[DrawnFry, tuple[str, ...]]
"""A fry and what may be written on it, the longest first."""

LARGEST_PX, SMALLEST_PX = 60, 44
"""A phone 360 px wide shows the smaller at 9 px, and larger when zoomed."""
_SHARES = (0.5, 0.35, 0.65, 0.22, 0.78)
"""Where along a fry's free part a label may have its middle, the best first."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Words:
    """A text, its size, and where it would stand: middle (2,), direction (2,), the corners of its box (4, 2)."""

    text: str
    size_px: int
    centre: FloatArray
    way: FloatArray
    box: Float32Array


def write_labels(picture: ByteArray, labels: Sequence[Label]) -> None:
    """Write on each fry the longest of its texts that has room on it and hides no other's words, as large as it can be.

    A hatched dark end is left free where at least half of the fry is none. Fries with little room come first.
    """
    outlines = [one.outline.astype(np.float32) for one, _ in labels]
    extents = [np.stack([outline.min(axis=0), outline.max(axis=0)]) for outline in outlines]
    written: list[_Words] = []
    for place in sorted(range(len(labels)), key=lambda place: line_length(labels[place][0].centreline)):
        one, texts = labels[place]
        if len(one.centreline) > 1:
            near = [other for other in range(len(labels)) if other != place and _near(extents[place], extents[other])]
            written.append(_chosen(one, texts, [outlines[other] for other in near], written))
    for words in written:
        write_turned(picture, words.text, words.centre, words.way, words.size_px)


def _chosen(one: DrawnFry, texts: tuple[str, ...], others: list[Float32Array], written: list[_Words]) -> _Words:
    room = line_length(one.centreline) * float(np.diff(_clear_of_dark_end(one))[0])
    sizes = range(LARGEST_PX, SMALLEST_PX - 1, -4)
    for text in texts:
        for size in sizes:
            if _size(text, size)[0] <= room:
                free = [words for words in _places(one, text, size) if not _hides(words, written)]
                if free:
                    return min(free, key=lambda words: _hidden(words, others))
    last = _places(one, texts[-1], SMALLEST_PX)
    return min(last, key=lambda words: (_hides(words, written), _hidden(words, others)))


def _places(one: DrawnFry, text: str, size: int) -> list[_Words]:
    """The words at each of the places along the fry, the best place first."""
    low, high = _clear_of_dark_end(one)
    whole = line_length(one.centreline)
    wide = _size(text, size)
    half = min(wide[0] / 2 / max(whole, 1e-9), (high - low) / 2)
    found = []
    for share in _SHARES:
        at = float(np.clip(low + share * (high - low), low + half, high - half))
        start, centre, end = along(one.centreline, (at + np.array([-half, 0, half])) * whole)
        way = (end - start) / max(float(np.hypot(*(end - start))), 1e-9)
        if not _inside(one.outline, centre):  # an odd shape's middle line may run beside it
            centre = deepest(one.outline)
        found.append(_Words(text=text, size_px=size, centre=centre, way=way, box=_box(centre, way, wide)))
    return found


def _size(text: str, size: int) -> tuple[int, int]:
    """Width and height of letters with the dark rim around them."""
    width, height = text_size(text, size)
    return width + size // 3, height


def _hidden(words: _Words, others: list[Float32Array]) -> int:
    """How many of five points along the words lie on other fries (their outlines)."""
    points = words.centre + np.linspace(-0.5, 0.5, 5)[:, None] * (words.box[0] - words.box[3])
    return sum(any(_inside(other, point) for other in others) for point in points)


def _hides(words: _Words, written: list[_Words]) -> int:
    """How many of the words that stand there these would hide in part."""
    near = [other.box for other in written if _near(words.box, other.box)]
    return sum(cv2.intersectConvexConvex(words.box, other)[0] > 0 for other in near)


def _near(one: Float32Array, other: Float32Array) -> bool:
    return bool((one.max(axis=0) >= other.min(axis=0)).all() and (one.min(axis=0) <= other.max(axis=0)).all())


def _box(centre: FloatArray, way: FloatArray, size: tuple[int, int]) -> Float32Array:
    """(4, 2) corners: the two at the end of the words, then the two at their beginning."""
    end, side = way * size[0] / 2, np.array([-way[1], way[0]]) * size[1] / 2
    return np.asarray(centre + np.array([end + side, end - side, -end - side, -end + side]), np.float32)


def _clear_of_dark_end(one: DrawnFry) -> tuple[float, float]:
    dark = dark_end_shares(one.fry) if Mark.DARK_END in one.marks else None
    if dark is None or dark[1] - dark[0] > 0.5:
        return 0.0, 1.0
    return (dark[1], 1.0) if dark[0] == 0 else (0.0, dark[0])


def _inside(outline: FloatArray | Float32Array, point: FloatArray) -> bool:
    x, y = point.tolist()
    return cv2.pointPolygonTest(np.asarray(outline, np.float32).reshape(-1, 1, 2), (x, y), measureDist=False) >= 0


def deepest(outline: FloatArray) -> FloatArray:
    """The point inside an outline that is farthest from it."""
    corner = np.floor(outline.min(axis=0)) - 1
    width, height = np.ceil(np.ptp(outline, axis=0)).astype(int) + 3
    inside = np.zeros((height, width), np.uint8)
    cv2.fillPoly(inside, [np.round(outline - corner).astype(np.int32)], 1)
    depth = cv2.distanceTransform(inside, cv2.DIST_L2, 5)
    row, column = np.unravel_index(int(np.argmax(depth)), depth.shape)
    return np.asarray(np.array([column, row], float) + corner)
