"""Light that falls off or is cut by a shadow: what a field can follow is borne, what it can't is told."""

from dataclasses import replace

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.colour.gates import find_fall_off, find_shadow, light_beyond_sheet, shadow_on_sheet
from tests.colour.gates.made_up import FRY_MM, Light, card, even, fitted, level


def _shadow(depth: float) -> Light:
    return level(lambda xy: 1 - depth / (1 + np.exp(-(xy[:, 1] - 62) / 2)))


def _spread(patch_lab: FloatArray, light: Light) -> float:
    samples = card(patch_lab, light)
    return shadow_on_sheet(samples, fitted(samples))


def test_a_lamp_to_one_side_casts_no_shadow(patch_lab: FloatArray) -> None:
    assert _spread(patch_lab, even) < 0.01
    assert _spread(patch_lab, level(lambda xy: np.exp(xy @ [8e-4, -5e-4]))) < 0.015
    assert find_shadow(0.015) is None


@pytest.mark.parametrize(("depth", "refuses"), [(0.2, False), (0.5, True)])
def test_a_hand_s_shadow_across_the_card_is_told_by_its_depth(
    patch_lab: FloatArray, depth: float, refuses: bool
) -> None:
    told = find_shadow(_spread(patch_lab, _shadow(depth)))
    assert told is not None
    assert (told.code, told.refuses) == ("light_uneven", refuses)
    assert "shadow" in told.hint


def test_where_nothing_fits_a_faint_shadow_is_the_reason() -> None:
    told = find_shadow(0.045, hopeless=True)
    assert told is not None
    assert told.refuses


def test_light_beyond_the_sheet_is_what_extrapolation_says(patch_lab: FloatArray) -> None:
    slope = 1.5e-3
    samples = card(patch_lab, level(lambda xy: np.exp(xy[:, 0] * slope)))
    colours = fitted(samples)
    beyond = light_beyond_sheet(samples, colours, FRY_MM)
    # The sheet's darkest spot is 3 mm from its left edge, the farthest fry 230 mm to the left of it.
    assert beyond == pytest.approx(233 * slope, abs=0.15)
    assert light_beyond_sheet(samples, colours, samples.ground_xy_mm) == 0
    assert light_beyond_sheet(samples, colours, np.zeros((0, 2))) == 0


def test_a_steep_fall_off_warns_and_a_steeper_one_refuses() -> None:
    assert find_fall_off(0.15) is None
    mild, steep = find_fall_off(0.5), find_fall_off(1.0)
    assert mild is not None
    assert steep is not None
    assert (mild.refuses, steep.refuses) == (False, True)
    assert "close to the plate" in mild.hint


def test_too_little_paper_claims_nothing(patch_lab: FloatArray) -> None:
    samples = card(patch_lab)
    colours = fitted(samples)
    for count in (3, 20):
        few = replace(
            samples,
            ground_xy_mm=samples.ground_xy_mm[:count],
            ground_rgb=samples.ground_rgb[:count],
            ground_lab=samples.ground_lab[:count],
        )
        assert shadow_on_sheet(few, colours) == 0
