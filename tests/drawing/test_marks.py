from dataclasses import replace

import pytest

from grader.decision import is_crumb
from grader.drawing.marks import Mark, doubtful, marks_of
from grader.fries.model import Fry, FryFlag, Measured
from tests.records import made_up

SOUND = made_up.fry(1, y=100)


def long(mm: float) -> Measured:
    return Measured(value=mm, u=0.5)


@pytest.mark.parametrize(
    ("fry", "marks"),
    [
        (SOUND, ()),
        (replace(SOUND, length_mm=long(29.9)), (Mark.SHORT,)),
        (replace(SOUND, length_mm=long(30.0)), ()),
        (replace(SOUND, width_mm=long(4.9)), (Mark.SLIVER,)),
        (replace(SOUND, width_mm=long(7.9)), (Mark.WIDTH,)),
        (replace(SOUND, width_mm=long(11.1)), (Mark.WIDTH,)),
        (replace(SOUND, dark_end_mm=long(6.0), dark_end_dl=12.0), (Mark.DARK_END,)),
        (replace(SOUND, dark_end_mm=long(6.0), dark_end_dl=9.0), ()),
        (replace(SOUND, dark_end_mm=long(4.0), dark_end_dl=20.0), ()),
        (replace(SOUND, spots_mm=(1.0, 3.2)), (Mark.SPOT,)),
        (replace(SOUND, spots_mm=(1.0, 2.9)), ()),
        (made_up.fry(1, y=100, lab=(45.0, 14.0, 28.0)), (Mark.COLOUR,)),
        (made_up.fry(1, y=100, lab=(60.0, -30.0, 35.0)), (Mark.COLOUR,)),
        (replace(SOUND, colour=None, length_mm=None, width_mm=None), ()),
        (replace(SOUND, length_mm=long(8.0), width_mm=long(3.0)), ()),
    ],
)
def test_marks(fry: Fry, marks: tuple[Mark, ...]) -> None:
    assert marks_of(fry, made_up.standard()) == marks


def test_length_is_what_the_standard_says() -> None:
    bent = replace(SOUND, length_mm=long(31.0), straight_mm=long(28.0))
    assert marks_of(bent, made_up.standard()) == ()
    assert marks_of(bent, replace(made_up.standard(), length_is="straight")) == (Mark.SHORT,)


def test_only_a_clean_split_is_beyond_doubt() -> None:
    assert not doubtful(replace(SOUND, flags=FryFlag.SPLIT_FROM_NEIGHBOUR))
    for flag in FryFlag:
        if flag is not FryFlag.SPLIT_FROM_NEIGHBOUR:
            assert doubtful(replace(SOUND, flags=flag))


def test_a_fry_without_length_is_no_crumb() -> None:
    assert not is_crumb(replace(SOUND, length_mm=None), made_up.standard())
    assert is_crumb(replace(SOUND, length_mm=long(9.9)), made_up.standard())


def test_every_mark_has_a_letter_of_its_own() -> None:
    assert len({mark.letter for mark in Mark}) == len(Mark)
    assert all(mark.words for mark in Mark)
