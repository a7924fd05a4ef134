"""A plate's mass from its photo, held against the scale: what is stated holds over plates drawn as the doubt says."""

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.fries.mass import FRIED, THICKNESS_OWN_U, THICKNESS_SHARED_U
from grader.fries.plate_mass import OnScale, against_scale, mass_of_plate

FRIES, FRY_G = 30, 5.0


def drawn(rng: np.random.Generator) -> tuple[FloatArray, FloatArray, FloatArray]:
    """True masses of a plate's fries, what the photo says of them, and the doubt that it states."""
    true = rng.uniform(0.5 * FRY_G, 1.5 * FRY_G, FRIES)
    shared = 1 + rng.normal(0, FRIED.u / FRIED.value) + rng.normal(0, THICKNESS_SHARED_U)
    told = true * shared * (1 + rng.normal(0, THICKNESS_OWN_U, FRIES))
    relative = float(np.sqrt((FRIED.u / FRIED.value) ** 2 + THICKNESS_SHARED_U**2 + THICKNESS_OWN_U**2))
    return true, told, told * relative


def outcomes(taken_off: int) -> list[OnScale]:
    """Of many plates of which so many fries went between scale and photo."""
    rng = np.random.default_rng(5)
    found = []
    for _ in range(2000):
        true, told, u = drawn(rng)
        photo = mass_of_plate(told[taken_off:], u[taken_off:])
        assert photo is not None
        found.append(against_scale(float(true.sum()), photo))
    return found


def test_whole_plates_are_seldom_suspected() -> None:
    found = outcomes(0)
    assert np.mean([one is OnScale.ALIKE for one in found]) >= 0.93
    assert np.mean([one is OnScale.MORE for one in found]) <= 0.05


def test_half_a_plate_that_is_gone_mostly_shows() -> None:
    assert np.mean([one is OnScale.MORE for one in outcomes(FRIES // 2)]) >= 0.9


def test_what_all_fries_share_does_not_shrink_with_their_number() -> None:
    def relative(count: int) -> float:
        masses = np.full(count, FRY_G)
        photo = mass_of_plate(masses, masses * 0.2)
        assert photo is not None
        return photo.u / photo.value

    shared = float(np.hypot(FRIED.u / FRIED.value, THICKNESS_SHARED_U))
    assert relative(4000) == pytest.approx(shared, rel=0.01)
    assert relative(4) > relative(40) > relative(4000)


def test_fries_of_unknown_mass_weigh_as_the_others_and_are_doubted() -> None:
    masses, u = np.full(10, FRY_G), np.full(10, 1.0)
    whole = mass_of_plate(masses, u)
    masses[:3] = u[:3] = np.nan
    some = mass_of_plate(masses, u)
    assert whole is not None
    assert some is not None
    assert some.value == pytest.approx(whole.value)
    assert some.u > whole.u
    masses[:6] = u[:6] = np.nan
    assert mass_of_plate(masses, u) is None
    assert mass_of_plate(np.zeros(0), np.zeros(0)) is None
