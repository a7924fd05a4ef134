import numpy as np

from grader.fries.numbered import boxes_of, where_two_meet


def test_boxes_hold_each_number_and_a_margin_but_never_begin_before_the_picture() -> None:
    labels = np.zeros((30, 40), np.uint16)
    labels[10:14, 20:29], labels[1:3, 5:6] = 2, 7
    assert boxes_of(labels) == {2: np.s_[10:14, 20:29], 7: np.s_[1:3, 5:6]}
    assert boxes_of(labels, margin=3) == {2: np.s_[7:17, 17:32], 7: np.s_[0:6, 2:9]}
    assert boxes_of(np.zeros_like(labels)) == {}


def test_two_meet_where_neither_is_nothing() -> None:
    labels = np.array([[1, 1, 2, 0], [0, 3, 2, 2]])
    rows, columns = where_two_meet(labels[:, :-1], labels[:, 1:])
    assert list(zip(rows.tolist(), columns.tolist(), strict=True)) == [(0, 1), (1, 1)]
