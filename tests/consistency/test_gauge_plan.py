"""The schedule of a gauge study: all of it there, drawn, short where fries lie on the plates."""

from collections import Counter
from itertools import pairwise

import numpy as np
import pytest

from grader.consistency.gauge.plan import FRIES_KEEP_MINUTES, PlanImpossibleError, StudyPlan, StudySize, plan_study
from grader.consistency.gauge.words import plan_lines

PEOPLE = ("AB", "CD", "EF")


def planned(size: StudySize, start: int = 1) -> StudyPlan:
    return plan_study(size, rng=np.random.default_rng(start))


def test_every_plate_under_every_condition_as_often() -> None:
    plan = planned(StudySize(people=PEOPLE, phones=("one", "two")))
    cells = Counter((photo.plate, photo.condition) for photo in plan.photos)
    assert len(cells) == 10 * 6
    assert set(cells.values()) == {2}
    assert [photo.number for photo in plan.photos] == list(range(1, 121))


def test_a_plate_of_fries_is_finished_before_the_next() -> None:
    plan = planned(StudySize(people=PEOPLE))
    assert plan.minutes_a_plate <= FRIES_KEEP_MINUTES
    plates = [photo.plate for photo in plan.photos]
    assert sum(one != other for one, other in pairwise(plates)) == 9
    assert [photo.turn for photo in plan.photos[:6]] == list(range(6))


def test_pieces_are_gone_through_once_and_then_again() -> None:
    plan = planned(StudySize(people=PEOPLE, keeps="pieces"))
    assert len(Counter((photo.plate, photo.condition) for photo in plan.photos[:30])) == 30


def test_people_come_in_a_drawn_order_that_can_be_drawn_again() -> None:
    size = StudySize(people=PEOPLE)
    assert planned(size).photos == planned(size).photos
    assert planned(size).photos != planned(size, 2).photos
    firsts = Counter(photo.condition.person for photo in planned(size, 3).photos if photo.turn == 0)
    assert len(firsts) > 1


def test_nested_gives_each_condition_plates_of_its_own() -> None:
    plan = planned(StudySize(people=PEOPLE, plates=5, layout="nested"))
    whose = {photo.plate: photo.condition.person for photo in plan.photos}
    assert len(whose) == 15
    assert Counter(whose.values()) == dict.fromkeys(PEOPLE, 5)
    assert all(photo.condition.person == whose[photo.plate] for photo in plan.photos)


def test_fries_that_would_have_dried_are_refused() -> None:
    with pytest.raises(PlanImpossibleError, match="cool, dry"):
        planned(StudySize(people=PEOPLE, phones=("one", "two"), lights=("tube", "window")))
    assert planned(StudySize(people=PEOPLE, phones=("one", "two"), lights=("tube", "window"), keeps="pieces")).photos


@pytest.mark.parametrize(
    ("size", "words"),
    [
        (StudySize(people=("AB",)), "nothing could differ"),
        (StudySize(people=("AB", "ab ")), "not told apart"),
        (StudySize(people=()), "not told apart"),
        (StudySize(people=PEOPLE, plates=1), "two plates at least"),
        (StudySize(people=PEOPLE, plates=200, repeats=3), "1800 photos"),
    ],
)
def test_studies_that_would_say_nothing(size: StudySize, words: str) -> None:
    with pytest.raises(PlanImpossibleError, match=words):
        planned(size)


def test_words_mind_fries() -> None:
    assert any("Fries cool and dry" in line for line in plan_lines(planned(StudySize(people=PEOPLE))))
    pieces = planned(StudySize(people=PEOPLE, keeps="pieces"))
    assert not any("cool" in line for line in plan_lines(pieces))
