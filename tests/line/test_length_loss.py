from dataclasses import replace

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.fries.model import Measured
from grader.line.length_loss import LengthLossError, TuberStrips, find_length_loss, raw_limit, reach, shrinkage_of

LIMIT = 50.0
SHRINKAGE = 0.94


def draw_tubers(
    rng: np.random.Generator, *, tubers: int = 12, mean: float = 75.0, broken: float = 0.1, scale_u: float = 0.004
) -> list[TuberStrips]:
    """Tubers of 10 strips; all photos of a run share one scale error; a broken strip breaks at any place."""
    before, after = 1 + scale_u / np.sqrt(2) * rng.normal(size=2)

    def photographed(lengths: FloatArray, scale: float) -> FloatArray:
        return np.asarray((lengths + 0.3 * rng.normal(size=len(lengths))) * scale, float)

    made = []
    for number in range(tubers):
        raw = np.clip(rng.normal(mean + 8 * rng.normal(), 12, size=10), 20, None)
        shrunk = raw * SHRINKAGE * (1 + 0.01 * rng.normal(size=10))
        breaks, at = rng.random(10) < broken, rng.uniform(0.3, 0.7, size=10)
        pieces = np.concatenate([shrunk[~breaks], (shrunk * at)[breaks], (shrunk * (1 - at))[breaks]])
        made.append(
            TuberStrips(
                tuber=str(number),
                raw_mm=photographed(raw, before),
                finished_mm=photographed(pieces, after),
                scale_u=scale_u,
            )
        )
    return made


def test_breaking_does_not_pass_for_shrinking() -> None:
    rng = np.random.default_rng(1)
    whole, broken = (find_length_loss(draw_tubers(rng, broken=share), limit_mm=LIMIT, rng=rng) for share in (0.0, 0.6))
    assert whole.shrinkage.value == pytest.approx(SHRINKAGE, abs=0.01)
    assert broken.shrinkage.value == pytest.approx(SHRINKAGE, abs=0.01)
    assert whole.by_breaking.value == pytest.approx(0, abs=0.03)
    assert broken.by_breaking.low > 0.2
    assert broken.pieces_a_strip == pytest.approx(1.6, abs=0.2)


def test_the_parts_add_up() -> None:
    rng = np.random.default_rng(2)
    told = find_length_loss(draw_tubers(rng), limit_mm=LIMIT, rng=rng)
    parts = told.as_cut.value + told.by_shrinking.value + told.by_breaking.value
    assert parts == pytest.approx(told.short.value)
    assert told.as_cut.value + told.by_shrinking.value == pytest.approx(told.raw_short.value)


def test_the_shrinkages_interval_holds_it() -> None:
    rng, held = np.random.default_rng(3), []
    for _ in range(2000):
        told = shrinkage_of(draw_tubers(rng, tubers=6))
        held.append(abs(told.value - SHRINKAGE) <= reach(told, 5))
    print(f"shrinkage of 6 tubers: held {np.mean(held):.1%} at nominal 95 %")
    assert 0.93 <= np.mean(held) <= 0.98


def test_short_tubers_are_short_as_cut() -> None:
    rng = np.random.default_rng(4)
    told = find_length_loss(draw_tubers(rng, mean=52, broken=0.0), limit_mm=LIMIT, rng=rng)
    assert told.as_cut.low > told.by_breaking.high


def test_a_limit_for_raw_strips() -> None:
    told = raw_limit(50.8, Measured(value=0.94, u=0.0094))
    assert told.value == pytest.approx(54.04, abs=0.01)
    assert told.u / told.value == pytest.approx(0.01)


def test_strips_much_shorter_than_their_tuber_were_cut_across() -> None:
    rng = np.random.default_rng(5)
    tubers = [replace(one, tuber_mm=1.05 * float(one.raw_mm.max())) for one in draw_tubers(rng, tubers=6)]
    tubers[2] = replace(tubers[2], tuber_mm=2 * float(tubers[2].raw_mm.max()))
    tubers[3] = replace(tubers[3], tuber_mm=None)
    assert find_length_loss(tubers, limit_mm=LIMIT, rng=rng).cut_across == (1, 5)
    assert find_length_loss(draw_tubers(rng), limit_mm=LIMIT, rng=rng).cut_across is None


def test_too_few_whole_tubers_are_refused() -> None:
    rng = np.random.default_rng(6)
    tubers = [replace(one, whole=number > 2) for number, one in enumerate(draw_tubers(rng, tubers=6))]
    with pytest.raises(LengthLossError, match="3 tubers"):
        find_length_loss(tubers, limit_mm=LIMIT, rng=rng)
