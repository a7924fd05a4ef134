from dataclasses import replace

import numpy as np
import pytest

from grader.arrays import ByteArray, FloatArray
from grader.drawing import ink
from grader.drawing.fry_lines import DrawnFry, fry_texts, placed
from grader.drawing.ink import text_size
from grader.drawing.labels import SMALLEST_PX, write_labels
from grader.drawing.view import View
from grader.fries.model import Fry
from tests.records import made_up

AS_IT_IS = View(left=0, top=0, right=900, bottom=700, width_px=900)
GROUND = 120


def shown(fry: Fry) -> DrawnFry:
    return placed(fry, AS_IT_IS, made_up.standard())


def upright(number: int, x: float) -> Fry:
    """Across the level ones."""
    centreline = np.array([(x, 40.0), (x, 440.0)])
    outline = np.array([(x - 18, 40.0), (x + 18, 40.0), (x + 18, 440.0), (x - 18, 440.0)])
    return replace(made_up.fry(number, y=0), outline_px=outline, centreline_px=centreline)


def written(*drawn: DrawnFry) -> ByteArray:
    picture = np.full((700, 900, 3), GROUND, np.uint8)
    write_labels(picture, [(one, fry_texts(one)) for one in drawn])
    return picture


def inked(picture: ByteArray) -> FloatArray:
    """(k, 2) x, y of what is written."""
    rows, columns = np.nonzero((picture != GROUND).any(axis=-1))
    return np.column_stack([columns, rows]).astype(float)


def test_letters_are_never_smaller_than_a_phone_shows() -> None:
    """360 px of screen, margins off, show 1600 px of picture: 44 px of letters are then 9 px."""
    tiny = inked(written(shown(made_up.fry(5, y=300, length_px=20))))
    assert np.ptp(tiny[:, 1]) >= text_size("5", SMALLEST_PX)[1] * 0.7


def test_letters_leave_a_dark_end_free() -> None:
    """The made-up fry has its dark end at the right: 8.5 of 75 mm, 4 px a mm."""
    dark = shown(made_up.fries()[1])
    assert inked(written(dark))[:, 0].max() < dark.centreline[-1, 0] - 8.5 * 4


def test_a_fry_alone_has_its_words_in_the_middle() -> None:
    assert inked(written(shown(made_up.fry(1, y=300)))).mean(axis=0) == pytest.approx((240, 300), abs=12)


def test_where_fries_cross_neither_hides_the_other_s_words(monkeypatch: pytest.MonkeyPatch) -> None:
    alone: list[set[tuple[float, ...]]] = []

    def keep(_: ByteArray, text: str, centre: FloatArray, way: FloatArray, size: int) -> None:
        picture = np.full((700, 900, 3), GROUND, np.uint8)
        ink.write_turned(picture, text, centre, way, size)
        alone.append(set(map(tuple, inked(picture).tolist())))

    monkeypatch.setattr("grader.drawing.labels.write_turned", keep)
    written(shown(made_up.fry(1, y=240)), shown(upright(2, 240.0)))
    level, across = alone
    assert level
    assert across
    assert not level & across


def test_words_of_an_odd_shape_lie_on_it() -> None:
    """The middle line of a hook runs beside it."""
    hook = np.array([(100, 100), (500, 100), (500, 150), (150, 150), (150, 500), (100, 500)], float)
    fry = replace(made_up.fry(1, y=100), outline_px=hook, centreline_px=np.array([(480.0, 480.0), (490.0, 490.0)]))
    x, y = inked(written(shown(fry))).mean(axis=0)
    assert x < 190 or y < 190


def test_a_fry_without_a_middle_line_has_no_words() -> None:
    assert not len(inked(written(shown(replace(made_up.fry(1, y=100), centreline_px=np.zeros((1, 2)))))))
