"""A graded photo mended: a photograph of bars of which everything is known, one of them under another."""

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest
from scipy import ndimage

from grader.arrays import LabelArray, frozen
from grader.card.plane import px_per_mm
from grader.colour.difference import ciede2000
from grader.decision import judge_plate
from grader.errors import DocumentFaulty, GraderError
from grader.fries.finding import TOUCHING_MM, ground_of
from grader.fries.measuring import measure_fries
from grader.fries.mends import Drop, Join, Mend, Restore, Split
from grader.fries.model import Fry, FryFlag, Plate
from grader.fries.outline import trace_outlines
from grader.grading import GradedPhoto, grade_photo, judge_photos, laid_by
from grader.mending import mend_photo, unmended
from grader.records.guarded import without_pixels
from grader.standard import load_shipped
from tests.fries.photographs import SEEN_BY, file_of, picture
from tests.fries.solids import BROWN, GOLDEN, PALE, Bar, label_of
from tests.records import made_up

STANDARD = load_shipped()["strips-9.5mm-skin-on"]
AT = datetime(2026, 3, 5, 12, 10, tzinfo=UTC)
BELOW = Bar(middle=(215, 40), length=84, heading_deg=15)
BARS = (
    BELOW,
    Bar(middle=(215, 40), length=70, heading_deg=105, ground_mm=9.5),
    Bar(middle=(215, -45), length=90),
    Bar(middle=(210, -22), length=75, heading_deg=8),
    Bar(middle=(170, 130), length=60, heading_deg=-12),
    Bar(middle=(245, 130), length=66, heading_deg=5),
)
LABS = (BROWN, GOLDEN, PALE, GOLDEN, GOLDEN, PALE)
FIRST, ACROSS, SOUND, SECOND = 1, 2, 3, 7
"""Numbers: the lower bar's larger part, what lies over it, one that lies apart, the lower bar's other part."""


def labels() -> LabelArray:
    """Which bar is where, the two parts of the lower one numbered apart."""
    true = label_of(list(BARS), SEEN_BY)
    parts, _ = ndimage.label(true == FIRST)
    true[parts == np.argsort(np.bincount(parts.ravel())[1:])[0] + 1] = SECOND
    return frozen(true)


@pytest.fixture(scope="module")
def graded() -> GradedPhoto:
    """The photo with each part for a fry of its own, as a finder that can't tell would leave it."""
    found = grade_photo(file_of(picture(bars=BARS, labs=LABS)), name="crossed.jpg", standard=STANDARD)
    assert found.photo is not None
    assert found.sheet is not None
    assert found.colour is not None
    fries = measure_fries(
        found.photo.pixels,
        labels(),
        trace_outlines(labels(), reach_px=TOUCHING_MM * px_per_mm(found.sheet)),
        found.sheet.camera,
        found.colour,
        ground=ground_of(found.sheet, laid_by(STANDARD), heaped=False),
    )
    plate = Plate(fries=fries, labels=labels(), heaped=False)
    return replace(found, plate=plate, verdict=judge_plate(fries, STANDARD))


def mended(graded: GradedPhoto, *mends: Mend) -> GradedPhoto:
    return mend_photo(graded, mends, standard=STANDARD)


def fry(graded: GradedPhoto, number: int) -> Fry:
    assert graded.plate is not None
    return next(one for one in graded.plate.fries if one.number == number)


def numbers(graded: GradedPhoto) -> list[int]:
    assert graded.plate is not None
    assert set(np.unique(graded.plate.labels)) - {0} == {one.number for one in graded.plate.fries}
    return [one.number for one in graded.plate.fries]


def join(*parts: int, becomes: int) -> Join:
    return Join(numbers=parts, becomes=becomes, by="AB", at=AT)


def drop(*some: int) -> Drop:
    return Drop(numbers=some, by="AB", at=AT)


