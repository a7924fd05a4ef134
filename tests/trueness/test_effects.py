"""Whether bias depends on place, height or size: found where it was put in, and rarely where it was not."""

from functools import cache

import numpy as np
import pytest

from grader.trueness.effects import Effect, EffectOf, effects_of
from tests.trueness.made_up import Off, kit, readings

STEADY = Off(bias=0.5, pieces=0.4, photos=0.15, rest=0.4)


@cache
def _without_effect() -> tuple[tuple[Effect, ...], ...]:
    """200 studies in which nothing depends on anything."""
    rng = np.random.default_rng(100)
    planned = kit(bars=20)
    return tuple(effects_of(readings(planned, STEADY, rng, only=["length_mm"])) for _ in range(200))


def _effect(off: Off, of: EffectOf, number: int) -> Effect:
    rng = np.random.default_rng(number)
    found = effects_of(readings(kit(), off, rng, only=["length_mm"]))
    return next(effect for effect in found if effect.of == of)


def test_a_place_that_reads_long_is_found() -> None:
    off = Off(pieces=0.4, photos=0.3, rest=0.4, places=(0, 0, 0, 0, 0, 0, 0, 0, 1.2))
    effect = _effect(off, "place", 1)
    assert effect.probability < 1e-6
    assert effect.value == pytest.approx(1.4, abs=0.4)
    assert 0 < effect.u < 0.3


def test_a_height_that_reads_long_is_found_with_the_doubt_of_whole_photos() -> None:
    effect = _effect(Off(pieces=0.4, photos=0.2, rest=0.3, raised=1.5), "height", 2)
    assert effect.value == pytest.approx(1.5, abs=4 * effect.u)
    assert effect.probability < 0.05
    # Six photos of which each is off by 0.2: u of a difference of two means of three is 0.2 sqrt(2 / 3) = 0.16.
    assert 0.05 < effect.u < 0.4


def test_a_bias_that_grows_with_the_size_is_found() -> None:
    effect = _effect(Off(pieces=0.3, photos=0.3, rest=0.4, by_size=0.03), "size", 3)
    assert effect.value == pytest.approx(0.03, abs=0.015)
    assert effect.probability < 0.001


@pytest.mark.parametrize("of", ["place", "height", "size"])
def test_where_there_is_none_it_is_found_as_rarely_as_stated(of: EffectOf) -> None:
    """A probability below 5 % in 5 % of the studies, give or take four standard deviations of such a share."""
    found = [effect.probability < 0.05 for effects in _without_effect() for effect in effects if effect.of == of]
    assert np.mean(found) < 0.05 + 4 * (0.05 * 0.95 / 200) ** 0.5
    assert np.mean(found) > 0


def test_what_was_not_varied_is_left_out() -> None:
    rng = np.random.default_rng(8)
    one_photo = [one for one in readings(kit(), STEADY, rng, only=["length_mm"]) if one.photo == "bars-01"]
    assert [effect.of for effect in effects_of(one_photo)] == ["size"]
    same_size = [one for one in one_photo if one.piece == one_photo[0].piece]
    assert effects_of(same_size) == ()


def test_readings_without_any_error_have_no_effect() -> None:
    found = effects_of(readings(kit(), Off(), np.random.default_rng(1), only=["width_mm"]))
    assert all(abs(effect.value) < 1e-9 for effect in found)
