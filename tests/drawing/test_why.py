from dataclasses import replace

import numpy as np
import pytest

from grader.drawing.why import end_words, why_marked
from grader.fries.model import Fry, FryFlag, Measured
from tests.records import made_up

SOUND = made_up.fry(1, y=100)


def letters(fry: Fry) -> str:
    return "".join(why.letter for why in why_marked(fry, made_up.standard()))


def words(fry: Fry) -> str:
    return "\n".join(why.words for why in why_marked(fry, made_up.standard()))


def test_a_sound_fry_is_marked_for_nothing() -> None:
    assert why_marked(SOUND, made_up.standard()) == ()


@pytest.mark.parametrize(
    ("fry", "letter", "numbers"),
    [
        (replace(SOUND, length_mm=Measured(value=25.0, u=0.5)), "S", ("25.0 ± 0.5 mm", "below 30 mm")),
        (replace(SOUND, width_mm=Measured(value=4.0, u=0.3)), "N", ("4.0 ± 0.3 mm", "below 5 mm")),
        (replace(SOUND, width_mm=Measured(value=12.0, u=0.3)), "W", ("12.0 ± 0.3 mm", "9.5 mm", "1.5 mm")),
        (
            replace(SOUND, dark_end_mm=Measured(value=8.5, u=1.0), dark_end_dl=14.0),
            "D",
            ("8.5 ± 1.0 mm", "14 L* darker"),
        ),
        (replace(SOUND, length_mm=Measured(value=15.0, u=0.5)), "R", ("15.0 ± 0.5 mm", "below 20 mm")),
        (
            replace(SOUND, bow_mm=14.2, bow_share=Measured(value=0.142, u=0.01)),
            "B",
            ("14.2 mm beside", "14 % ± 1 %", "from 10 % on"),
        ),
        (
            replace(SOUND, end_gaps_mm=(Measured(value=0.3, u=0.4), Measured(value=2.2, u=0.4))),
            "T",
            ("its right end", "2.2 ± 0.4 mm", "from 1.5 mm"),
        ),
        (replace(SOUND, spots_mm=(3.5, 4.25)), "P", ("4.2, 3.5 mm", "from 3 mm")),
        (made_up.fry(1, y=100, lab=(45.0, 14.0, 28.0)), "C", ("on the scale", "2 to 3.3")),
        (made_up.fry(1, y=100, lab=(60.0, -40.0, 35.0)), "C", ("like no step",)),
    ],
)
def test_each_mark_is_told_with_the_frys_own_numbers(fry: Fry, letter: str, numbers: tuple[str, ...]) -> None:
    assert letters(fry) == letter
    assert all(number in words(fry) for number in numbers)


@pytest.mark.parametrize(
    ("way", "first", "last"),
    [((9, 1), "left", "right"), ((-9, 1), "right", "left"), ((1, 9), "upper", "lower"), ((1, -9), "lower", "upper")],
)
def test_an_end_is_called_by_where_it_lies_in_the_photo(way: tuple[int, int], first: str, last: str) -> None:
    fry = replace(SOUND, centreline_px=np.array([(50.0, 50.0), (50.0 + way[0], 50.0 + way[1])]))
    assert (end_words(fry, 0), end_words(fry, -1)) == (first, last)


def test_doubts_are_told_too_and_a_clean_split_is_no_doubt() -> None:
    assert letters(replace(SOUND, flags=FryFlag.SPLIT_FROM_NEIGHBOUR)) == ""
    assert "separated" in words(replace(SOUND, flags=FryFlag.SPLIT_FROM_NEIGHBOUR))
    assert letters(replace(SOUND, flags=FryFlag.END_HIDDEN | FryFlag.CLIPPED)) == "??"