def halved(one: Fry, *becomes: int) -> Split:
    """Across the middle of a fry."""
    middle = one.centreline_px[len(one.centreline_px) // 2]
    x, y = (one.centreline_px[-1] - one.centreline_px[0]) / 4
    line = (float(middle[0] + y), float(middle[1] - x)), (float(middle[0] - y), float(middle[1] + x))
    return Split(number=one.number, line_px=line, becomes=(becomes[0], becomes[1]), by="AB", at=AT)


def test_two_parts_joined_are_one_fry_with_the_length_of_the_bar(graded: GradedPhoto) -> None:
    assert fry(graded, FIRST).length_mm is None
    now = mended(graded, join(FIRST, SECOND, becomes=8))
    joined = fry(now, 8)
    assert numbers(now) == [2, 3, 4, 5, 6, 8]
    assert joined.whole
    assert joined.length_mm is not None
    assert joined.width_mm is not None
    assert joined.colour is not None
    assert joined.length_mm.value == pytest.approx(BELOW.length, abs=1.5)
    assert joined.width_mm.value == pytest.approx(BELOW.width, abs=0.8)
    assert not joined.flags & (FryFlag.END_HIDDEN | FryFlag.ODD_SHAPE)
    assert ciede2000(joined.colour.lab, np.array(BROWN)) < 3.5


def test_only_what_was_touched_is_measured_again(graded: GradedPhoto) -> None:
    now = mended(graded, join(FIRST, SECOND, becomes=8), halved(fry(graded, SOUND), 9, 10), drop(4))
    for number in (ACROSS, 5, 6):
        assert fry(now, number) is fry(graded, number)


def test_the_verdict_is_the_mended_fries_own_and_the_one_before_is_kept(graded: GradedPhoto) -> None:
    mends = join(FIRST, SECOND, becomes=8), drop(4)
    now = mended(graded, *mends)
    assert now.plate is not None
    assert now.mending is not None
    assert now.verdict == judge_plate(now.plate.fries, STANDARD) != graded.verdict
    assert now.mending.mends == mends
    assert now.mending.plate is graded.plate
    assert now.mending.verdict == graded.verdict
    assert [one.number for one in now.mending.dropped] == [4]
    assert judge_photos([now], STANDARD) == now.verdict
    assert judge_photos([unmended(now)], STANDARD) == graded.verdict


def test_a_fry_split_and_joined_again_measures_what_it_did(graded: GradedPhoto) -> None:
    sound = fry(graded, SOUND)
    apart = halved(sound, 8, 9)
    halves = mended(graded, apart)
    again = fry(mended(graded, apart, join(8, 9, becomes=10)), 10)
    assert halves.plate is not None
    assert np.isin(halves.plate.labels, (8, 9)).sum() == (labels() == SOUND).sum()
    # In mm2 a little is missing: each edge of a half is put to the height of a fry's edge, a cut through it as well.
    assert fry(halves, 8).area_mm2 + fry(halves, 9).area_mm2 == pytest.approx(sound.area_mm2, rel=0.05)
    assert again.length_mm == sound.length_mm
    assert again.width_mm == sound.width_mm
    assert again.dark_end_mm == sound.dark_end_mm
    assert again.flags == sound.flags


def test_dropped_and_restored_is_the_plate_as_it_was(graded: GradedPhoto) -> None:
    back = Restore(numbers=(4,), by="CD", at=AT)
    gone, restored = mended(graded, drop(4)), mended(graded, drop(4), back)
    assert numbers(gone) == [1, 2, 3, 5, 6, 7]
    assert restored.plate is not None
    assert graded.plate is not None
    assert restored.plate.fries == graded.plate.fries
    assert (restored.plate.labels == graded.plate.labels).all()
    assert restored.verdict == graded.verdict
    assert restored.mending is not None, "that somebody was there stays told"


def test_what_was_dropped_still_hides_what_lies_below(graded: GradedPhoto) -> None:
    joined = join(FIRST, SECOND, becomes=8)
    with_it, without_it = fry(mended(graded, joined), 8), fry(mended(graded, joined, drop(ACROSS)), 8)
    assert with_it.length_mm == without_it.length_mm
    assert with_it.flags == without_it.flags


def test_mends_replace_those_before_and_none_gives_the_photo_as_it_was_found(graded: GradedPhoto) -> None:
    once = mended(graded, drop(4))
    other = mended(once, drop(5))
    assert numbers(other) == numbers(mended(graded, drop(5)))
    assert mended(other) is not other
    assert mended(other).plate is graded.plate
    assert mended(other).mending is None
    assert unmended(graded) is graded


def test_what_contradicts_and_what_is_not_at_hand_is_refused(graded: GradedPhoto) -> None:
    with pytest.raises(DocumentFaulty, match="no fry 99"):
        mended(graded, drop(99))
    with pytest.raises(GraderError, match="not at hand"):
        mended(without_pixels(graded), drop(4))
    with pytest.raises(GraderError, match="not at hand"):
        mended(made_up.refused(), drop(4))


def test_without_pixels_neither_plate_keeps_its_labels(graded: GradedPhoto) -> None:
    light = without_pixels(mended(graded, drop(4)))
    assert light.photo is None
    assert light.plate is not None
    assert light.mending is not None
    assert light.plate.labels.size == light.mending.plate.labels.size == 0
    assert light.mending.plate.fries
