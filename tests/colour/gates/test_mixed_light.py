"""Two lights: told over the sheet, and told by table and plate beside it; one uneven light is not taken for two."""

from dataclasses import replace

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.colour import ciede2000, lab_to_xyz
from grader.colour.gates import (
    BareSpots,
    find_mixed_at_fries,
    find_mixed_over_sheet,
    fry_findings,
    tint_error_by_field,
    tint_error_by_sheet,
    tint_error_by_surroundings,
)
from grader.colour.gates.tint import tint_error, tint_of
from tests.card_values.reference import colour
from tests.colour.conftest import Camera
from tests.colour.gates.made_up import CARD_MM, FRY_MM, Light, beside, card, even, fitted, level, mixed

FRY_LAB = np.tile([62.0, 6.0, 33.0], (len(FRY_MM), 1))


def _by_surroundings(patch_lab: FloatArray, light: Light) -> float:
    return tint_error_by_surroundings(
        beside(light), fitted(card(patch_lab, light)), card_mm=CARD_MM, at_mm=FRY_MM, lab=FRY_LAB
    )


def _lamp_over_the_plate(strength: float, soft_mm: float) -> Light:
    return mixed(lambda xy: strength / (1 + np.exp((xy[:, 0] + 45) / soft_mm)))


def test_a_tint_is_what_adaptation_by_xyz_makes_of_a_colour() -> None:
    """Against colour-science: adaptation by scaling XYZ, and its CIELAB."""
    whites = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
    daylight, warm = (np.asarray(colour.xy_to_XYZ(whites[name]), float) for name in ("D65", "A"))
    fry = np.array([0.40, 0.38, 0.18])
    seen = np.asarray(colour.chromatic_adaptation(fry, daylight, warm, transform="XYZ Scaling"), float)
    tint = tint_of(seen, fry)
    assert tint == pytest.approx(tint_of(warm, daylight), abs=1e-9)
    lab, seen_lab = (np.asarray(colour.XYZ_to_Lab(xyz, whites["D65"]), float) for xyz in (fry, seen))
    assert tint_error(lab, tint) == pytest.approx(float(ciede2000(seen_lab, lab)), rel=0.01)


def test_one_light_is_no_mixture(patch_lab: FloatArray) -> None:
    falling = level(lambda xy: np.exp(xy @ [6e-4, -3e-4]))
    for light in (even, falling):
        samples = card(patch_lab, light)
        assert tint_error_by_sheet(samples, fitted(samples), samples.patch_xy_mm) < 0.2
        assert tint_error_by_sheet(samples, fitted(samples), FRY_MM, FRY_LAB) < 1.0
        assert _by_surroundings(patch_lab, light) < 1.0
    assert find_mixed_over_sheet(0.2) is None
    assert find_mixed_at_fries(1.0) is None


def test_a_second_light_over_the_sheet_is_followed_to_the_fries(patch_lab: FloatArray) -> None:
    light = mixed(lambda xy: 0.25 - xy[:, 0] / 600)
    samples = card(patch_lab, light)
    found = tint_error_by_sheet(samples, fitted(samples), FRY_MM, FRY_LAB)
    true = tint_error(FRY_LAB, tint_of(light(FRY_MM), light(CARD_MM[None])))
    assert found == pytest.approx(float(np.quantile(true, 0.9)), rel=0.4)
    told = find_mixed_at_fries(found)
    assert told is not None
    assert told.code == "light_mixed"
    assert "heat lamp" in told.hint


def test_a_second_light_across_the_patches_is_told_without_any_fry(patch_lab: FloatArray) -> None:
    samples = card(patch_lab, mixed(lambda xy: 0.3 + (xy[:, 1] - 52) / 200))
    found = tint_error_by_sheet(samples, fitted(samples), samples.patch_xy_mm)
    told = find_mixed_over_sheet(found)
    assert told is not None
    assert told.refuses
    assert "no colour can be judged" in told.message


def test_where_the_fit_is_hopeless_even_a_weak_second_light_is_the_reason() -> None:
    weak, reason = find_mixed_over_sheet(0.6), find_mixed_over_sheet(0.6, hopeless=True)
    assert weak is not None
    assert reason is not None
    assert not weak.refuses
    assert "less sure" in weak.message
    assert reason.refuses


@pytest.mark.parametrize(("strength", "soft_mm", "least"), [(0.15, 15, 1.5), (0.3, 25, 3.0), (0.6, 25, 5.0)])
def test_a_lamp_over_the_plate_alone_shows_on_table_and_plate(
    patch_lab: FloatArray, strength: float, soft_mm: float, least: float
) -> None:
    light = _lamp_over_the_plate(strength, soft_mm)
    assert _by_surroundings(patch_lab, light) > least


