"""What the modes that ship are worth, on shots from which nothing was learnt; and that they can be learnt anew."""

import re
from pathlib import Path

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.colour.metamerism import LEARNT_FILE, food_error, learnt_metamerism, read_learnt, reveal_food_bias
from tests.spectral.__main__ import TABLE_FILE, draw_shots, main
from tests.spectral.bench import Shot, shoot
from tests.spectral.cameras import Camera, measured_camera
from tests.spectral.fries import TONES, draw_potato, fry_surfaces
from tests.spectral.inks import draw_family, print_card, smooth_card, smooth_surfaces
from tests.spectral.learning import learn, tone_coefficients, write_learnt
from tests.spectral.lights import CIE_NAMES, KINDS, cie_light, starving_lights
from tests.spectral.observer import observer
from tests.spectral.report import coverage, put_to_test, report, rms


def test_the_shift_takes_most_of_the_error_away_under_lights_not_learnt_from(
    shots_by_light: dict[str, list[Shot]],
) -> None:
    shots = [shot for group in shots_by_light.values() for shot in group if shot.family != "smooth"]
    outcome = put_to_test(shots, learnt_metamerism(), np.random.default_rng(1))
    assert (rms(outcome.after)[1:] < 0.5 * rms(outcome.before)[1:]).all()
    assert (coverage(outcome) > 0.85).all()


def test_narrow_lines_set_fries_and_inks_further_apart_than_daylight(shots_by_light: dict[str, list[Shot]]) -> None:
    reddest = {
        light: np.mean([shot.fry_error[:, 1].mean() for shot in group if shot.family != "smooth"])
        for light, group in shots_by_light.items()
    }
    assert reddest["FL11"] < reddest["D65"] - 1
    assert reddest["FL11"] < -2


def test_smooth_surfaces_need_no_shift_and_get_next_to_none(colours: FloatArray) -> None:
    rng = np.random.default_rng(4)
    card, fries = smooth_card(colours), smooth_surfaces(TONES)
    for name in ("A", "FL2", "LED-B3", "D50"):
        shot = shoot(cie_light(name), measured_camera(), card, fries, rng)
        told = food_error(reveal_food_bias(shot.patch_lab, shot.patch_error), shot.fry_lab)
        assert np.abs(shot.fry_error).max() < 1.5
        assert np.abs(told.lab_shift).max() < 1.5
        assert np.abs(told.lab_shift).mean() < 0.6


def test_a_sensor_that_is_the_eye_under_d65_leaves_nothing(colours: FloatArray) -> None:
    rng = np.random.default_rng(6)
    eye = Camera(name="eye", sensitivity=observer())
    fries = fry_surfaces(draw_potato(rng), TONES)
    shot = shoot(cie_light("D65"), eye, print_card(draw_family(rng), colours), fries, rng)
    assert np.abs(shot.fry_error).mean() < 1.0
    assert np.abs(food_error(reveal_food_bias(shot.patch_lab, shot.patch_error), shot.fry_lab).lab_shift).max() < 1.5


def test_a_light_for_no_fry_is_told_by_its_scale(shots_by_light: dict[str, list[Shot]]) -> None:
    usual = [
        reveal_food_bias(shot.patch_lab, shot.patch_error).scale for group in shots_by_light.values() for shot in group
    ]
    rng = np.random.default_rng(8)
    for light in starving_lights():
        shots = draw_shots(3, rng, light=light)
        scales = [reveal_food_bias(s.patch_lab, s.patch_error).scale for s in shots if s.family != "smooth"]
        assert np.median(scales) > np.percentile(usual, 90), light.name


def test_what_was_learnt_is_read_back(
    shots_by_light: dict[str, list[Shot]], colours: FloatArray, tmp_path: Path
) -> None:
    shots = [shot for group in shots_by_light.values() for shot in group]
    learnt = learn(shots, colours)
    write_learnt(learnt, tmp_path / LEARNT_FILE, shots=len(shots))
    held = read_learnt(tmp_path / LEARNT_FILE)
    for name in ("colours", "patch_modes", "patch_rest", "fry_modes", "fry_rest"):
        assert getattr(held, name) == pytest.approx(getattr(learnt, name), abs=6e-4)
    assert held.degrees == learnt.degrees


def test_modes_and_rest_make_up_what_shots_show(shots_by_light: dict[str, list[Shot]], colours: FloatArray) -> None:
    shots = [shot for group in shots_by_light.values() for shot in group]
    learnt = learn(shots, colours)
    fries = np.array([tone_coefficients(shot).ravel() for shot in shots])
    modes = learnt.fry_modes.reshape(fries.shape[1], -1)
    assert modes @ modes.T + learnt.fry_rest == pytest.approx(fries.T @ fries / len(shots), abs=1e-6)


def test_the_shipped_colours_are_the_cards(colours: FloatArray) -> None:
    assert learnt_metamerism().colours == pytest.approx(colours)


def test_the_table_names_every_light_and_holds_numbers(
    shots_by_light: dict[str, list[Shot]], colours: FloatArray
) -> None:
    shots = [shot for group in shots_by_light.values() for shot in group]
    table = report(shots, shots, shots, colours)
    assert all(f"| {light} |" in table for light in shots_by_light)
    assert re.search(r"\bnan\b", table) is None


@pytest.mark.slow
def test_the_command_writes_both_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.argv", ["spectral", "--shots", "80", "--each", "2", "--out", str(tmp_path)])
    main()
    assert read_learnt(tmp_path / LEARNT_FILE).patch_modes.shape[:2] == (24, 3)
    table = (tmp_path / TABLE_FILE).read_text(encoding="utf-8")
    assert all(f"| {name} |" in table for name in CIE_NAMES)


@pytest.mark.slow
def test_a_kind_of_light_never_met_is_corrected_too() -> None:
    shots = [shot for shot in draw_shots(500, np.random.default_rng(9)) if shot.family != "smooth"]
    for kind in KINDS:
        met = [shot for shot in shots if kind not in shot.light.split(" and ")]
        unmet = [shot for shot in shots if shot.light == kind]
        outcome = put_to_test(unmet, learn(met, shots[0].design_lab), np.random.default_rng(1))
        assert rms(outcome.after)[1] < 0.6 * rms(outcome.before)[1], kind
