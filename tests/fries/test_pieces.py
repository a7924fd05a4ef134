import numpy as np
import pytest

from grader.arrays import IntArray, MaskArray
from grader.fries.grouping import group_pieces
from grader.fries.pieces import Pieces, cut_into_pieces, seam_signs
from tests.fries.finding import found_in, seen
from tests.fries.painted import BROWN, GOLDEN, Scene, overlap
from tests.fries.rendered import rendered

WIDTH = 9.0


def cut(scene: Scene) -> Pieces:
    view = scene.view()
    return cut_into_pieces(view, seen(view), scene.fries)


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


@pytest.mark.parametrize("name", ["ink067", "plain100", "plain104", "plain107"])
def test_cuts_between_two_fries_are_seams_and_others_are_none(name: str) -> None:
    view, truth = rendered(name)
    pieces = cut_into_pieces(view, seen(view), truth > 0)
    wide = int(pieces.labels.max()) + 1
    shared = np.bincount(truth.ravel() * wide + pieces.labels.ravel(), minlength=(int(truth.max()) + 1) * wide)
    owner = shared.reshape(-1, wide).argmax(axis=0)[pieces.cuts]
    right = (pieces.seam_logit > 0) == (owner[:, 0] != owner[:, 1])
    assert np.average(right, weights=pieces.cut_length_px) > 0.95


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
    pieces = cut_into_pieces(view, seen(view), nothing)
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
    _, cuts, signs, length = seam_signs(scene.view(), seen(scene.view()), scene.fries)
    assert len(cuts) == len(signs) == len(length) > 0
    assert np.isfinite(signs).all()


@pytest.mark.parametrize("name", ["plain100", "plain107"])
def test_touching_fries_come_out_one_by_one(name: str) -> None:
    view, truth = rendered(name)
    labels = group_pieces(cut_into_pieces(view, seen(view), found_in(view)), cut_width_mm=9.5)
    fries = [truth == number for number in range(1, int(truth.max()) + 1)]
    assert (np.bincount(labels.ravel())[1:] > 500).sum() == len(fries)
    assert min(best_overlaps(labels, fries)) > 0.8
