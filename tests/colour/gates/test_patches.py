"""What the patches themselves tell: stains, greys that part, a light that starves a channel, a card that fits badly."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.colour import SheetSamples, lab_to_xyz
from grader.colour.gates import (
    find_inks_apart,
    find_local_tone,
    find_poor_fit,
    find_spoilt_patches,
    find_starved,
    grey_error,
    sheet_findings,
    shift_by_a_level,
    spoilt_patches,
)
from grader.colour.metamerism import reveal_food_bias
from grader.errors import Finding
from tests.colour.conftest import Camera
from tests.colour.gates.made_up import card, even, fitted, level, mixed
from tests.spectral.bench import draw_shot
from tests.spectral.lights import cie_light, starving_lights

NUMBERS = tuple(range(1, 25))
CODES = ("light_mixed", "light_uneven", "tone_local", "patch_faded", "light_starved", "colour_fit_poor")


def _changed(samples: SheetSamples, change: Callable[[FloatArray], FloatArray]) -> SheetSamples:
    """What a camera does to patches and paper alike."""
    return replace(samples, patch_rgb=change(samples.patch_rgb), ground_rgb=change(samples.ground_rgb))


def _stained(samples: SheetSamples, patches: list[int]) -> SheetSamples:
    rgb = samples.patch_rgb.copy()
    rgb[patches] *= [0.8, 0.75, 0.6]
    return replace(samples, patch_rgb=rgb)


def _found(samples: SheetSamples) -> tuple[Finding, ...]:
    return sheet_findings(samples, fitted(samples), numbers=NUMBERS)


def test_a_good_card_is_told_nothing(patch_lab: FloatArray) -> None:
    assert _found(card(patch_lab)) == ()
    assert _found(card(patch_lab, level(lambda xy: np.exp(xy @ [5e-4, 2e-4])))) == ()


def test_a_stained_patch_is_named_and_the_others_serve(patch_lab: FloatArray) -> None:
    samples = _stained(card(patch_lab), [8])
    colours = fitted(samples)
    assert spoilt_patches(samples, colours.correction).tolist() == [8]
    (told,) = _found(samples)
    assert (told.code, told.refuses) == ("patch_faded", False)
    assert told.message.startswith(
        "A patch of the card looks stained or faded: number 9 (7 cm from the left, 4 cm from"
    )
    assert "dry soft cloth" in told.hint
    clean = fitted(card(patch_lab)).correction.parameters
    assert colours.correction.parameters[:3] == pytest.approx(clean[:3], abs=0.03)


def test_several_are_named_the_worst_first_and_many_refuse(patch_lab: FloatArray) -> None:
    samples = card(patch_lab)
    two = find_spoilt_patches(np.array([4, 2]), samples, NUMBERS)
    many = find_spoilt_patches(np.array([4, 2, 9, 11, 20]), samples, NUMBERS)
    assert two is not None
    assert many is not None
    assert "2 patches of the card look stained or faded: number 5 (" in two.message
    assert (two.refuses, many.refuses) == (False, True)
    assert "and 1 more" in many.message
    assert find_spoilt_patches(np.zeros(0, np.int64), samples, NUMBERS) is None


def test_a_card_stained_all_over_is_refused(patch_lab: FloatArray) -> None:
    found = _found(_stained(card(patch_lab), [0, 2, 5, 8, 10, 13, 16, 19]))
    assert found
    assert found[0].refuses


def test_a_camera_that_brightens_one_part_by_itself_is_told(patch_lab: FloatArray) -> None:
    """Dark patches with dark neighbours are lifted, those among light ones are not: no tone curve does both."""
    samples = card(patch_lab)
    luminance = lab_to_xyz(patch_lab)[:, 1]
    for power, refuses in ((0.07, False), (0.3, True)):
        lift = np.where(np.arange(24) % 2 == 0, luminance**-power, 1.0)[:, None]
        lifted = replace(samples, patch_rgb=np.clip(samples.patch_rgb * lift, 0, 0.98))
        told = find_local_tone(grey_error(lifted, fitted(lifted).correction))
        assert told is not None
        assert (told.code, told.refuses) == ("tone_local", refuses)
        assert "HDR" in told.hint


def test_one_tone_curve_for_all_is_no_local_one(patch_lab: FloatArray) -> None:
    bent = _changed(card(patch_lab), lambda rgb: np.clip(rgb, 0, 1) ** 0.93)
    assert grey_error(bent, fitted(bent).correction) < 1.1


def test_what_a_shadow_does_to_greys_is_taken_off(patch_lab: FloatArray) -> None:
    samples = card(patch_lab, level(lambda xy: 1 - 0.3 / (1 + np.exp(-(xy[:, 0] - 74) / 2))))
    correction = fitted(samples).correction
    assert grey_error(samples, correction) > 1.1
    assert grey_error(samples, correction, shadow=0.07) < grey_error(samples, correction)
    assert grey_error(samples, correction, shadow=1.0) == 0


def test_without_greys_nothing_is_said_of_them(patch_lab: FloatArray) -> None:
    samples = card(patch_lab)
    no_greys = replace(samples, patch_usable=np.hypot(*patch_lab[:, 1:].T) > 6)
    assert grey_error(no_greys, fitted(samples).correction) == 0
    assert find_local_tone(0.0) is None


def test_daylight_starves_no_channel_whatever_the_exposure(patch_lab: FloatArray) -> None:
    for exposure in (0.8, 0.4, 0.2):
        seen = card(patch_lab, camera=Camera(haze=0.02, contrast=0.1, exposure=exposure))
        assert find_starved(shift_by_a_level(seen, fitted(seen).correction)) is None


def test_a_light_that_leaves_hardly_any_blue_is_told(patch_lab: FloatArray) -> None:
    blueless = _changed(card(patch_lab), lambda rgb: rgb * [1, 1, 0.02])
    told = find_starved(shift_by_a_level(blueless, fitted(blueless).correction))
    assert told is not None
    assert told.code == "light_starved"
    assert not told.refuses


def test_a_light_in_which_red_and_green_see_the_same_is_refused(patch_lab: FloatArray) -> None:
    def merged(rgb: FloatArray) -> FloatArray:
        mean = rgb[:, :2].mean(axis=1, keepdims=True)
        return np.hstack([mean + 0.03 * (rgb[:, :2] - mean), rgb[:, 2:]])

    yellow = _changed(card(patch_lab), merged)
    told = find_starved(shift_by_a_level(yellow, fitted(yellow).correction))
    assert told is not None
    assert told.refuses
    assert "white ones" in told.hint


def test_an_amber_heat_lamp_sets_inks_apart_and_daylight_does_not(patch_lab: FloatArray) -> None:
    """By spectra: CIE illuminant D65 (from colour-science), and a thermal lamp behind an amber filter (its shape known
    in general, no source)."""
    amber = next(light for light in starving_lights() if "amber" in light.name)
    for light, told, refused in ((cie_light("D65"), 0, 0), (amber, 6, 4)):
        rng = np.random.default_rng(6)
        shots = [
            shot for shot in (draw_shot(patch_lab, rng, light=light) for _ in range(10)) if shot.family != "smooth"
        ]
        found = [find_inks_apart(reveal_food_bias(shot.patch_lab, shot.patch_error).scale) for shot in shots]
        assert len(shots) >= 8
        assert (sum(map(bool, found)) >= told) if told else not any(found)
        assert sum(one is not None and one.refuses for one in found) >= refused


def test_another_card_s_colours_are_refused_in_plain_words(patch_lab: FloatArray) -> None:
    samples = card(patch_lab)
    wrong = replace(samples, patch_lab=patch_lab[np.random.default_rng(0).permutation(24)])
    told = find_poor_fit(fitted(wrong).correction)
    assert told is not None
    assert (told.code, told.refuses) == ("colour_fit_poor", True)
    assert "print a new one" in told.hint
    assert _found(wrong)[0].refuses


def test_inks_that_part_a_little_say_nothing_and_a_good_deal_warn(patch_lab: FloatArray) -> None:
    """As inks do under tubes of few lines: each patch off in its own direction, the greys as they were."""
    off = np.random.default_rng(3).normal(0, 1, patch_lab.shape) * [0.3, 4.0, 4.0]
    off[np.hypot(*patch_lab[:, 1:].T) < 6] = 0
    little, more = (fitted(replace(card(patch_lab), patch_lab=patch_lab + by * off)).correction for by in (1.0, 1.3))
    assert find_poor_fit(little) is None
    told = find_poor_fit(more)
    assert told is not None
    assert not told.refuses
    assert "window" in told.hint


def test_no_patch_trusted_says_nothing_here(patch_lab: FloatArray) -> None:
    correction = fitted(card(patch_lab)).correction
    assert find_poor_fit(replace(correction, weight=np.zeros_like(correction.weight))) is None


def test_a_particular_reason_stands_instead_of_a_general_one_and_refusals_come_first(patch_lab: FloatArray) -> None:
    two_lights = card(patch_lab, mixed(lambda xy: 0.5 + (xy[:, 1] - 52) / 110))
    found = _found(two_lights)
    assert found[0].code == "light_mixed"
    assert found[0].refuses
    assert "colour_fit_poor" not in [one.code for one in found]
    refusing = [one.refuses for one in found]
    assert refusing == sorted(refusing, reverse=True)
    assert {one.code for one in found} <= set(CODES)
    assert len({one.code for one in found}) == len(found)
    assert _found(card(patch_lab, even)) == ()
