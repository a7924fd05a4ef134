"""Candidates for a chart from flat squares that lie in a grid: a second way, where the detector finds none.

Patches are regions without edges; whatever their colours and that of the board, six by four of them lie evenly. Patches
that can't be told from the board (black ones) are filled in: any place of a six by four grid over the squares found is
a candidate, and colours decide.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import cv2
import numpy as np

from grader.arrays import ByteArray, FloatArray, MaskArray
from grader.card.homography import apply_homography, fit_homography
from grader.chart.model import COLUMNS, PATCH_CENTRES, ROWS

_EDGE_STEPS = (6, 12, 24)
"""Differences of 8-bit values between neighbours that count as an edge, in turn: faint edges first."""
_LEAST_SHARE, _MOST_SHARE = 2e-4, 0.04
"""A patch's share of the picture: at most 24 of the latter fit."""
_SQUARE_FILL, _LONGEST_RATIO = 0.8, 1.8
_REACH = (0.95, 1.7)
"""From one square to the next, in sides of what shows of it without its edges."""
_ASIDE = 0.3
_ALIKE = 2.2
_ENOUGH = 8
_NEAR, _PATCH_SIZES = 0.45, (0.5, 1.0)
"""Pitches: how far a patch may lie from where it was expected, and how large it may show."""

Index = tuple[int, int]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Square:
    """Middle (2,), and its two sides as vectors (2,), px."""

    middle: FloatArray
    along: FloatArray
    down: FloatArray


def grids(picture: ByteArray) -> Iterator[FloatArray]:
    """Homographies (3, 3) from pitches to px of what may be a chart in a picture (h, w, 3), RGB, 8 bit."""
    for step in _EDGE_STEPS:
        squares = list(_squares(_flat(picture, step)))
        for nodes in _lattices(squares):
            yield from _placements(nodes)


def refined(picture: ByteArray, homography: FloatArray) -> FloatArray:
    """A found chart's homography (3, 3), fitted anew to the flat squares that lie where its patches should.

    Comes back as it was where too few squares do. Detectors fit a board's outline and may be off by a third of a patch.
    """
    expected = apply_homography(homography, PATCH_CENTRES)
    pitch = float(np.linalg.norm(np.diff(expected.reshape(ROWS, COLUMNS, 2), axis=1), axis=-1).mean())
    best: list[tuple[int, FloatArray]] = []
    for step in _EDGE_STEPS:
        middles = np.array([one.middle for one in _squares(_flat(picture, step)) if _fits(one, pitch)])
        if not len(middles):
            continue
        off = np.linalg.norm(expected[:, None] - middles, axis=2)
        near = [(int(patch), middles[off[patch].argmin()]) for patch in np.flatnonzero(off.min(axis=1) < _NEAR * pitch)]
        best = max(best, near, key=len)
    if len(best) < _ENOUGH:
        return homography
    return fit_homography(PATCH_CENTRES[[patch for patch, _ in best]], np.array([middle for _, middle in best]))


def _fits(square: _Square, pitch: float) -> bool:
    """A square of a patch's size, its edges not counted."""
    size = float(np.sqrt(np.linalg.norm(square.along) * np.linalg.norm(square.down)))
    return _PATCH_SIZES[0] * pitch <= size <= _PATCH_SIZES[1] * pitch


def _flat(picture: ByteArray, step: int) -> MaskArray:
    """(h, w) where no channel changes by more than `step` to either neighbour."""
    smooth = cv2.GaussianBlur(picture, (0, 0), 1.0)
    kernel = np.ones((3, 3), np.uint8)
    change = cv2.morphologyEx(smooth, cv2.MORPH_GRADIENT, kernel).max(axis=2)
    return np.asarray(change <= step)


