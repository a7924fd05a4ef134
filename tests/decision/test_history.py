"""How far plates differ, from past plates of which the truth is known."""

import numpy as np
import pytest

from grader.decision import HOUSE_DEFAULT
from grader.decision.history import PastPlate, plates_apart


def past(rng: np.random.Generator, *, batches: int, plates: int, between: float, alike: float) -> list[PastPlate]:
    """Plates of 36 fries; batches differ by two steps and by their shares, which must leave no trace."""
    told = []
    for batch in range(batches):
        level, share = rng.normal(4, 2), rng.uniform(0.05, 0.4)
        for _ in range(plates):
            places = level + rng.normal(0, between) + rng.normal(0, 0.4, 36)
            weight = (1 - alike) / alike
            shares = {
                key: (rng.binomial(36, rng.beta(share * weight, (1 - share) * weight)) / 36, 36) for key in "abcd"
            }
            told.append(PastPlate(batch=str(batch), places=places, shares=shares))
    return told


def test_before_twenty_plates_the_house_default_stands() -> None:
    rng = np.random.default_rng(1)
    nineteen = past(rng, batches=9, plates=2, between=0.5, alike=0.1) + past(
        rng, batches=1, plates=1, between=0.5, alike=0.1
    )
    assert plates_apart(nineteen) == HOUSE_DEFAULT
    assert plates_apart([]) == HOUSE_DEFAULT


def test_plates_alone_in_their_batch_tell_nothing() -> None:
    rng = np.random.default_rng(2)
    alone = [plate for _ in range(30) for plate in past(rng, batches=1, plates=1, between=0.5, alike=0.1)]
    numbered = [PastPlate(batch=str(n), places=p.places, shares=p.shares) for n, p in enumerate(alone)]
    assert plates_apart(numbered) == HOUSE_DEFAULT


def test_from_twenty_plates_on_it_is_the_houses_own() -> None:
    """Within what so few can tell: a standard deviation with 15 degrees of freedom is off by less than half of it."""
    apart = plates_apart(past(np.random.default_rng(3), batches=5, plates=4, between=0.4, alike=0.05))
    assert apart.plates == 20
    assert apart.freedom == 15
    assert apart.words == "from 20 plates of the house's own"
    assert 0.2 < apart.colour_steps < 0.6


def test_over_many_plates_it_comes_out_as_drawn() -> None:
    apart = plates_apart(past(np.random.default_rng(4), batches=150, plates=4, between=0.3, alike=0.04))
    assert apart.colour_steps == pytest.approx(0.3, rel=0.08)
    assert apart.correlation == pytest.approx(0.04, rel=0.2)
    assert apart.freedom == 450


def test_plates_that_differ_by_nothing_leave_no_negative_correlation() -> None:
    apart = plates_apart(past(np.random.default_rng(5), batches=6, plates=4, between=1e-6, alike=1e-6))
    assert apart.correlation >= 0
    assert apart.colour_steps >= 0
