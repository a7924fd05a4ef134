"""Bars of the study of the method: how often its 95 % limits hold the truth, over drawn studies."""

import numpy as np
import pytest

from grader.consistency.gauge.anova import crossed_anova, nested_anova
from grader.consistency.gauge.mean_squares import Component
from grader.consistency.gauge.model import Condition, Reading

pytestmark = pytest.mark.bar

STUDIES = 600
PLATES, PEOPLE, BOTH, AGAIN = 1.0, 0.4, 0.3, 0.25


def study(rng: np.random.Generator, plates: int, people: int, repeats: int) -> list[Reading]:
    table = (
        rng.normal(0, PLATES, (plates, 1, 1))
        + rng.normal(0, PEOPLE, (1, people, 1))
        + rng.normal(0, BOTH, (plates, people, 1))
        + rng.normal(0, AGAIN, (plates, people, repeats))
    )
    return [
        Reading(plate=f"P{i}", condition=Condition(person=f"W{j}", phone="", light=""), value=float(table[i, j, k]))
        for i, j, k in np.ndindex(*table.shape)
    ]


def own_plates(rng: np.random.Generator, plates: int, people: int, repeats: int) -> list[Reading]:
    return [
        Reading(
            plate=f"W{j}P{i}",
            condition=Condition(person=f"W{j}", phone="", light=""),
            value=of_person + of_plate + rng.normal(0, AGAIN),
        )
        for j, of_person in enumerate(rng.normal(0, PEOPLE, people))
        for i, of_plate in enumerate(rng.normal(0, PLATES, plates))
        for _ in range(repeats)
    ]


def held(components: list[Component], sd: float) -> float:
    return float(np.mean([one.low <= sd**2 <= one.high for one in components]))


def test_limits_of_a_crossed_study_hold_what_they_say() -> None:
    rng = np.random.default_rng(1)
    found = [crossed_anova(study(rng, 10, 3, 2)) for _ in range(STUDIES)]
    method = float(np.sqrt(PEOPLE**2 + BOTH**2 + AGAIN**2))
    kept = [one for one in found if not one.pooled]
    shares = {
        "plates": held([one.plates for one in found], PLATES),
        "people": held([one.conditions for one in found], PEOPLE),
        "interaction": held([one.interaction for one in kept if one.interaction], BOTH),
        "repeats": held([one.repeatability for one in kept], AGAIN),
        "method": held([one.method for one in found], method),
    }
    print(f"10 plates, 3 people, 2 photos; 95 % limits hold the truth: {shares}; pooled {1 - len(kept) / STUDIES:.1%}")
    assert all(share >= 0.93 for share in shares.values())


def test_limits_of_a_nested_study_hold_what_they_say() -> None:
    rng = np.random.default_rng(2)
    found = [nested_anova(own_plates(rng, 6, 4, 2)) for _ in range(STUDIES)]
    shares = {
        "plates": held([one.plates for one in found], PLATES),
        "people": held([one.conditions for one in found], PEOPLE),
        "repeats": held([one.repeatability for one in found], AGAIN),
        "method": held([one.method for one in found], float(np.sqrt(PEOPLE**2 + AGAIN**2))),
    }
    print(f"4 people, 6 plates each, 2 photos; 95 % limits hold the truth: {shares}")
    assert all(share >= 0.93 for share in shares.values())


def two_kinds(rng: np.random.Generator, plates: int, phones: int, people: int) -> list[Reading]:
    of_plate, of_phone, of_person = (
        rng.normal(0, sd, n) for sd, n in ((PLATES, plates), (BOTH, phones), (PEOPLE, people))
    )
    return [
        Reading(
            plate=f"P{i}",
            condition=Condition(person=f"W{k}", phone=f"T{j}", light=""),
            value=float(of_plate[i] + of_phone[j] + of_person[k] + rng.normal(0, AGAIN)),
        )
        for i, j, k in np.ndindex(plates, phones, people)
        for _ in range(2)
    ]


def test_limits_of_phones_and_people_hold_what_they_say() -> None:
    rng = np.random.default_rng(3)
    found = [crossed_anova(two_kinds(rng, 10, 3, 3)) for _ in range(STUDIES)]
    shares = {
        "phone": held([one.by_factor["phone"] for one in found], BOTH),
        "person": held([one.by_factor["person"] for one in found], PEOPLE),
        "method": held([one.method for one in found], float(np.sqrt(PEOPLE**2 + BOTH**2 + AGAIN**2))),
    }
    print(f"10 plates, 3 phones, 3 people, 2 photos; 95 % limits hold the truth: {shares}")
    assert all(share >= 0.93 for share in shares.values())
