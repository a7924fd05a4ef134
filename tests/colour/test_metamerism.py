"""What patches tell of fries: with shots of which the truth is known, drawn from what was learnt."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.colour.metamerism import (
    FoodBias,
    LearntMetamerism,
    food_error,
    learnt_metamerism,
    read_learnt,
    reveal_food_bias,
    tone_terms,
)

FRIES = np.array([[74.0, -1, 21], [60, 7, 35], [42, 13, 27]])


@pytest.fixture(scope="module")
def learnt() -> LearntMetamerism:
    return learnt_metamerism()


@pytest.fixture
def rng() -> np.random.Generator:
    return np.random.default_rng(3)


def seen(learnt: LearntMetamerism, amounts: FloatArray, rng: np.random.Generator) -> FloatArray:
    """(k, 3) what a photo shows of the patches: the modes by their amounts, and noise."""
    return learnt.patch_modes @ amounts + rng.normal(0, 0.35, learnt.colours.shape)


def on_fries(learnt: LearntMetamerism, amounts: FloatArray) -> FloatArray:
    return tone_terms(FRIES) @ (learnt.fry_modes @ amounts)


def test_where_every_patch_fits_nothing_is_made_of_the_fries(learnt: LearntMetamerism) -> None:
    told = reveal_food_bias(learnt.colours, np.zeros_like(learnt.colours))
    error = food_error(told, FRIES)
    assert error.lab_shift == pytest.approx(np.zeros((3, 3)), abs=1e-9)
    assert told.scale < 0.8
    assert (error.lab_u < food_error(reveal_nothing(learnt), FRIES).lab_u).all()


def reveal_nothing(learnt: LearntMetamerism) -> FoodBias:
    none = np.zeros(len(learnt.colours), bool)
    return reveal_food_bias(learnt.colours, np.full_like(learnt.colours, np.nan), usable=none)


def test_where_no_patch_can_be_read_the_usual_doubt_stands(learnt: LearntMetamerism) -> None:
    told = reveal_nothing(learnt)
    error = food_error(told, FRIES)
    terms = tone_terms(FRIES)
    usual = np.sqrt(((np.einsum("nt,tjm->njm", terms, learnt.fry_modes)) ** 2).sum(-1))
    assert told.scale == pytest.approx(1, abs=1e-3)
    assert error.lab_shift == pytest.approx(np.zeros((3, 3)))
    assert (error.lab_u >= usual * 0.999).all()
    assert error.lab_u == pytest.approx(usual, rel=0.35)


def test_shift_and_stated_doubt_hold_for_photos_drawn_from_what_was_learnt(
    learnt: LearntMetamerism, rng: np.random.Generator
) -> None:
    before, left, stated = [], [], []
    rest = np.linalg.cholesky(learnt.fry_rest + 1e-9 * np.eye(len(learnt.fry_rest)))
    for _ in range(300):
        amounts = rng.standard_normal((learnt.patch_modes.shape[-1],))
        true = on_fries(learnt, amounts) + tone_terms(FRIES) @ (rest @ rng.standard_normal(len(rest))).reshape(-1, 3)
        told = food_error(reveal_food_bias(learnt.colours, seen(learnt, amounts, rng)), FRIES)
        before.append(true)
        left.append(true - told.lab_shift)
        stated.append(told.lab_u)
    covered = (np.abs(left) < 1.96 * np.array(stated)).mean((0, 1))
    assert (np.std(left, (0, 1))[1:] < 0.45 * np.std(before, (0, 1))[1:]).all()
    assert (covered > 0.90).all()
    assert (covered < 0.995).all()


def test_covariance_is_one_and_goes_with_the_doubt(learnt: LearntMetamerism, rng: np.random.Generator) -> None:
    told = reveal_food_bias(learnt.colours, seen(learnt, np.ones(learnt.patch_modes.shape[-1]), rng))
    error = food_error(told, FRIES)
    assert error.lab_covariance.shape == (3, 3, 3)
    assert (np.linalg.eigvalsh(error.lab_covariance) > 0).all()
    assert error.lab_u**2 == pytest.approx(np.diagonal(error.lab_covariance, axis1=1, axis2=2))
    alone = food_error(told, FRIES[1])
    assert alone.lab_shift == pytest.approx(error.lab_shift[1])
    assert alone.lab_u == pytest.approx(error.lab_u[1])


@pytest.fixture
def amounts(learnt: LearntMetamerism) -> FloatArray:
    """A light that sets much apart."""
    return np.where(np.arange(learnt.patch_modes.shape[-1]) < 3, [1.5], 0.0)


def test_a_card_less_surely_known_tells_less(
    learnt: LearntMetamerism, rng: np.random.Generator, amounts: FloatArray
) -> None:
    error = seen(learnt, amounts, rng)
    known, guessed = (reveal_food_bias(learnt.colours, error, patch_lab_u=u) for u in (0.0, 4.0))
    shifts = [np.abs(food_error(told, FRIES).lab_shift[:, 1]).max() for told in (known, guessed)]
    assert shifts[1] < shifts[0]
    assert np.trace(guessed.covariance) > np.trace(known.covariance)


def test_a_print_that_strays_on_every_patch_is_believed_less(
    learnt: LearntMetamerism, rng: np.random.Generator, amounts: FloatArray
) -> None:
    """A card whose print nobody measured, printed 3 units off at random: no uncertainty is stated for it."""
    strays, trues = [], []
    for _ in range(40):
        error = seen(learnt, amounts, rng)
        unmeasured = error + rng.normal(0, 3, error.shape)
        strays.append(food_error(reveal_food_bias(learnt.colours, unmeasured), FRIES).lab_shift)
        trues.append(on_fries(learnt, amounts))
    assert np.sqrt(np.mean(np.subtract(strays, trues) ** 2)) < np.sqrt(np.mean(np.square(trues)))
    told = reveal_food_bias(learnt.colours, rng.normal(0, 3, learnt.colours.shape))
    assert told.scale < 1.2


def test_one_stained_patch_hardly_matters(
    learnt: LearntMetamerism, rng: np.random.Generator, amounts: FloatArray
) -> None:
    error = seen(learnt, amounts, rng)
    clean = food_error(reveal_food_bias(learnt.colours, error), FRIES).lab_shift
    for patch in range(len(error)):
        stained = error.copy()
        stained[patch] += [-8, 5, 9]
        told = food_error(reveal_food_bias(learnt.colours, stained), FRIES).lab_shift
        assert np.abs(told - clean).max() < 1.5


def test_patches_printed_twice_are_one_witness(
    learnt: LearntMetamerism, rng: np.random.Generator, amounts: FloatArray
) -> None:
    error = seen(learnt, amounts, rng)
    once = food_error(reveal_food_bias(learnt.colours, error), FRIES)
    twice = food_error(reveal_food_bias(np.vstack([learnt.colours] * 2), np.vstack([error] * 2)), FRIES)
    assert twice.lab_shift == pytest.approx(once.lab_shift, abs=0.3)
    assert twice.lab_u == pytest.approx(once.lab_u, rel=0.1)


def test_a_patch_of_another_colour_tells_less_the_further_it_is_off(
    learnt: LearntMetamerism, rng: np.random.Generator, amounts: FloatArray
) -> None:
    error = seen(learnt, amounts, rng)
    near, far = (reveal_food_bias(learnt.colours + np.array([step, 0, 0]), error) for step in (0.0, 3.0))
    assert np.trace(far.covariance) > np.trace(near.covariance)


def test_a_larger_shift_is_less_sure(learnt: LearntMetamerism, rng: np.random.Generator, amounts: FloatArray) -> None:
    error = seen(learnt, amounts, rng)
    told = reveal_food_bias(learnt.colours, error)
    found = food_error(told, FRIES)
    alone = food_error(replace(told, coefficients=np.zeros_like(told.coefficients)), FRIES)
    assert found.lab_u**2 - alone.lab_u**2 == pytest.approx((0.3 * found.lab_shift) ** 2)


def test_beyond_the_tones_that_were_learnt_the_nearest_stands() -> None:
    assert tone_terms(np.array([5.0, 0, 30])) == pytest.approx(tone_terms(np.array([20.0, 0, 30])))
    assert tone_terms(FRIES).shape == (3, 4)


def test_a_file_with_fewer_colours_is_read_as_it_is(learnt: LearntMetamerism, tmp_path: Path) -> None:
    modes = learnt.patch_modes.shape[-1]
    flat = {
        "colours": learnt.colours[:2],
        "patch_rest": learnt.patch_rest[:2],
        "patch_modes": learnt.patch_modes[:2].reshape(-1, modes),
        "fry_modes": learnt.fry_modes.reshape(-1, modes),
        "fry_rest": learnt.fry_rest,
    }
    file = tmp_path / "some.toml"
    file.write_text("degrees = 5\n" + "\n".join(f"{name} = {values.tolist()}" for name, values in flat.items()))
    held = read_learnt(file)
    assert held.degrees == 5
    assert held.patch_modes == pytest.approx(learnt.patch_modes[:2])
    assert held.fry_modes == pytest.approx(learnt.fry_modes)
    told = reveal_food_bias(held.colours, np.zeros((2, 3)), learnt=replace(held, degrees=8.0))
    assert told.coefficients.shape == (4, 3)


def test_patches_and_errors_must_match(learnt: LearntMetamerism) -> None:
    with pytest.raises(ValueError, match=r"\(n, 3\)"):
        reveal_food_bias(learnt.colours, np.zeros((5, 3)))
