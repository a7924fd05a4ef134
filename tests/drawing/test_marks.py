from dataclasses import replace

import pytest

from grader.decision import is_crumb
from grader.drawing.marks import Mark, doubtful, marks_of, torn_ends
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
        (replace(SOUND, length_mm=long(19.9)), (Mark.SCRAP,)),
        (replace(SOUND, length_mm=long(20.0)), (Mark.SHORT,)),
        (replace(SOUND, bow_share=long(0.101)), (Mark.CURVED,)),
        (replace(SOUND, bow_share=long(0.099)), ()),
        (replace(SOUND, bow_share=None, end_gaps_mm=None), ()),
        (replace(SOUND, end_gaps_mm=(long(1.5), None)), (Mark.TORN_END,)),
        (replace(SOUND, end_gaps_mm=(long(1.4), long(1.4))), ()),
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


def test_what_a_standard_leaves_out_is_not_pointed_out() -> None:
    standard = made_up.standard()
    bare = replace(
        standard,
        defects=replace(standard.defects, scrap_below_mm=None, curved_from_bow_share=None, torn_end_from_mm=None),
    )
    odd = replace(SOUND, length_mm=long(15.0), bow_share=long(0.3), end_gaps_mm=(long(9.0), long(9.0)))
    assert marks_of(odd, bare) == (Mark.SHORT,)
    assert marks_of(odd, standard) == (Mark.SCRAP, Mark.CURVED, Mark.TORN_END)


def test_torn_ends_are_told_apart() -> None:
    torn, sound = long(2.0), long(0.1)
    assert torn_ends(replace(SOUND, end_gaps_mm=(torn, sound)), made_up.standard()) == (0,)
    assert torn_ends(replace(SOUND, end_gaps_mm=(None, torn)), made_up.standard()) == (-1,)
    assert torn_ends(replace(SOUND, end_gaps_mm=(torn, torn)), made_up.standard()) == (0, -1)


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