@pytest.mark.parametrize(("strength", "least", "most"), [(0.0, 0.0, 0.9), (0.3, 3.0, 20.0)])
def test_a_plate_s_shadow_on_dark_yellow_wood_is_no_lamp_and_hides_none(
    patch_lab: FloatArray, strength: float, least: float, most: float
) -> None:
    """The camera's own stray light is less than what the fit takes off: in the shade it seems yellower still."""
    light = _lamp_over_the_plate(strength, 25)
    table = beside(light)
    grain = np.random.default_rng(2).normal(0, 0.15, (len(table.xy_mm), 1))
    shade = 1 - 0.4 * np.exp(-(((table.xy_mm[:, :1] + 130) / 60) ** 2))
    wood = lab_to_xyz([45.0, 9.0, 32.0]) * np.exp(grain) * shade * light(table.xy_mm)
    seen = Camera(haze=0.008, contrast=0.1, exposure=0.75).sees(wood)
    spots = BareSpots(xy_mm=table.xy_mm, rgb=seen, surface=np.zeros(len(seen), np.uint16))
    found = tint_error_by_surroundings(
        spots, fitted(card(patch_lab, light)), card_mm=CARD_MM, at_mm=FRY_MM, lab=FRY_LAB
    )
    assert least <= found <= most


def test_a_strong_lamp_refuses_a_weak_one_warns(patch_lab: FloatArray) -> None:
    for strength, refuses in ((0.15, False), (0.8, True)):
        light = _lamp_over_the_plate(strength, 25)
        samples = card(patch_lab, light)
        told = fry_findings(samples, fitted(samples), beside(light), on_field=False, fry_xy_mm=FRY_MM, fry_lab=FRY_LAB)
        assert [(one.code, one.refuses) for one in told] == [("light_mixed", refuses)]


def test_without_a_fry_the_light_is_looked_at_all_around(patch_lab: FloatArray) -> None:
    nowhere, no_lab = np.zeros((0, 2)), np.zeros((0, 3))
    for light, told in ((_lamp_over_the_plate(0.8, 25), ["light_mixed"]), (even, [])):
        samples = card(patch_lab, light)
        found = fry_findings(samples, fitted(samples), beside(light), on_field=False, fry_xy_mm=nowhere, fry_lab=no_lab)
        assert [one.code for one in found] == told


def test_in_one_steep_light_the_surroundings_are_not_asked(patch_lab: FloatArray) -> None:
    light = level(lambda xy: np.exp((xy[:, 0] - 74) * 5e-3))
    samples = card(patch_lab, light)
    told = fry_findings(samples, fitted(samples), beside(light), on_field=False, fry_xy_mm=FRY_MM, fry_lab=FRY_LAB)
    assert [one.code for one in told] == ["light_uneven"]


def _by_field(patch_lab: FloatArray, light: Light) -> float:
    x, y = np.meshgrid(np.arange(-120, 121, 6.0), np.arange(-80, 81, 6.0))
    xy = np.column_stack([x.ravel(), y.ravel()]) + CARD_MM
    rgb = Camera(haze=0.02, contrast=0.1, exposure=0.75).sees(lab_to_xyz([45.0, 0.0, 0.0]) * light(xy))
    field = BareSpots(xy_mm=xy, rgb=rgb, surface=np.zeros(len(xy), np.uint16))
    at = np.array([[-20.0, -10.0], [10.0, 15.0], [25.0, -5.0]]) + CARD_MM
    return tint_error_by_field(field, fitted(card(patch_lab)), at_mm=at, lab=FRY_LAB[:3])


def test_a_pool_of_warm_light_on_a_mat_shows_against_its_rim(patch_lab: FloatArray) -> None:
    def pool(xy: FloatArray) -> FloatArray:
        return np.asarray(0.4 * np.exp(-(((xy - CARD_MM) / 50) ** 2).sum(axis=1)), float)

    assert _by_field(patch_lab, even) < 0.3
    assert _by_field(patch_lab, mixed(pool)) > 4


def test_where_too_little_shows_nothing_is_claimed(patch_lab: FloatArray) -> None:
    samples = card(patch_lab)
    colours = fitted(samples)
    nothing = BareSpots(xy_mm=np.zeros((0, 2)), rgb=np.zeros((0, 3)), surface=np.zeros(0, np.uint16))
    black = BareSpots(xy_mm=beside().xy_mm, rgb=np.full_like(beside().rgb, 0.001), surface=beside().surface)
    assert tint_error_by_field(nothing, colours, at_mm=FRY_MM, lab=FRY_LAB) == 0
    for spots in (nothing, black):
        assert tint_error_by_surroundings(spots, colours, card_mm=CARD_MM, at_mm=FRY_MM, lab=FRY_LAB) == 0
    few = replace(
        samples,
        ground_xy_mm=samples.ground_xy_mm[:5],
        ground_rgb=samples.ground_rgb[:5],
        ground_lab=samples.ground_lab[:5],
    )
    assert tint_error_by_sheet(few, colours, FRY_MM) == 0
    assert fry_findings(samples, colours, nothing, on_field=True, fry_xy_mm=np.zeros((0, 2)), fry_lab=FRY_LAB[:0]) == ()
