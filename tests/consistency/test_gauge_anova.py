"""The analysis of variance of a gauge study, against published studies, a reference library, and what was put in."""

import warnings
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from grader.consistency.gauge.anova import Anova, Line, StudyUnfinishedError, crossed_anova, nested_anova
from grader.consistency.gauge.model import Condition, Reading
from tests.consistency.published_studies import manual, shafts, vignette

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from statsmodels.formula.api import ols
    from statsmodels.stats.anova import anova_lm


def line(anova: Anova, name: str) -> Line:
    return next(one for one in anova.table if one.name == name)


def person(name: str) -> Condition:
    return Condition(person=name, phone="", light="")


def drawn(rng: np.random.Generator, sizes: Sequence[int], sds: Sequence[float]) -> list[Reading]:
    """Plates, people, repeats; standard deviations of plates, people, both together, repeats."""
    plates, people, repeats = sizes
    of_plate, of_person = rng.normal(0, sds[0], plates), rng.normal(0, sds[1], people)
    both, again = rng.normal(0, sds[2], (plates, people)), rng.normal(0, sds[3], (plates, people, repeats))
    table = of_plate[:, None, None] + of_person[None, :, None] + both[..., None] + again
    return [
        Reading(plate=f"P{i}", condition=person(f"W{j}"), value=float(table[i, j, k])) for i, j, k in np.ndindex(*sizes)
    ]


def test_published_study_of_shafts() -> None:
    # jasp-stats/jaspQualityControl 38c84de, test-msaGaugeRR.R; variances of the model without interaction.
    anova = crossed_anova(shafts())
    assert [(one.name, one.freedom) for one in anova.table] == [
        ("plate", 9), ("condition", 2), ("plate x condition", 18), ("repeats", 60),
    ]  # fmt: skip
    assert line(anova, "plate").squares == pytest.approx(880.5556, abs=5e-5)
    assert line(anova, "condition").squares == pytest.approx(1.67222, abs=5e-6)
    assert line(anova, "plate x condition").squares == pytest.approx(2.82778, abs=5e-6)
    assert line(anova, "repeats").squares == pytest.approx(7.66667, abs=5e-6)
    assert line(anova, "plate x condition").f == pytest.approx(1.22947, abs=5e-6)
    assert line(anova, "plate x condition").probability == pytest.approx(0.26836, abs=5e-6)
    assert anova.pooled
    assert anova.repeatability.variance == pytest.approx(0.1345442, abs=5e-8)
    assert anova.conditions.variance == pytest.approx(0.0233856, abs=5e-8)
    assert anova.method.variance == pytest.approx(0.1579297, abs=5e-8)
    assert anova.plates.variance == pytest.approx(10.8561069, abs=5e-8)
    assert anova.total == pytest.approx(11.0140366, abs=5e-8)


def test_published_study_of_the_vignette() -> None:
    # cran/qualityTools e7eeac7: method 48 %, repeats 35 %, people 13 %, parts 51.7 % of the whole variance.
    anova = crossed_anova(vignette())
    assert anova.pooled
    assert 100 * anova.method.variance / anova.total == pytest.approx(48, abs=0.5)
    assert 100 * anova.repeatability.variance / anova.total == pytest.approx(35, abs=0.5)
    assert 100 * anova.conditions.variance / anova.total == pytest.approx(13, abs=0.5)
    assert 100 * anova.plates.variance / anova.total == pytest.approx(51.7, abs=0.05)


def test_the_manuals_example_goes_the_same_way_as_the_library() -> None:
    # Its readings are from memory, so what is held against here is statsmodels on the same readings.
    _like_statsmodels(manual())
    anova = crossed_anova(manual())
    assert anova.pooled
    assert line(anova, "plate x condition").probability == pytest.approx(0.974, abs=5e-4)


