from dataclasses import replace

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.fries.model import Fry
from grader.line.fry_numbers import chips_of
from grader.line.laid_strips import LaidError, score_strips
from tests.line.test_fry_numbers import CHIPS
from tests.records import made_up

STANDARD = made_up.standard()
PALE, DARK = np.array([68.0, 3.0, 32.0]), np.array([45.0, 14.0, 28.0])
CORNERS = np.array([[0.0, 0.0], [200.0, 0.0], [200.0, 100.0], [0.0, 100.0]])


def laid(x: float, y: float, *, stem_up: bool = True, dark_stem: bool = False, body: FloatArray = PALE) -> Fry:
    """An upright strip; its centreline may begin at either end."""
    line = np.array([[x, y - 80.0], [x, y], [x, y + 80.0]])
    stem, other = (DARK if dark_stem else body), body
    fry = made_up.graded("one").plate.fries[0]  # type: ignore[union-attr]
    ends = (stem, other) if stem_up else (other, stem)
    return replace(fry, centreline_px=line if stem_up else line[::-1], body_lab=body, end_labs=ends)


def turned(points: FloatArray, quarter: int) -> FloatArray:
    return np.asarray(points @ np.linalg.matrix_power(np.array([[0.0, 1.0], [-1.0, 0.0]]), quarter))


@pytest.mark.parametrize("quarter", range(4))
def test_strips_are_read_row_by_row_as_the_card_lies(quarter: int) -> None:
    """However the phone was held: the card says which way is up, and so which end is the stem's."""
    fries = [laid(100 + 60 * n, 300 + 5 * (n % 2), dark_stem=n == 1) for n in range(4)]
    fries += [laid(100 + 60 * n, 600, body=DARK) for n in range(2)]
    mixed = [fries[i] for i in (4, 2, 0, 5, 3, 1)]
    mixed = [replace(one, centreline_px=turned(one.centreline_px, quarter)) for one in mixed]
    told = score_strips(mixed, turned(CORNERS, quarter), planned=6, standard=STANDARD, chips=chips_of(CHIPS))
    assert [one.sugar_end for one in told] == [False, True, False, False, False, False]
    assert [one.place for one in told] == pytest.approx([2, 2, 2, 2, 4, 4])
    assert told[1].number is not None
    assert told[1].stem_number is not None
    assert told[1].stem_number > told[1].number + 1


def test_the_outline_may_begin_at_either_end() -> None:
    told = score_strips([laid(100, 300, stem_up=False, dark_stem=True)], CORNERS, planned=1, standard=STANDARD)
    assert told[0].sugar_end is True
    assert told[0].number is None


def test_a_strip_that_lies_aslant_has_a_body_and_no_stem_end() -> None:
    across = np.array([[0.0, 300.0], [80.0, 310.0], [160.0, 320.0]])
    told = score_strips(
        [replace(laid(80, 310, dark_stem=True), centreline_px=across)], CORNERS, planned=1, standard=STANDARD
    )
    assert told[0].sugar_end is None
    assert told[0].place == pytest.approx(2)


def test_other_than_the_planned_strips_are_refused() -> None:
    with pytest.raises(LaidError, match="2 pieces, and the basket has 3 strips"):
        score_strips([laid(100, 300), laid(200, 300)], CORNERS, planned=3, standard=STANDARD)
    strange = replace(laid(100, 300), body_lab=np.array([50.0, -60.0, 20.0]))
    assert score_strips([strange], CORNERS, planned=1, standard=STANDARD)[0].place is None
    unseen = replace(laid(100, 300), body_lab=None)
    assert score_strips([unseen], CORNERS, planned=1, standard=STANDARD)[0].place is None