def _squares(flat: MaskArray) -> Iterator[_Square]:
    """Flat regions that are about square."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats(flat.astype(np.uint8), connectivity=4)
    for label in range(1, count):
        x, y, width, height, area = stats[label]
        if not _LEAST_SHARE * flat.size <= area <= _MOST_SHARE * flat.size:
            continue
        inside = (labels[y : y + height, x : x + width] == label).astype(np.uint8)
        contours, _ = cv2.findContours(inside, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
        box = np.asarray(cv2.boxPoints(cv2.minAreaRect(max(contours, key=cv2.contourArea))), float)
        along, down = box[1] - box[0], box[2] - box[1]
        long, short = sorted((float(np.linalg.norm(along)) + 1, float(np.linalg.norm(down)) + 1), reverse=True)
        if area >= _SQUARE_FILL * long * short and long <= _LONGEST_RATIO * short:
            yield _Square(middle=box.mean(axis=0) + np.array([x, y]), along=along, down=down)


def _lattices(squares: Sequence[_Square]) -> Iterator[dict[Index, FloatArray]]:
    """Squares that lie as neighbours of each other, by column and row, each with its middle; the largest set first."""
    left, found = set(range(len(squares))), []
    while left:
        members = _grown(squares, min(left))
        left -= set(members)
        if len(members) >= _ENOUGH:
            found.append({index: squares[number].middle for number, index in members.items()})
    yield from sorted(found, key=len, reverse=True)


def _grown(squares: Sequence[_Square], first: int) -> dict[int, Index]:
    """From one square to its neighbours and on: each square reached, with its column and row counted from the first."""
    placed: dict[int, Index] = {first: (0, 0)}
    sides = {first: (squares[first].along, squares[first].down)}
    waiting = [first]
    while waiting:
        one = waiting.pop()
        along, down = sides[one]
        for other in range(len(squares)):
            if other in placed:
                continue
            step = _step(squares[other].middle - squares[one].middle, along, down)
            turned = _as_turned(squares[other], along, down)
            if step is None or not _alike(turned, (along, down)):
                continue
            placed[other] = (placed[one][0] + step[0], placed[one][1] + step[1])
            sides[other] = turned
            waiting.append(other)
    return placed


def _step(offset: FloatArray, along: FloatArray, down: FloatArray) -> Index | None:
    """Which neighbour lies at this offset, px: one column or one row away; None where none does."""
    right, below = np.linalg.solve(np.stack([along, down], axis=1), offset)
    for far, aside, step in ((right, below, (1, 0)), (below, right, (0, 1))):
        if _REACH[0] <= abs(far) <= _REACH[1] and abs(aside) <= _ASIDE:
            sign = int(np.sign(far))
            return sign * step[0], sign * step[1]
    return None


def _as_turned(square: _Square, along: FloatArray, down: FloatArray) -> tuple[FloatArray, FloatArray]:
    """A square's two sides named and signed as those of its neighbour."""
    first, second = square.along, square.down
    if abs(first @ along) < abs(second @ along):
        first, second = second, first
    return first * np.sign(first @ along or 1.0), second * np.sign(second @ down or 1.0)


def _alike(sides: tuple[FloatArray, FloatArray], others: tuple[FloatArray, FloatArray]) -> bool:
    ratios = [np.linalg.norm(a) / np.linalg.norm(b) for a, b in zip(sides, others, strict=True)]
    return all(1 / _ALIKE <= ratio <= _ALIKE for ratio in ratios)


def _placements(nodes: dict[Index, FloatArray]) -> Iterator[FloatArray]:
    """Every way of laying six by four, or four by six, over the squares so that enough of them lie in it."""
    indices = np.array(list(nodes), float)
    middles = np.array(list(nodes.values()))
    for flip in (np.array([[1, 0], [0, 1]]), np.array([[0, 1], [-1, 0]])):
        turned = indices @ flip.T
        low, high = turned.min(axis=0).astype(int), turned.max(axis=0).astype(int)
        for column in range(low[0] - COLUMNS + 1, high[0] + 1):
            for row in range(low[1] - ROWS + 1, high[1] + 1):
                place = turned - [column, row]
                within = ((place >= 0) & (place < [COLUMNS, ROWS])).all(axis=1)
                if within.sum() >= max(_ENOUGH, len(nodes) // 2) and np.ptp(place[within], axis=0).min() >= 1:
                    yield fit_homography(place[within] + 0.5, middles[within])
