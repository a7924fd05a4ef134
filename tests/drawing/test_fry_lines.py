from dataclasses import replace

import numpy as np
import pytest

from grader.arrays import ByteArray, MaskArray
from grader.drawing.fry_lines import DrawnFry, draw_lines, fry_texts, placed, strip_area, zigzag
from grader.drawing.view import View
from grader.fries.model import Fry, Measured
from tests.records import made_up

AS_IT_IS = View(left=0, top=0, right=900, bottom=700, width_px=900)


def shown(place: int, *, dropped: bool = False) -> DrawnFry:
    return placed(made_up.fries()[place], AS_IT_IS, made_up.standard(), dropped=dropped)


def drawn(one: DrawnFry) -> ByteArray:
    picture = np.full((700, 900, 3), 120, np.uint8)
    draw_lines(picture, one)
    return picture


def test_what_is_written_on_a_fry_gets_shorter_step_by_step() -> None:
    assert fry_texts(shown(0))[0] == "1 · 100"
    assert fry_texts(shown(1)) == ("2 · 75 DP", "2 DP", "2")
    assert fry_texts(shown(3))[0].endswith("?")
    assert fry_texts(shown(1, dropped=True)) == ("2 ×",)


def test_lines_differ_without_their_colours() -> None:
    """Sound, pointed out, doubtful and dropped fries are told apart by how much of the same outline is inked."""
    grey = {}
    for name, one in {
        "sound": shown(0),
        "pointed out": shown(1),
        "doubtful": shown(3),
        "dropped": shown(0, dropped=True),
    }.items():
        top = one.outline[:, 1].min()
        row = drawn(one)[int(top) - 6 : int(top) + 7, 140:300]
        inked = (row.astype(int) - 120 != 0).any(axis=-1)
        grey[name] = (inked.any(axis=0).mean(), inked.sum(axis=0).max())
    assert grey["sound"][0] == grey["pointed out"][0] == 1.0
    assert grey["pointed out"][1] >= grey["sound"][1] + 2
    assert 0.3 < grey["doubtful"][0] < 0.95
    assert grey["doubtful"][1] > grey["dropped"][1]


def lines_of(fry: Fry) -> MaskArray:
    """(h, w) where what is drawn of a fry differs from what is drawn of the same with nothing to point out."""
    sound = replace(fry, bow_share=None, end_gaps_mm=None)
    one, other = (drawn(placed(f, AS_IT_IS, made_up.standard())) for f in (fry, sound))
    inner = np.zeros(one.shape[:2], bool)
    left, top = fry.outline_px.min(axis=0).astype(int) + 10
    right, bottom = fry.outline_px.max(axis=0).astype(int) - 10
    inner[top:bottom, left:right] = True
    return np.asarray((one != other).any(axis=-1) & inner)


def test_a_bow_has_a_string_from_end_to_end_and_a_torn_end_a_zigzag_at_that_end() -> None:
    """Told by where they are drawn: on a grey screen too."""
    fry, much = made_up.fries()[0], Measured(value=5.0, u=0.4)
    string = np.flatnonzero(lines_of(replace(fry, bow_share=Measured(value=0.2, u=0.01))).any(axis=0))
    assert np.ptp(string) > 370
    assert (np.diff(string) == 1).all()
    left, right = (lines_of(replace(fry, end_gaps_mm=gaps)) for gaps in ((much, None), (None, much)))
    assert np.flatnonzero(left.any(axis=0)).max() < 60
    assert np.flatnonzero(right.any(axis=0)).min() > 420


def test_a_zigzag_is_as_wide_as_asked_and_turns_at_each_tooth() -> None:
    line = zigzag(np.array([5.0, 5.0]), np.array([1.0, 0.0]), 16.0)
    assert np.ptp(line[:, 1]) == pytest.approx(16.0)
    assert set(np.sign(np.diff(line[:, 0]))) == {-1.0, 1.0}
    assert (np.diff(np.sign(np.diff(line[:, 0]))) != 0).all()


def test_a_strip_is_as_wide_as_asked() -> None:
    area = strip_area(np.array([(0.0, 0.0), (10.0, 0.0), (20.0, 0.0)]), 6.0)
    assert np.ptp(area[:, 1]) == pytest.approx(6.0)
    assert np.ptp(area[:, 0]) == pytest.approx(20.0)
