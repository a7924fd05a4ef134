"""Pieces made by hand: which of them are one fry."""

from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.arrays import IntArray
from grader.fries.grouping import group_pieces
from grader.fries.pieces import Pieces
from grader.fries.view import MM_PER_PX

CUT_MM = 9.0
WIDTH = round(CUT_MM / MM_PER_PX)
SEAM, NO_SEAM = 3.0, -3.0
Logits = dict[tuple[int, int], float]


def pieces(labels: IntArray, logits: Logits, *, otherwise: float = 0.0) -> Pieces:
    """Cuts wherever two pieces meet side by side; their length is counted in pixels."""
    lengths: dict[tuple[int, int], int] = {}
    for a, b in ((labels[:, :-1], labels[:, 1:]), (labels[:-1], labels[1:])):
        for one, other in zip(a.ravel().tolist(), b.ravel().tolist(), strict=True):
            if one and other and one != other:
                pair = min(one, other), max(one, other)
                lengths[pair] = lengths.get(pair, 0) + 1
    cuts = sorted(lengths)
    return Pieces(
        labels=labels,
        cuts=np.array(cuts, np.int64).reshape(-1, 2),
        seam_logit=np.array([logits.get(cut, otherwise) for cut in cuts]),
        cut_length_px=np.array([float(lengths[cut]) for cut in cuts]),
    )


def side_by_side() -> IntArray:
    """Two bars that touch along their sides, each cut in two across: 1 2 above 3 4."""
    labels = np.zeros((140, 300), np.int64)
    for row, (left, right) in enumerate(((1, 2), (3, 4))):
        top = 30 + row * WIDTH
        labels[top : top + WIDTH, 20:150] = left
        labels[top : top + WIDTH, 150:280] = right
    return labels


def groups(labels: IntArray, fries: IntArray) -> set[frozenset[int]]:
    """Which pieces carry the same fry; fails where a piece is torn, or fry lies outside the pieces."""
    assert fries.shape == labels.shape
    assert ((fries > 0) == (labels > 0)).all()
    of_piece = {int(n): np.unique(fries[labels == n]) for n in np.unique(labels[labels > 0])}
    assert all(len(own) == 1 for own in of_piece.values())
    return {
        frozenset(n for n, own in of_piece.items() if own[0] == fry)
        for fry in {int(own[0]) for own in of_piece.values()}
    }


def grouped(labels: IntArray, logits: Logits, *, cut_width_mm: float = CUT_MM) -> set[frozenset[int]]:
    return groups(labels, group_pieces(pieces(labels, logits), cut_width_mm=cut_width_mm))


def sets(*members: tuple[int, ...]) -> set[frozenset[int]]:
    return {frozenset(one) for one in members}


def test_the_seam_splits_and_the_false_cut_joins() -> None:
    logits = {(1, 2): NO_SEAM, (3, 4): NO_SEAM, (1, 3): SEAM, (2, 4): SEAM}
    assert grouped(side_by_side(), logits) == sets((1, 2), (3, 4))


def test_a_sure_seam_across_makes_four_of_the_two() -> None:
    logits = dict.fromkeys([(1, 2), (3, 4), (1, 3), (2, 4)], 4.0)
    assert grouped(side_by_side(), logits) == sets((1,), (2,), (3,), (4,))


def test_where_the_seams_say_nothing_the_shape_does() -> None:
    assert grouped(side_by_side(), {}) == sets((1, 2), (3, 4))


def test_wide_cuts_are_left_whole() -> None:
    logits = dict.fromkeys([(1, 2), (3, 4), (1, 3), (2, 4)], -1.0)
    assert grouped(side_by_side(), logits, cut_width_mm=2 * CUT_MM) == sets((1, 2, 3, 4))


def crossing() -> tuple[IntArray, Logits]:
    """Piece 1 left of the crossing, 2 the crossing, 3 right of it; 4 above, 5 below: 1 2 3 lies on top of 4 5."""
    labels = np.zeros((300, 300), np.int64)
    low, high = 150 - WIDTH // 2, 150 + WIDTH // 2
    labels[low:high, 30:low], labels[low:high, low:high], labels[low:high, high:270] = 1, 2, 3
    labels[30:low, low:high], labels[high:270, low:high] = 4, 5
    return labels, {(1, 2): NO_SEAM, (2, 3): NO_SEAM, (2, 4): SEAM, (2, 5): SEAM}


def test_the_fry_below_is_one_fry_seen_twice() -> None:
    assert grouped(*crossing()) == sets((1, 2, 3), (4, 5))


