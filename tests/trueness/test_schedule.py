"""The plan: every piece at many places and at both heights, under every light, drawn anew from the same start alike."""

from collections import Counter

import numpy as np
import pytest

from grader.trueness.model import Kit
from grader.trueness.schedule import KitSize, PlanImpossibleError, plan_kit

LIGHTS = ("window", "tubes", "lamps")


def _plan(size: KitSize | None = None, *, lights: tuple[str, ...] = LIGHTS, number: int = 3) -> Kit:
    return plan_kit(size or KitSize(), sheet="card-a6", lights=lights, rng=np.random.default_rng(number))


@pytest.mark.parametrize("lights", [LIGHTS[:1], LIGHTS[:2], LIGHTS, (*LIGHTS, "mixed", "evening")])
def test_every_bar_is_met_at_six_places_and_at_both_heights_under_every_light(lights: tuple[str, ...]) -> None:
    kit = _plan(lights=lights)
    photos = [photo for photo in kit.photos if photo.kind == "bar"]
    for light in lights:
        raised = [photo.raised_mm for photo in photos if photo.light == light]
        assert Counter(raised) == {0.0: len(raised) // 2, 12.0: len(raised) // 2}
    assert len(photos) >= 6
    for name in (piece.name for piece in kit.pieces if piece.kind == "bar"):
        met = [(laid.place, photo.raised_mm) for photo in photos for laid in photo.laid if name in laid.pieces]
        assert len(met) == len(photos)
        assert len({place for place, _ in met}) == min(len(photos), 9)


@pytest.mark.parametrize(("bars", "chips"), [(20, 12), (27, 18), (54, 54)])
def test_every_photo_holds_every_piece_once_spread_evenly_over_nine_places(bars: int, chips: int) -> None:
    kit = _plan(KitSize(bars=bars, chips=chips))
    for photo in kit.photos:
        names = [name for laid in photo.laid for name in laid.pieces]
        assert len(names) == len(set(names)) == (bars if photo.kind == "bar" else chips)
        counts = [len(laid.pieces) for laid in photo.laid]
        assert len(counts) == 9
        assert max(counts) - min(counts) <= 1


def test_chips_lie_in_at_least_two_photos_under_each_light() -> None:
    kit = _plan(KitSize(chip_photos=2))
    under = Counter(photo.light for photo in kit.photos if photo.kind == "chip")
    assert under == dict.fromkeys(LIGHTS, 2)


def test_neighbours_change_from_photo_to_photo() -> None:
    kit = _plan(KitSize(bars=27))
    photos = [photo for photo in kit.photos if photo.kind == "bar"]
    together = Counter(frozenset(laid.pieces) for photo in photos for laid in photo.laid)
    assert together.most_common(1)[0][1] <= 2


def test_the_same_start_gives_the_same_plan_and_another_start_another() -> None:
    assert _plan() == _plan()
    assert _plan() != _plan(number=4)


def test_on_a_mat_there_is_one_height() -> None:
    assert {photo.raised_mm for photo in _plan(KitSize(raised_mm=0)).photos} == {0.0}


@pytest.mark.parametrize(
    ("size", "lights", "told"),
    [
        (KitSize(bars=19), LIGHTS, "19 bars"),
        (KitSize(bars=55), LIGHTS, "55 bars"),
        (KitSize(chips=11), LIGHTS, "11 chips"),
        (KitSize(chip_photos=1), LIGHTS, "1 photo of the chips"),
        (KitSize(), (), "lights"),
        (KitSize(), ("tubes", "Tubes"), "lights"),
        (KitSize(), ("",), "lights"),
    ],
)
def test_a_plan_that_would_say_nothing_is_refused(size: KitSize, lights: tuple[str, ...], told: str) -> None:
    with pytest.raises(PlanImpossibleError, match=told) as refusal:
        _plan(size, lights=lights)
    assert refusal.value.hint
