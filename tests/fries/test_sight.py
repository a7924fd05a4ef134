import cv2
import numpy as np
import pytest

from tests.fries.finding import seen
from tests.fries.painted import WHITE_PLATE, Scene, overlap
from tests.fries.rendered import rendered

NAMES = ["plain100", "plain103", "ink066", "pair01-FL11"]


@pytest.mark.parametrize("name", NAMES)
def test_what_it_sees_is_fry_and_all_of_it(name: str) -> None:
    view, truth = rendered(name)
    assert overlap((seen(view).fry_logit > 0) & ~view.barred, truth > 0) > 0.95


def test_it_sees_where_one_fry_ends_and_another_begins() -> None:
    view, truth = rendered("plain103")
    neighbours = np.stack([np.roll(truth, step, axis) for step in (-2, 2) for axis in (0, 1)])
    seams = (truth > 0) & ((neighbours > 0) & (neighbours != truth)).any(axis=0)
    inside = (truth > 0) & (neighbours == truth).all(axis=0)
    logit = seen(view).seam_logit
    assert seams.sum() > 500
    assert np.median(logit[seams]) > 0
    assert np.mean(logit[inside] > 0) < 0.1


def test_fries_on_a_plate_lie_about_as_high_as_they_are_thick() -> None:
    view, truth = rendered("plain100")
    assert 4 < np.median(seen(view).height_mm[truth > 0]) < 16


def test_direction_runs_along_the_fry() -> None:
    view, truth = rendered("plain100")
    direction, found = seen(view).direction, 0
    for number in range(1, int(truth.max()) + 1):
        rows, columns = np.nonzero(truth == number)
        if len(rows) < 1500:
            continue
        way = np.linalg.eigh(np.cov(np.array([columns, rows])))[1][:, 1]
        doubled = np.array([way[0] ** 2 - way[1] ** 2, 2 * way[0] * way[1]])
        told = direction[rows, columns].mean(axis=0)
        assert told @ doubled > 0.8 * np.linalg.norm(told)
        found += 1
    assert found > 5


def test_it_says_the_same_again() -> None:
    view, _ = rendered("ink066")
    assert np.array_equal(seen(view).fry_logit, seen(view).fry_logit)


def test_one_thread_or_two_say_the_same_but_for_rounding() -> None:
    view, _ = rendered("ink066")
    before = cv2.getNumThreads()
    try:
        logits = []
        for threads in (1, 2):
            cv2.setNumThreads(threads)
            logits.append(seen(view).fry_logit)
    finally:
        cv2.setNumThreads(before)
    assert np.abs(logits[0] - logits[1]).max() < 0.01


@pytest.mark.parametrize("size", [(61.2, 83.4), (9.0, 9.0), (3.0, 30.0)])
def test_pictures_of_any_size(size: tuple[float, float]) -> None:
    view = Scene(size=size).view()
    sight = seen(view)
    assert sight.fry_logit.shape == sight.seam_logit.shape == sight.height_mm.shape == view.barred.shape
    assert sight.direction.shape == (*view.barred.shape, 2)


def test_on_an_empty_plate_it_sees_nothing() -> None:
    assert not (seen(Scene(ground=WHITE_PLATE).view()).fry_logit > 0).any()


def test_a_part_of_it() -> None:
    view, _ = rendered("plain100")
    box = np.s_[10:50, 20:70]
    part = seen(view).within(box)
    assert np.array_equal(part.height_mm, seen(view).height_mm[box])
    assert part.direction.shape == (40, 50, 2)