def test_parts_out_of_line_are_two_fries() -> None:
    labels, logits = crossing()
    aside = np.roll(np.where(labels == 5, 5, 0), 2 * WIDTH, axis=1)
    shifted = np.where(labels == 5, 0, labels) + aside
    assert grouped(shifted, {**logits, (3, 5): SEAM}) == sets((1, 2, 3), (4,), (5,))


def test_with_bare_ground_between_two_parts_they_are_two_fries() -> None:
    labels = np.zeros((200, 400), np.int64)
    labels[20 : 20 + WIDTH, 20:120], labels[20 : 20 + WIDTH, 220:320] = 1, 2
    labels[20 + WIDTH : 50 + WIDTH, 20:320] = 3  # something that both hang on to
    assert not any({1, 2} <= group for group in grouped(labels, {(1, 3): SEAM, (2, 3): SEAM}))


def test_a_fry_below_two_others_is_one_fry_seen_thrice() -> None:
    labels = np.zeros((200, 500), np.int64)
    low, high = 90, 90 + WIDTH
    for number, (start, stop) in enumerate(((20, 130), (130 + WIDTH, 300), (300 + WIDTH, 460)), start=1):
        labels[low:high, start:stop] = number
    labels[10:190, 130 : 130 + WIDTH], labels[10:190, 300 : 300 + WIDTH] = 4, 5
    logits = {(1, 4): SEAM, (2, 4): SEAM, (2, 5): SEAM, (3, 5): SEAM}
    assert grouped(labels, logits) == sets((1, 2, 3), (4,), (5,))


def test_round_a_corner_there_is_no_fry() -> None:
    labels = np.zeros((200, 200), np.int64)
    labels[20 : 20 + WIDTH, 20:180], labels[20 + WIDTH : 180, 20 : 20 + WIDTH] = 1, 2
    assert grouped(labels, {}) == sets((1,), (2,))


@settings(max_examples=20)
@given(order=st.permutations([1, 2, 3, 4]))
def test_the_numbers_of_the_pieces_do_not_matter(order: list[int]) -> None:
    labels, renamed = side_by_side(), np.array([0, *order])
    given_logits = {(1, 2): NO_SEAM, (3, 4): NO_SEAM, (1, 3): SEAM, (2, 4): SEAM}
    logits = {(min(a, b), max(a, b)): v for (c, d), v in given_logits.items() for a, b in [(renamed[c], renamed[d])]}
    expected = sets(tuple(renamed[[1, 2]].tolist()), tuple(renamed[[3, 4]].tolist()))
    assert grouped(renamed[labels], logits) == expected


@settings(max_examples=8)
@given(st.lists(st.floats(-4, 4), min_size=12, max_size=12))
def test_every_piece_belongs_to_exactly_one_fry(logits: list[float]) -> None:
    labels = np.kron(np.arange(1, 10).reshape(3, 3), np.ones((24, 40), np.int64)).astype(np.int64)
    made = pieces(labels, {})
    cut = Pieces(
        labels=labels, cuts=made.cuts, seam_logit=np.resize(logits, len(made.cuts)), cut_length_px=made.cut_length_px
    )
    found = groups(labels, group_pieces(cut, cut_width_mm=CUT_MM))
    assert sorted(n for group in found for n in group) == list(range(1, 10))


def test_fries_that_do_not_meet_do_not_matter_to_each_other() -> None:
    one = side_by_side()
    both = np.hstack([one, np.where(one > 0, one + 4, 0)])
    logits = {(1, 2): NO_SEAM, (3, 4): NO_SEAM, (1, 3): SEAM, (2, 4): SEAM, (5, 6): 4.0, (7, 8): NO_SEAM, (5, 7): SEAM}
    logits[6, 8] = SEAM
    assert grouped(both, logits) == sets((1, 2), (3, 4), (5,), (6,), (7, 8))


def test_out_of_time_the_pieces_are_left_as_they_are(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("grader.fries.cover.milp", lambda *_args, **_more: SimpleNamespace(x=None))
    logits = {(1, 2): NO_SEAM, (3, 4): NO_SEAM, (1, 3): SEAM, (2, 4): SEAM}
    assert grouped(side_by_side(), logits) == sets((1,), (2,), (3,), (4,))


def test_nothing_is_grouped_where_nothing_lies() -> None:
    empty = np.zeros((30, 40), np.int64)
    assert not group_pieces(pieces(empty, {}), cut_width_mm=CUT_MM).any()


def test_a_single_piece_is_a_fry() -> None:
    labels = np.zeros((60, 200), np.int64)
    labels[20 : 20 + WIDTH, 10:190] = 1
    assert grouped(labels, {}) == sets((1,))
