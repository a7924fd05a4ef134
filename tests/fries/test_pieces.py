import numpy as np
import pytest

from grader.arrays import IntArray, MaskArray
from grader.fries.foreground import find_foreground
from grader.fries.grouping import group_pieces
from grader.fries.pieces import Pieces, cut_into_pieces, seam_signs
from tests.fries.painted import BLACK_PLATE, BROWN, GOLDEN, WHITE_PLATE, Lab, Scene, overlap

WIDTH = 9.0


def cut(scene: Scene) -> Pieces:
    view = scene.view()
    return cut_into_pieces(view, scene.fries)


def logit_between(pieces: Pieces, one: MaskArray, other: MaskArray) -> float:
    """Log odds over all cuts between the pieces of two places, by their length; fails where there is none."""
    count = int(pieces.labels.max()) + 1
    in_one, in_other = (np.bincount(pieces.labels[place], minlength=count) for place in (one, other))
    mostly = in_one > in_other
    across = [k for k, (a, b) in enumerate(pieces.cuts.tolist()) if mostly[a] != mostly[b]]
    assert across
    return float(np.average(pieces.seam_logit[across], weights=pieces.cut_length_px[across]))


def best_overlaps(labels: IntArray, fries: list[MaskArray]) -> list[float]:
    return [max(overlap(labels == n, fry) for n in range(1, int(labels.max()) + 1)) for fry in fries]


@pytest.mark.parametrize("turned", [0, 40, 90])
def test_between_two_fries_side_by_side_the_cut_is_a_seam(turned: float) -> None:
    scene = Scene()
    off = WIDTH / 2 * np.array([-np.sin(np.radians(turned)), np.cos(np.radians(turned))])
    fries = [scene.fry(100 + sign * off[0], 75 + sign * off[1], turned_deg=turned, width=WIDTH) for sign in (-1, 1)]
    assert logit_between(cut(scene), *fries) > 0


@pytest.mark.parametrize("turned", [0, 33, 90])
def test_one_even_fry_has_no_seam_in_it(turned: float) -> None:
    scene = Scene()
    scene.fry(100, 75, turned_deg=turned)
    assert (cut(scene).seam_logit < 0).all()


def test_the_pieces_fill_the_foreground_and_the_cuts_are_between_neighbours() -> None:
    scene = Scene()
    for k in range(4):
        scene.fry(100, 40 + k * WIDTH, width=WIDTH)
    pieces = cut(scene)
    assert ((pieces.labels > 0) == scene.fries).all()
    assert set(np.unique(pieces.labels)) == set(range(int(pieces.labels.max()) + 1))
    assert len(pieces.cuts) == len(pieces.seam_logit) == len(pieces.cut_length_px)
    assert (pieces.cuts[:, 0] < pieces.cuts[:, 1]).all()
    assert len(np.unique(pieces.cuts, axis=0)) == len(pieces.cuts)
    assert (pieces.cut_length_px > 0).all()


def test_fries_that_lie_apart_have_no_cut_between_them() -> None:
    scene = Scene()
    upper, lower = scene.fry(100, 45), scene.fry(100, 105)
    pieces = cut(scene)
    numbers = [set(np.unique(pieces.labels[fry])) for fry in (upper, lower)]
    assert not numbers[0] & numbers[1]
    assert not any((a in numbers[0]) != (b in numbers[0]) for a, b in pieces.cuts.tolist())


def test_nothing_comes_of_nothing() -> None:
    view = Scene().view()
    nothing = np.zeros(view.xyz.shape[:2], bool)
    pieces = cut_into_pieces(view, nothing)
    assert not pieces.labels.any()
    assert len(pieces.cuts) == len(pieces.seam_logit) == 0
    assert group_pieces(pieces, cut_width_mm=9.5).shape == nothing.shape


def test_a_darker_seam_is_the_likelier_one() -> None:
    logits = []
    for depth in (0.9, 0.6, 0.3):
        scene = Scene()
        upper, lower = (scene.fry(100, y, width=WIDTH) for y in (75 - WIDTH / 2, 75 + WIDTH / 2))
        seam = scene.fries & (np.abs(scene.mm[..., 1] - 75) < 0.5)
        scene.xyz[seam] *= depth
        logits.append(logit_between(cut(scene), upper, lower))
    assert logits == sorted(logits)


def test_signs_are_finite_and_one_row_a_cut() -> None:
    scene = Scene()
    for k in range(3):
        scene.fry(100, 40 + k * WIDTH, width=WIDTH, lab=(GOLDEN, BROWN)[k % 2])
    _, cuts, signs, length = seam_signs(scene.view(), scene.fries)
    assert len(cuts) == len(signs) == len(length) > 0
    assert np.isfinite(signs).all()


@pytest.mark.parametrize("plate", [WHITE_PLATE, BLACK_PLATE], ids=["white", "black"])
def test_touching_fries_come_out_one_by_one(plate: Lab) -> None:
    scene = Scene(ground=plate)
    fries = [scene.fry(60, 30 + k * WIDTH, width=WIDTH, length=60 + 8 * k) for k in range(3)]
    fries += [scene.fry(150, 45, turned_deg=90), scene.fry(150 + 10, 95, turned_deg=100), scene.fry(80, 120)]
    view = scene.view()
    labels = group_pieces(cut_into_pieces(view, find_foreground(view)), cut_width_mm=WIDTH)
    assert (np.bincount(labels.ravel())[1:] > 500).sum() == len(fries)
    assert min(best_overlaps(labels, fries)) > 0.8
