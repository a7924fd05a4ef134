"""Hooks drawn into a view and cut apart where they turn: joined again; what only meets is not."""

from itertools import pairwise

import cv2
import numpy as np
import pytest

from grader.arrays import FloatArray, IntArray, MaskArray
from grader.fries.hooks import rejoin_hooks
from grader.fries.view import MM_PER_PX, View, view_of

SIZE = 360, 480
WIDTH_PX = 27
FRY, PLATE = 0.35, 0.8


def arc(turn_deg: float, *, radius: float = 60.0, straight: float = 130.0) -> FloatArray:
    """(n, 2) a line that runs straight and then turns, px."""
    angles = np.radians(np.linspace(0, turn_deg, 200))
    bent = np.column_stack([radius * np.sin(angles), radius * (1 - np.cos(angles))])
    return np.asarray(np.add(np.vstack([[-straight, 0.0], bent]), [230.0, 90.0]), float)


def drawn(line: FloatArray) -> MaskArray:
    mask = np.zeros(SIZE, np.uint8)
    cv2.polylines(
        mask, [np.round(line).astype(np.int32).reshape(-1, 1, 2)], isClosed=False, color=1, thickness=WIDTH_PX
    )
    return mask > 0


def seen_as(light: FloatArray) -> View:
    xyz = np.repeat(light[..., None], 3, axis=-1).astype(np.float32)
    return view_of(xyz, np.eye(3), np.zeros(SIZE, bool), reduction=1.0)


def cut(turn_deg: float, *after: int) -> IntArray:
    """(h, w) a hook in parts, cut after so many points of its line."""
    line, labels = arc(turn_deg), np.zeros(SIZE, np.int64)
    for number, (first, last) in enumerate(pairwise([0, *after, len(line)]), start=1):
        labels[drawn(line[max(first - 1, 0) : last]) & (labels == 0)] = number
    return labels


def lit(mask: MaskArray) -> FloatArray:
    return np.where(mask, FRY, PLATE)


@pytest.mark.parametrize("turn", [100, 180, 230])
def test_parts_of_a_hook_are_joined(turn: float) -> None:
    labels = cut(turn, 12)
    joined = rejoin_hooks(seen_as(lit(labels > 0)), labels)
    assert set(np.unique(labels)) == {0, 1, 2}
    np.testing.assert_array_equal(joined, labels > 0)


def test_three_parts_of_one_are_joined() -> None:
    labels = cut(200, 8, 110)
    assert set(np.unique(labels)) == {0, 1, 2, 3}
    np.testing.assert_array_equal(rejoin_hooks(seen_as(lit(labels > 0)), labels), labels > 0)


def test_a_bar_cut_in_two_is_left_to_grouping() -> None:
    labels = cut(20, 12)
    np.testing.assert_array_equal(rejoin_hooks(seen_as(lit(labels > 0)), labels), labels)


def test_parts_unlike_beside_the_cut_stay_two_fries() -> None:
    labels = cut(180, 12)
    light = np.where(labels == 2, 0.6 * FRY, lit(labels > 0))
    np.testing.assert_array_equal(rejoin_hooks(seen_as(light), labels), labels)


def test_a_black_gap_between_them_is_a_seam() -> None:
    labels = cut(180, 12)
    light = lit(labels > 0)
    one, other = (cv2.dilate((labels == n).astype(np.uint8), np.ones((5, 5), np.uint8)) > 0 for n in (1, 2))
    light[one & other] = 0.05
    np.testing.assert_array_equal(rejoin_hooks(seen_as(light), labels), labels)


def test_two_bars_that_meet_at_a_corner_stay_two() -> None:
    labels = np.zeros(SIZE, np.int64)
    labels[100:127, 60:260] = 1
    labels[127:300, 233:260] = 2
    np.testing.assert_array_equal(rejoin_hooks(seen_as(lit(labels > 0)), labels), labels)


def test_side_by_side_or_apart_nothing_is_joined() -> None:
    labels = np.zeros(SIZE, np.int64)
    labels[100:127, 60:260] = 1
    labels[127:154, 60:260] = 2
    labels[200:227, 60:260] = 3
    np.testing.assert_array_equal(rejoin_hooks(seen_as(lit(labels > 0)), labels), labels)
    nothing = np.zeros(SIZE, np.int64)
    assert not rejoin_hooks(seen_as(lit(nothing > 0)), nothing).any()


def test_a_part_too_small_for_one_is_left() -> None:
    labels = drawn(arc(180)).astype(np.int64)
    rows, columns = np.nonzero(labels)
    tip = (columns < columns.max() - 40) & (rows > rows.max() - 12)
    labels[rows[tip], columns[tip]] = 2
    assert (labels == 2).sum() * MM_PER_PX**2 < 60
    np.testing.assert_array_equal(rejoin_hooks(seen_as(lit(labels > 0)), labels), labels)
