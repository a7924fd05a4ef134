"""Which plate is photographed when, by whom, with what, in which light: drawn, so that nothing hides in the order."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from grader.consistency.gauge.model import Condition, Layout
from grader.errors import GraderError

Keeps = Literal["fries", "pieces"]
"""Fries cool, dry and turn dull within minutes; painted bars or printed strips stay what they are."""
MINUTES_A_PHOTO = 0.5
"""From one photo to the next, another phone taken up (common practice, no source)."""
FRIES_KEEP_MINUTES = 10.0
"""Longer than this no plate of fries is to be photographed for a study (house choice, no source)."""
MOST_PHOTOS = 400
USUAL_PLATES, USUAL_REPEATS = 10, 2
"""Ten plates, two or three people, two or three readings: the customary size (common practice)."""


class PlanImpossibleError(GraderError, ValueError):
    """A study like this would say nothing, or nobody would finish it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyPhoto:
    """One photo of the schedule: `number` counts from 1 in the drawn order, `turn` the photos of its plate from 0."""

    number: int
    plate: str
    condition: Condition
    turn: int


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyPlan:
    """A study as planned.

    Attributes
    ----------
    layout
        Whether all conditions read the same plates, or each its own.
    keeps
        What lies on the plates.
    plates
        How many; in a nested study for each condition.
    repeats
        Photos of one plate under one condition.
    photos
        In the order in which they are to be taken.
    """

    layout: Layout
    keeps: Keeps
    people: tuple[str, ...]
    phones: tuple[str, ...]
    lights: tuple[str, ...]
    plates: int
    repeats: int
    photos: tuple[StudyPhoto, ...]

    @property
    def minutes_a_plate(self) -> float:
        """How long one plate is photographed, roughly."""
        return MINUTES_A_PHOTO * max(sum(one.plate == photo.plate for one in self.photos) for photo in self.photos)


@dataclass(frozen=True, slots=True, kw_only=True)
class StudySize:
    """What a study is to hold; names told apart by their letters, whatever their case."""

    people: Sequence[str]
    phones: Sequence[str] = ("",)
    lights: Sequence[str] = ("",)
    plates: int = USUAL_PLATES
    repeats: int = USUAL_REPEATS
    layout: Layout = "crossed"
    keeps: Keeps = "fries"


def plan_study(size: StudySize, *, rng: np.random.Generator) -> StudyPlan:
    """Draw the schedule.

    Of fries one plate is finished before the next is fried, because it changes; of pieces the whole set is gone through
    once, then once more. Lights change as seldom as that allows, people and phones follow in a drawn order.

    Raises
    ------
    PlanImpossibleError
        Too few or too many of something, names that are not told apart, or fries that would have changed before
        their last photo.
    """
    conditions = _conditions(size)
    _check(size, conditions)
    order = _nested(size, conditions, rng) if size.layout == "nested" else _crossed(size, conditions, rng)
    turns: dict[str, int] = {}
    photos = []
    for number, (plate, condition) in enumerate(order, 1):
        turn = turns.get(plate, 0)
        turns[plate] = turn + 1
        photos.append(StudyPhoto(number=number, plate=plate, condition=condition, turn=turn))
    plan = StudyPlan(
        layout=size.layout,
        keeps=size.keeps,
        people=tuple(size.people),
        phones=tuple(size.phones),
        lights=tuple(size.lights),
        plates=size.plates,
        repeats=size.repeats,
        photos=tuple(photos),
    )
    if plan.keeps == "fries" and plan.minutes_a_plate > FRIES_KEEP_MINUTES:
        raise PlanImpossibleError(
            f"One plate would be photographed for some {plan.minutes_a_plate:.0f} minutes: fries cool, dry and turn "
            "dull, and the study would find that.",
            hint="Take fewer people, phones, lights or repeats, painted bars in place of fries, or give "
            "each condition plates of its own (nested).",
        )
    return plan


def _conditions(size: StudySize) -> list[Condition]:
    return [
        Condition(person=person, phone=phone, light=light)
        for light in size.lights
        for person in size.people
        for phone in size.phones
    ]


def _check(size: StudySize, conditions: Sequence[Condition]) -> None:
    for what, names in ("people", size.people), ("phones", size.phones), ("lights", size.lights):
        if not names or len({name.strip().casefold() for name in names}) < len(names):
            raise PlanImpossibleError(f"The {what} are not told apart.", hint="Name each of them once.")
    if len(conditions) < 2:
        raise PlanImpossibleError(
            "There is one person, one phone and one light: nothing could differ.",
            hint="Name two people, two phones or two lights at least.",
        )
    if size.plates < 2 or size.repeats < 1 or (size.layout == "nested" and size.repeats < 2):
        raise PlanImpossibleError(
            "A study needs two plates at least, and where each condition has plates of its own two photos of each.",
            hint=f"Customary are {USUAL_PLATES} plates and {USUAL_REPEATS} or 3 photos of each.",
        )
    photos = size.plates * len(conditions) * size.repeats
    if photos > MOST_PHOTOS:
        raise PlanImpossibleError(
            f"That would be {photos} photos.", hint=f"Plan {MOST_PHOTOS} at most: nobody finishes more."
        )


_Order = list[tuple[str, Condition]]


def _crossed(size: StudySize, conditions: Sequence[Condition], rng: np.random.Generator) -> _Order:
    plates = [f"P{number:02}" for number in range(1, size.plates + 1)]
    if size.keeps == "fries":
        return [pair for plate in _drawn(plates, rng) for pair in _by_light([plate], conditions, size.repeats, rng)]
    return [pair for _ in range(size.repeats) for pair in _by_light(plates, conditions, 1, rng)]


def _by_light(plates: Sequence[str], conditions: Sequence[Condition], repeats: int, rng: np.random.Generator) -> _Order:
    lights = _drawn(sorted({one.light for one in conditions}), rng)
    order: _Order = []
    for light in lights:
        pairs = [(plate, one) for plate in plates for one in conditions if one.light == light] * repeats
        order += [pairs[index] for index in rng.permutation(len(pairs))]
    return order


def _nested(size: StudySize, conditions: Sequence[Condition], rng: np.random.Generator) -> _Order:
    """Plates of all conditions in a drawn order, the photos of a plate one after the other."""
    each = [
        (f"P{number * size.plates + plate:02}", condition)
        for number, condition in enumerate(conditions)
        for plate in range(1, size.plates + 1)
    ]
    return [each[index] for index in rng.permutation(len(each)) for _ in range(size.repeats)]


def _drawn(names: Sequence[str], rng: np.random.Generator) -> list[str]:
    return [names[index] for index in rng.permutation(len(names))]
