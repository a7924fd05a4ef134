"""A card that is not the one that was measured is told; the right one is not, in whatever light and with a stain."""

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.card.model import Layout
from grader.card_values import compare_fits
from grader.colour import fit_correction, fry_weights, lab_to_xyz
from tests.colour.conftest import Camera

U = 0.7


def printed(layout: Layout, generator: np.random.Generator, *, together: bool = False) -> FloatArray:
    """What a printer made of the design: off patch by patch, or all inks together (tone, saturation, hue, a cast)."""
    lab = np.array([patch.lab for patch in layout.patches])
    if not together:
        return lab + generator.normal(0, [2.4, 3, 3], lab.shape)
    lab[:, 0] += generator.normal(0, 6) * np.sin(np.pi * lab[:, 0] / 100)
    turn = generator.normal(0, 0.08)
    rotation = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    lab[:, 1:] = lab[:, 1:] @ rotation * np.exp(generator.normal(0, 0.12)) + generator.normal(0, 1.5, 2)
    return lab + generator.normal(0, 0.8, lab.shape)


def seen(card_lab: FloatArray, generator: np.random.Generator, *, camera_sd: float) -> FloatArray:
    """Picture-linear rgb of a card by a camera with its own error for each ink."""
    camera = Camera(haze=generator.uniform(0, 0.04), contrast=generator.uniform(0, 0.4))
    off = card_lab + generator.normal(0, camera_sd, card_lab.shape)
    return np.clip(camera.sees(lab_to_xyz(np.clip(off, [0, -128, -128], [100, 128, 128]))), 5e-4, 1)


def left_out(rgb: FloatArray, reference_lab: FloatArray) -> FloatArray:
    fitted = fit_correction(rgb, reference_lab, np.full(rgb.shape, 0.002), weights=fry_weights(reference_lab))
    return fitted.left_out_de


def mismatches(layout: Layout, *, right: bool, stained: bool = False, together: bool = False, runs: int = 12) -> int:
    """In how many runs the card is told to be another than was measured."""
    generator = np.random.default_rng(5)
    designed = np.array([patch.lab for patch in layout.patches])
    told = 0
    for _ in range(runs):
        ours, theirs = (printed(layout, generator, together=together) for _ in range(2))
        values = (ours if right else theirs) + generator.normal(0, U, ours.shape)
        shown = ours.copy()
        if stained:
            shown[generator.integers(len(shown))] += [-15, 5, 20]
        rgb = seen(shown, generator, camera_sd=float(generator.choice([0.3, 0.7, 1.2, 2.0])))
        told += compare_fits(left_out(rgb, values), left_out(rgb, designed), np.full(values.shape, U)).mismatch
    return told


def test_the_right_card_is_none_of_another(card: Layout) -> None:
    assert mismatches(card, right=True) == 0


def test_the_right_card_with_a_stain_is_still_the_right_one(card: Layout) -> None:
    assert mismatches(card, right=True, stained=True) == 0


def test_a_card_of_another_run_is_told(card: Layout) -> None:
    assert mismatches(card, right=False) >= 10


@pytest.mark.slow
@pytest.mark.parametrize(("together", "found_at_least"), [(False, 0.93), (True, 0.6)])
def test_how_often_each_is_told(card: Layout, *, together: bool, found_at_least: float) -> None:
    runs, both = 150, (False, True)
    wrong = sum(mismatches(card, right=True, stained=one, together=together, runs=runs) for one in both)
    found = sum(mismatches(card, right=False, stained=one, together=together, runs=runs) for one in both)
    print(f"{'together' if together else 'one by one'}: of {2 * runs} the right card {wrong}, another {found}")
    assert wrong <= 0.01 * 2 * runs
    assert found >= found_at_least * 2 * runs


@pytest.mark.parametrize(
    ("by_values", "by_design", "u", "told"),
    [
        (1.0, 4.0, 0.7, False),  # measured well, in good light
        (3.0, 3.0, 0.7, False),  # a light in which nothing fits well tells nothing of the card
        (4.0, 3.0, 0.7, True),  # the design fits clearly better
        (5.0, 4.8, 0.7, True),  # neither fits, and the values are worse than they could be
        (5.0, 4.8, 2.0, False),  # values that were never sure may be as far off
        (5.0, 5.1, 0.7, False),
    ],
)
def test_what_tells_and_what_does_not(by_values: float, by_design: float, u: float, *, told: bool) -> None:
    fit = compare_fits(np.full(24, by_values), np.full(24, by_design), np.full((24, 3), u))
    assert fit.mismatch is told


def test_patches_that_were_not_used_and_the_worst_tenth_count_for_nothing() -> None:
    errors = np.full(24, 1.0)
    errors[:4], errors[4:6] = np.nan, 40.0
    fit = compare_fits(errors, np.full(24, 3.0), np.full((24, 3), 0.5))
    assert fit.by_values == pytest.approx(1.0)
    assert not fit.mismatch
