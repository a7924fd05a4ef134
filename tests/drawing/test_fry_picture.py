from dataclasses import replace

import numpy as np
import pytest

from grader.arrays import ByteArray, frozen
from grader.drawing import draw_fry
from grader.drawing.fry_lines import POINTED_OUT
from grader.drawing.fry_picture import WIDTH_PX
from grader.fries.model import Fry, FryFlag
from grader.grading import GradedPhoto
from tests.records import made_up


def drawn(graded: GradedPhoto, number: int) -> ByteArray:
    picture = draw_fry(graded, number, made_up.standard())
    assert picture is not None
    return picture


def inked(picture: ByteArray, colour: tuple[int, int, int]) -> int:
    return int((np.abs(picture.astype(int) - colour).max(axis=-1) <= 2).sum())


def with_first(fry: Fry) -> GradedPhoto:
    plate = made_up.plate()
    return replace(made_up.graded(), plate=replace(plate, fries=(fry, *plate.fries[1:])))


def test_a_fry_is_shown_large_and_one_that_is_not_there_not_at_all() -> None:
    picture = drawn(made_up.graded(), 1)
    gold = (np.abs(picture.astype(int) - (214, 160, 80)).max(axis=-1) <= 3).any(axis=0)
    assert picture.shape[1] == WIDTH_PX
    assert gold.mean() > 0.6
    assert draw_fry(made_up.graded(), 99, made_up.standard()) is None
    assert draw_fry(replace(made_up.graded(), photo=None), 1, made_up.standard()) is None


def test_beads_lie_where_it_meets_another() -> None:
    alone = drawn(made_up.graded(), 1)
    graded = made_up.graded()
    assert graded.plate is not None
    labels = graded.plate.labels.copy()
    labels[119:150, 40:441] = 2
    touching = replace(graded, plate=replace(graded.plate, labels=frozen(labels)))
    assert inked(alone, POINTED_OUT) == 0
    beads = np.abs(drawn(touching, 1).astype(int) - POINTED_OUT).max(axis=-1) <= 2
    rows = np.flatnonzero(beads.any(axis=1))
    assert beads.any(axis=0).mean() > 0.3
    assert np.ptp(rows) < 40, "beads lie along the one side that touches"


def test_odd_shapes_are_shown_beside_the_strip_that_they_are_held_against() -> None:
    fry = made_up.fries()[0]
    odd, else_doubtful = (drawn(with_first(replace(fry, flags=flag)), 1) for flag in (FryFlag.ODD_SHAPE, FryFlag.SHINY))
    assert inked(odd, (255, 255, 255)) > inked(else_doubtful, (255, 255, 255)) + 500


@pytest.mark.parametrize("level", [255, 254])
def test_hatching_lies_where_there_was_too_much_light(level: int) -> None:
    graded = with_first(replace(made_up.fries()[0], flags=FryFlag.CLIPPED))
    assert graded.photo is not None
    pixels = graded.photo.pixels.copy()
    pixels[90:110, 100:200, 0] = level
    burnt = drawn(replace(graded, photo=replace(graded.photo, pixels=frozen(pixels))), 1)
    plain = drawn(graded, 1)
    more = inked(burnt, (255, 255, 255)) - inked(plain, (255, 255, 255))
    assert (more > 500) == (level == 255)