@pytest.mark.parametrize("sizes", [(10, 3, 2), (5, 2, 3), (7, 4, 2)])
def test_table_like_statsmodels(sizes: tuple[int, int, int]) -> None:
    _like_statsmodels(drawn(np.random.default_rng(sum(sizes)), sizes, (1.0, 0.5, 0.4, 0.3)))


def _like_statsmodels(readings: Sequence[Reading]) -> None:
    table = pd.DataFrame([{"plate": one.plate, "person": one.condition.person, "y": one.value} for one in readings])
    theirs = anova_lm(ols("y ~ C(plate) * C(person)", table).fit())
    anova = crossed_anova(readings)
    for ours, name in (("plate", "C(plate)"), ("condition", "C(person)"), ("plate x condition", "C(plate):C(person)")):
        assert line(anova, ours).squares == pytest.approx(theirs.loc[name, "sum_sq"], rel=1e-9)
        assert line(anova, ours).freedom == theirs.loc[name, "df"]
    assert line(anova, "repeats").squares == pytest.approx(theirs.loc["Residual", "sum_sq"], rel=1e-9)
    assert line(anova, "plate x condition").probability == pytest.approx(
        theirs.loc["C(plate):C(person)", "PR(>F)"], rel=1e-9
    )


def test_an_interaction_that_is_there_is_kept() -> None:
    anova = crossed_anova(drawn(np.random.default_rng(1), (10, 3, 3), (1.0, 0.2, 0.6, 0.1)))
    assert not anova.pooled
    assert anova.interaction is not None
    assert anova.interaction.sd == pytest.approx(0.6, abs=0.2)
    assert anova.reproducibility.variance == pytest.approx(anova.conditions.variance + anova.interaction.variance)
    assert anova.method.variance == pytest.approx(anova.reproducibility.variance + anova.repeatability.variance)


def test_on_average_components_come_out_as_put_in() -> None:
    sds = (1.0, 0.5, 0.4, 0.3)
    rng = np.random.default_rng(3)
    found = [crossed_anova(drawn(rng, (8, 6, 2), sds)) for _ in range(200)]
    kept = [one for one in found if one.interaction is not None]
    assert len(kept) > 190
    assert np.mean([one.plates.variance for one in kept]) == pytest.approx(1.0, abs=0.12)
    assert np.mean([one.conditions.variance for one in kept]) == pytest.approx(0.25, abs=0.05)
    assert np.mean([one.interaction.variance for one in kept if one.interaction]) == pytest.approx(0.16, abs=0.02)
    assert np.mean([one.repeatability.variance for one in kept]) == pytest.approx(0.09, abs=0.005)


def test_the_phone_is_told_from_the_person() -> None:
    rng = np.random.default_rng(4)
    of_phone, of_person = {"one": -0.6, "two": 0.0, "three": 0.6}, {"A": -0.05, "B": 0.05}
    readings = [
        Reading(
            plate=f"P{plate}",
            condition=Condition(person=who, phone=phone, light="tube"),
            value=plate * 0.5 + of_phone[phone] + of_person[who] + rng.normal(0, 0.1),
        )
        for plate in range(8)
        for who in of_person
        for phone in of_phone
        for _ in range(2)
    ]
    anova = crossed_anova(readings)
    assert set(anova.by_factor) == {"person", "phone"}
    assert anova.by_factor["phone"].sd == pytest.approx(0.6, abs=0.05)
    assert anova.by_factor["person"].sd < 0.1
    parts = sum(line(anova, name).squares for name in ("person", "phone"))
    assert parts <= line(anova, "condition").squares


def test_without_a_second_reading_the_interaction_stands_for_chance() -> None:
    anova = crossed_anova(drawn(np.random.default_rng(5), (10, 3, 1), (1.0, 0.3, 0.0, 0.2)))
    assert anova.pooled
    assert anova.repeatability.sd == pytest.approx(0.2, abs=0.08)


