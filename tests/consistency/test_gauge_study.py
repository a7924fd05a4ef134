"""What a gauge study says: percentages and grades as published, plates that change, words for people."""

from dataclasses import replace

import numpy as np
import pytest

from grader.consistency.gauge.anova import StudyUnfinishedError
from grader.consistency.gauge.model import Condition, Reading
from grader.consistency.gauge.plan import StudySize, plan_study
from grader.consistency.gauge.study import Fitness, planned_result, study_result, whole_plates
from grader.consistency.gauge.words import headline, result_lines
from grader.consistency.quantities import QuantityKey
from tests.consistency.published_studies import shafts, vignette

Values = dict[int, dict[QuantityKey, float]]


def test_percentages_of_the_published_study() -> None:
    # jasp-stats/jaspQualityControl 38c84de, test-msaGaugeRR.R: tolerance 10.
    result = study_result(shafts(), quantity="length", tolerance=10.0)
    assert result.percent_tolerance == pytest.approx(23.84, abs=5e-3)
    assert result.percent_study == pytest.approx(11.97, abs=5e-3)
    assert result.anova.plates.sd == pytest.approx(3.29486, abs=5e-6)
    assert result.fitness is Fitness.MAY_DO
    # 1.41 times 3.29486 over 0.39740, cut off: by the formula, nothing printed.
    assert result.grades == 11


def test_without_a_range_the_spread_seen_is_what_it_is_held_against() -> None:
    result = study_result(vignette(), quantity="place")
    assert result.percent_tolerance is None
    assert result.percent_study == pytest.approx(100 * np.sqrt(0.483), abs=0.5)
    assert result.fitness is Fitness.POOR
    assert result.grades == 1


@pytest.mark.parametrize("repeats", [2, 3])
def test_one_photo_handed_in_again_and_again_tells_nothing_of_a_method(repeats: int) -> None:
    alike = [
        Reading(plate=f"P{plate}", condition=Condition(person=person, phone="", light=""), value=2.1 + 0.3 * plate)
        for plate in range(4)
        for person in "AB"
        for _ in range(repeats)
    ]
    with pytest.raises(StudyUnfinishedError, match="readings of a plate are the same"):
        study_result(alike, quantity="place", tolerance=1.8)


def with_turns(slope: float) -> list[Reading]:
    rng = np.random.default_rng(2)
    people = [Condition(person=name, phone="", light="") for name in "ABC"]
    readings = []
    for plate in range(10):
        for turn, at in enumerate(rng.permutation(6)):
            value = plate * 0.4 + slope * turn + rng.normal(0, 0.05)
            readings.append(Reading(plate=f"P{plate}", condition=people[at % 3], value=value, turn=turn))
    return readings


def test_plates_that_change_while_photographed_are_told() -> None:
    changing = study_result(with_turns(0.1), quantity="place")
    assert changing.drift is not None
    assert changing.drift.per_photo == pytest.approx(0.1, abs=0.02)
    assert changing.drift.low < 0.1 < changing.drift.high
    assert any("0.10 steps darker from photo to photo" in line for line in result_lines(changing, varied=("person",)))
    steady = study_result(with_turns(0.0), quantity="place")
    assert steady.drift is not None
    assert not steady.drift.shown


def test_plates_that_lack_a_photo_are_left_out_and_named() -> None:
    kept, lacking = whole_plates(shafts()[1:], photos_of_plate=9)
    assert lacking == ("0",)
    result = study_result(kept, quantity="place", left_out=lacking)
    assert result.plates == 9
    assert "Left out, because photos of them are missing: 0." in list(result_lines(result, varied=("person",)))


def test_the_headline_says_what_most_of_the_doubt_is() -> None:
    rng = np.random.default_rng(3)
    readings = [
        Reading(
            plate=f"P{plate}",
            condition=Condition(person=who, phone=phone, light=""),
            value=plate + (0.5 if phone == "two" else 0.0) + rng.normal(0, 0.05),
        )
        for plate in range(10)
        for who in "AB"
        for phone in ("one", "two")
        for _ in range(2)
    ]
    result = study_result(readings, quantity="place")
    assert f"{result.grades} grades" in headline(result, varied=("person", "phone"))
    assert headline(result, varied=("person", "phone")).endswith("most of its doubt is the phone.")
    same = study_result(
        [replace(one, condition=replace(one.condition, phone="")) for one in readings], quantity="place"
    )
    assert headline(same, varied=("person",)).endswith("most of its doubt is in taking the same photo again.")


def test_a_planned_study_leaves_out_plates_that_lack_a_photo() -> None:
    plan = plan_study(StudySize(people=("AB", "CD")), rng=np.random.default_rng(1))
    rng = np.random.default_rng(4)
    of_plate = {photo.plate: rng.normal() for photo in plan.photos}
    values: Values = {photo.number: {"place": of_plate[photo.plate] + rng.normal(0, 0.1)} for photo in plan.photos}
    assert planned_result(plan, values, quantity="place").plates == 10
    lacking = plan.photos[7]
    del values[lacking.number]
    result = planned_result(plan, values, quantity="place", tolerance=2.0)
    assert (result.plates, result.left_out) == (9, (lacking.plate,))
    assert result.percent_tolerance is not None
    with pytest.raises(StudyUnfinishedError, match="0 of 10 plates have all of their 4 photos"):
        planned_result(plan, values, quantity="length")


def test_a_nested_study_uses_as_many_plates_of_each() -> None:
    size = StudySize(people=("AB", "CD"), plates=4, layout="nested")
    plan = plan_study(size, rng=np.random.default_rng(1))
    rng = np.random.default_rng(5)
    values: Values = {photo.number: {"L": rng.normal(60, 1)} for photo in plan.photos[1:]}
    result = planned_result(plan, values, quantity="L")
    assert (result.plates, len(result.left_out)) == (6, 2)
    assert result.layout == "nested"


def test_two_of_a_kind_are_said_to_tell_little() -> None:
    lines = list(result_lines(study_result(shafts(), quantity="length"), varied=("person",)))
    assert any("Two or three conditions tell only roughly" in line for line in lines)
    five = [replace(one, condition=replace(one.condition, person=name)) for one in shafts() for name in "ABCDE"]
    assert not any(
        "only roughly" in line for line in result_lines(study_result(five, quantity="length"), varied=("person",))
    )


def test_why_an_interaction_was_pooled_is_said() -> None:
    def last(readings: list[Reading]) -> str:
        return list(result_lines(study_result(readings, quantity="place"), varied=("person",)))[-1]

    assert "counted among repeats: by chance as large" in last(shafts())
    assert "nothing was read twice" in last(shafts()[::3])
