from dataclasses import replace

import numpy as np
import pytest

from grader.arrays import ByteArray, frozen
from grader.colour import lab_to_srgb8
from grader.drawing import draw_fry, fry_picture
from grader.drawing.fry_lines import POINTED_OUT
from grader.drawing.fry_picture import WIDTH_PX
from grader.drawing.view import view_of
from grader.fries.model import Fry, FryFlag, Measured
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


def test_a_short_piece_has_a_rule_as_long_as_the_limit_beside_it() -> None:
    """25 mm at 4 px a mm; short is below 30 mm."""
    short = made_up.fry(1, y=100, length_px=100)
    rule = fry_picture._rule_px(short, made_up.standard())
    np.testing.assert_allclose(rule, [(40, 100 + 9 * 4), (40 + 30 * 4, 100 + 9 * 4)])
    assert fry_picture._rule_px(made_up.fry(1, y=100, length_px=121), made_up.standard()).size == 0
    graded = with_first(short)
    view = view_of(made_up.photo(), [short.outline_px, rule], margin=0.3, width_px=WIDTH_PX)
    ends = np.round(view.shown(rule)).astype(int)
    assert (drawn(graded, 1)[ends[:, 1], ends[:, 0]] == 255).all()


@pytest.mark.parametrize(("width", "drawn_for"), [(9.0, False), (12.0, True), (4.0, True)])
def test_a_strip_as_wide_as_the_cut_lies_on_a_fry_whose_width_is_pointed_out(width: float, drawn_for: bool) -> None:
    apart = np.array([(40.0, 60.0), (440.0, 60.0), (440.0, 140.0), (40.0, 140.0)])  # from the strip's own edges
    fry = replace(made_up.fry(1, y=100), outline_px=apart, width_mm=Measured(value=width, u=0.3))
    view = view_of(made_up.photo(), [fry.outline_px], margin=0.3, width_px=WIDTH_PX)
    edge = view.shown(np.array([(120.0, 100 - 9.5 * 4 / 2), (360.0, 100 - 9.5 * 4 / 2)]))
    line = drawn(with_first(fry), 1)[round(edge[0, 1]), round(edge[0, 0]) : round(edge[1, 0])]
    assert ((line == 255).all(axis=-1).mean() > 0.25) == drawn_for


def test_its_colour_lies_between_those_that_bound_the_target() -> None:
    lab = (45.0, 14.0, 28.0)
    picture = drawn(with_first(made_up.fry(1, y=100, lab=lab)), 1)
    swatches = picture[-140, [100, 450, 800]]
    pale, dark = made_up.standard().scale.steps[1].lab, np.array([60.0, 8.0, 35.0]) * 0.7 + np.array(lab) * 0.3
    np.testing.assert_array_equal(swatches, lab_to_srgb8(np.array([pale, lab, dark])))
    assert drawn(made_up.graded(), 1).shape[0] < picture.shape[0], "none for a fry inside the target"
