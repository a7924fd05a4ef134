import json
from dataclasses import replace

import numpy as np
import pytest

from grader.fries.morphology import grown
from tests.fries.finding import found_in, seen, told_by
from tests.fries.painted import (
    BLACK_PLATE,
    BLUE_PLATE,
    BROWN,
    CHAR,
    DARK_PARSLEY,
    GOLDEN,
    GREY_PLATE,
    KETCHUP,
    PALE,
    PARSLEY,
    TOMATO,
    WHITE_PLATE,
    Lab,
    Scene,
    overlap,
)
from tests.fries.rendered import PLATES, rendered


def with_fries(scene: Scene, *, x: float = 100.0, y: float = 75.0, lab: Lab = GOLDEN) -> Scene:
    """Five fries, apart."""
    for k, turned in enumerate((0, 25, 80, 140)):
        scene.fry(x - 40 + 80 * (k % 2), y - 32 + 60 * (k // 2), turned_deg=turned, length=60, lab=lab)
    scene.fry(x, y, turned_deg=100, length=45, lab=lab)
    return scene


@pytest.mark.parametrize("lab", [GOLDEN, PALE, BROWN], ids=["golden", "pale", "brown"])
@pytest.mark.parametrize(
    "plate", [WHITE_PLATE, GREY_PLATE, BLACK_PLATE, BLUE_PLATE], ids=["white", "grey", "black", "blue"]
)
def test_fries_are_found_on_any_plate_and_their_shadows_are_not(plate: Lab, lab: Lab) -> None:
    scene = with_fries(Scene(ground=plate), lab=lab)
    assert overlap(found_in(scene.view()), scene.fries) > 0.9


@pytest.mark.parametrize("light", [0.35, 1.0, 1.15])
def test_how_bright_the_light_is_does_not_matter(light: float) -> None:
    scene = with_fries(Scene())
    scene.xyz *= light
    assert overlap(found_in(scene.view()), scene.fries) > 0.9


def test_light_that_falls_off_over_the_plate_does_not_matter() -> None:
    scene = with_fries(Scene())
    scene.xyz *= np.linspace(0.5, 1.1, scene.xyz.shape[1])[None, :, None]
    assert overlap(found_in(scene.view()), scene.fries) > 0.9


@pytest.mark.parametrize("name", ["ink070", "pair00-D65", "plain100", "plain105"])
def test_a_brown_table_round_the_plate_is_no_fry(name: str) -> None:
    view, truth = rendered(name)
    found, fries = found_in(view), (truth > 0) & ~view.barred
    assert overlap(found, fries) > 0.95
    assert not (found & ~grown(fries, 1.5)).any()


def share_of_garnish_found(lab: Lab, plate: Lab) -> float:
    scene = with_fries(Scene(ground=plate))
    garnish = scene.disc(20, 75, 8, lab) | scene.disc(178, 75, 6, lab)
    found = found_in(scene.view())
    assert overlap(found & ~garnish, scene.fries) > 0.9
    return float(found[garnish].mean())


@pytest.mark.parametrize("plate", [WHITE_PLATE, GREY_PLATE, BLACK_PLATE], ids=["white", "grey", "black"])
@pytest.mark.parametrize("lab", [PARSLEY, TOMATO], ids=["parsley", "tomato"])
def test_garnish_is_no_fry(lab: Lab, plate: Lab) -> None:
    assert share_of_garnish_found(lab, plate) < 0.1


@pytest.mark.parametrize("lab", [DARK_PARSLEY, KETCHUP], ids=["parsley", "ketchup"])
def test_dark_garnish_is_no_charred_fry(lab: Lab) -> None:
    assert share_of_garnish_found(lab, WHITE_PLATE) < 0.1


def test_crumbs_are_no_fries() -> None:
    scene = with_fries(Scene())
    crumbs = [scene.disc(x, y, 1.5, GOLDEN) for x, y in ((20, 75), (100, 20), (180, 130), (175, 75))]
    found = found_in(scene.view())
    assert not any(found[crumb].any() for crumb in crumbs)
    assert overlap(found, scene.fries) > 0.9


@pytest.mark.parametrize("name", ["ink064", "ink066", "ink070", "plain104"])
def test_dark_ends_are_part_of_their_fries(name: str) -> None:
    view, truth = rendered(name)
    found = found_in(view)
    fries = json.loads((PLATES / f"{name}.json").read_text(encoding="utf-8"))["fries"]
    dark = [truth == fry["id"] for fry in fries if fry["dark_end"] and fry["visible_share"] > 0.9]
    assert dark
    assert all(found[fry].mean() > 0.93 for fry in dark)


def test_where_the_network_sees_little_colour_and_shape_tell_and_it_says_so() -> None:
    scene = with_fries(Scene())
    blind = replace(seen(scene.view()), fry_logit=np.full(scene.fries.shape, -9, np.float32))
    told = told_by(scene.view(), blind)
    assert told.unfamiliar
    assert overlap(told.fries, scene.fries) > 0.9


def test_a_strip_that_the_network_has_half_overlooked_is_whole() -> None:
    scene = with_fries(Scene())
    sight = seen(scene.view())
    half = (scene.mm[..., 0] < 60) & (scene.mm[..., 1] < 60)
    dim = replace(sight, fry_logit=np.where(half, np.float32(-9), sight.fry_logit))
    told = told_by(scene.view(), dim)
    assert not told.unfamiliar
    assert overlap(told.fries, scene.fries) > 0.9


def test_a_dark_pan_beside_the_plate_is_no_charred_fry() -> None:
    scene = with_fries(Scene())
    pan = np.zeros(scene.fries.shape, bool)
    pan[:, : round(24 / 0.3)] = True
    scene.xyz[pan & ~scene.fries] = 0.015
    found = found_in(scene.view())
    assert not found[pan & ~scene.fries].any()


def test_what_is_barred_is_never_looked_at() -> None:
    scene = with_fries(Scene())
    scene.barred[:, : scene.barred.shape[1] // 2] = True
    found = found_in(scene.view())
    assert not found[scene.barred].any()
    assert overlap(found, scene.fries & ~scene.barred) > 0.85


@pytest.mark.parametrize("plate", [WHITE_PLATE, GREY_PLATE, BLACK_PLATE, BLUE_PLATE, CHAR])
def test_an_empty_plate_is_empty(plate: Lab) -> None:
    assert not found_in(Scene(ground=plate).view()).any()


def test_small_holes_are_closed_and_wide_ones_stay() -> None:
    scene = Scene(size=(120, 120))
    for k, (x, y) in enumerate(((60, 30), (60, 90), (30, 60), (90, 60))):
        scene.fry(x, y, length=70, turned_deg=90 * (k // 2), width=9)
    spot = scene.disc(60, 30, 1.2, WHITE_PLATE)
    found = found_in(scene.view())
    assert found[spot].all()
    middle = np.hypot(*np.moveaxis(scene.mm - [60, 60], -1, 0)) < 15
    assert not found[middle].any()