def test_faulty_studies_are_told() -> None:
    readings = shafts()
    with pytest.raises(StudyUnfinishedError, match="equally often"):
        crossed_anova(readings[1:])
    with pytest.raises(StudyUnfinishedError, match="one plate only"):
        crossed_anova([one for one in readings if one.plate == "0"])
    with pytest.raises(StudyUnfinishedError, match="Nothing was read twice"):
        crossed_anova([Reading(plate=str(k), condition=person("A"), value=float(k)) for k in range(5)])
    with pytest.raises(StudyUnfinishedError, match="two conditions at least"):
        nested_anova([one for one in readings if one.condition.person == "A"])


def nested(rng: np.random.Generator, *, people: int, plates: int, repeats: int) -> list[Reading]:
    return [
        Reading(plate=f"W{j}P{i}", condition=person(f"W{j}"), value=of_person + of_plate + rng.normal(0, 0.2))
        for j, of_person in enumerate(rng.normal(0, 0.5, people))
        for i, of_plate in enumerate(rng.normal(0, 0.4, plates))
        for _ in range(repeats)
    ]


def test_nested_table_like_statsmodels_and_components_as_put_in() -> None:
    rng = np.random.default_rng(6)
    readings = nested(rng, people=4, plates=5, repeats=3)
    table = pd.DataFrame([{"plate": one.plate, "person": one.condition.person, "y": one.value} for one in readings])
    whole, people = (ols(f"y ~ C({name})", table).fit() for name in ("plate", "person"))
    anova = nested_anova(readings)
    assert line(anova, "condition").squares == pytest.approx(people.ess, rel=1e-9)
    assert line(anova, "plate within condition").squares == pytest.approx(whole.ess - people.ess, rel=1e-9)
    assert line(anova, "repeats").squares == pytest.approx(whole.ssr, rel=1e-9)
    found = [nested_anova(nested(rng, people=6, plates=5, repeats=2)) for _ in range(200)]
    assert np.mean([one.conditions.variance for one in found]) == pytest.approx(0.25, abs=0.04)
    assert np.mean([one.plates.variance for one in found]) == pytest.approx(0.16, abs=0.015)
    assert np.mean([one.repeatability.variance for one in found]) == pytest.approx(0.04, abs=0.003)


def test_order_of_readings_does_not_matter() -> None:
    readings = shafts()
    turned = [readings[at] for at in np.random.default_rng(7).permutation(len(readings))]
    one, other = crossed_anova(readings), crossed_anova(turned)
    assert other.method.variance == pytest.approx(one.method.variance)
    moved = crossed_anova([replace(reading, value=reading.value + 5) for reading in readings])
    assert moved.plates.variance == pytest.approx(one.plates.variance)


def phones_and_people(rng: np.random.Generator, phones: int, people: int) -> list[Reading]:
    """Standard deviations: phones 0.5, people 0.2, repeats 0.1, plates 1."""
    of_phone, of_person = rng.normal(0, 0.5, phones), rng.normal(0, 0.2, people)
    return [
        Reading(
            plate=f"P{plate}",
            condition=Condition(person=f"W{j}", phone=f"T{i}", light=""),
            value=of_plate + of_phone[i] + of_person[j] + rng.normal(0, 0.1),
        )
        for plate, of_plate in enumerate(rng.normal(0, 1, 5))
        for i in range(phones)
        for j in range(people)
        for _ in range(2)
    ]


def test_two_phones_in_two_hands_are_not_four_draws() -> None:
    rng = np.random.default_rng(8)
    found = [crossed_anova(phones_and_people(rng, 2, 2)) for _ in range(500)]
    # By standard errors of 0.017: a variance from two phones scatters by 1.4 times itself.
    assert np.mean([one.by_factor["phone"].variance for one in found]) == pytest.approx(0.25, abs=0.05)
    assert np.mean([one.reproducibility.variance for one in found]) == pytest.approx(0.25 + 0.04, abs=0.05)
    assert np.mean([one.method.variance for one in found]) == pytest.approx(0.25 + 0.04 + 0.01, abs=0.05)
