from dataclasses import replace

import pytest

from grader.drawing.why import why_marked
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
        (replace(SOUND, spots_mm=(3.5, 4.25)), "P", ("4.2, 3.5 mm", "from 3 mm")),
        (made_up.fry(1, y=100, lab=(45.0, 14.0, 28.0)), "C", ("on the scale", "2 to 3.3")),
        (made_up.fry(1, y=100, lab=(60.0, -40.0, 35.0)), "C", ("like no step",)),
    ],
)
def test_each_mark_is_told_with_the_frys_own_numbers(fry: Fry, letter: str, numbers: tuple[str, ...]) -> None:
    assert letters(fry) == letter
    assert all(number in words(fry) for number in numbers)


def test_doubts_are_told_too_and_a_clean_split_is_no_doubt() -> None:
    assert letters(replace(SOUND, flags=FryFlag.SPLIT_FROM_NEIGHBOUR)) == ""
    assert "separated" in words(replace(SOUND, flags=FryFlag.SPLIT_FROM_NEIGHBOUR))
    assert letters(replace(SOUND, flags=FryFlag.END_HIDDEN | FryFlag.CLIPPED)) == "??"
