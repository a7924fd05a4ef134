import numpy as np
import pytest

from grader.fries.lone_strips import lone_strips
from tests.fries.painted import Scene

CUT_MM = 9.0


def count(scene: Scene) -> int:
    return int(lone_strips(scene.fries, cut_width_mm=CUT_MM).max())


def test_each_fry_by_itself_is_one() -> None:
    scene = Scene()
    fries = [scene.fry(60, 40, turned_deg=20), scene.fry(140, 60, turned_deg=80), scene.fry(80, 110, length=30)]
    labels = lone_strips(scene.fries, cut_width_mm=CUT_MM)
    assert labels.max() == len(fries)
    assert all(len(np.unique(labels[fry])) == 1 and labels[fry].all() for fry in fries)


@pytest.mark.parametrize("off", [(0.0, CUT_MM), (20.0, 0.0)], ids=["side by side", "across"])
def test_two_that_touch_are_none(off: tuple[float, float]) -> None:
    scene = Scene()
    scene.fry(100, 75, width=CUT_MM)
    scene.fry(100 + off[0], 75 + off[1], width=CUT_MM, turned_deg=0.0 if off[1] else 70.0)
    assert count(scene) == 0


def test_a_spot_of_another_kind_does_not_matter() -> None:
    """What shows on a strip isn't asked."""
    scene = Scene()
    fry = scene.fry(100, 75)
    scene.xyz[fry & (scene.mm[..., 0] > 95) & (scene.mm[..., 0] < 105)] *= 0.2
    assert count(scene) == 1


def test_crumbs_threads_and_boards_are_none() -> None:
    scene = Scene()
    scene.fry(100, 20, length=160, width=2.0)
    scene.fry(100, 90, length=120, width=40)
    scene.fry(180, 20, length=6, width=6)
    assert count(scene) == 0


def test_nothing_comes_of_nothing() -> None:
    assert count(Scene()) == 0
