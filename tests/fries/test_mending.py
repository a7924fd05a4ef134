"""The laws of mending, on plates of bars whose every pixel is known."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.arrays import LabelArray, frozen
from grader.errors import DocumentFaulty
from grader.fries.mending import MendedLabels, apply_mends
from grader.fries.mends import (
    Drop,
    Join,
    Mend,
    PointPx,
    Restore,
    Split,
    free_numbers,
    made,
    mend_words,
    named,
    resting_on,
    taken_back,
)
from grader.fries.model import NoFry, Plate, Thing
from tests.records import made_up

AT = datetime(2026, 3, 5, 12, 10, tzinfo=UTC)
BARS = 6
WIDE, TALL, PITCH = 60, 10, 20
LEAST_PX = 30.0


def bars() -> LabelArray:
    """Bars 1 to 6 below each other; 1 and 2 touch along their sides, the others lie apart."""
    labels = np.zeros((BARS * PITCH + 10, WIDE + 20), np.uint16)
    for number in range(1, BARS + 1):
        top = 10 if number == 1 else PITCH * (number - 1)
        labels[top : top + TALL, 10 : 10 + WIDE] = number
    return frozen(labels)


def plate() -> Plate:
    fries = tuple(made_up.fry(number, y=PITCH * number) for number in range(1, BARS + 1))
    return Plate(fries=fries, labels=bars(), heaped=False)


def mended(*mends: Mend) -> MendedLabels:
    return apply_mends(plate(), mends, least_px=LEAST_PX)


def join(*numbers: int, becomes: int) -> Join:
    return Join(numbers=numbers, becomes=becomes, by="AB", at=AT)


def drop(*numbers: int) -> Drop:
    return Drop(numbers=numbers, by="AB", at=AT)


def restore(*numbers: int) -> Restore:
    return Restore(numbers=numbers, by="AB", at=AT)


def split(number: int, *becomes: int, line: tuple[PointPx, PointPx]) -> Split:
    first, second = becomes
    return Split(number=number, line_px=line, becomes=(first, second), by="AB", at=AT)


def upright(x: float) -> tuple[PointPx, PointPx]:
    """A line over the whole picture, downwards: its left is the picture's right."""
    return (x, 0.0), (x, BARS * PITCH + 5.0)


def areas(labels: LabelArray) -> dict[int, int]:
    numbers, counts = np.unique(labels, return_counts=True)
    return dict(zip(numbers.tolist(), counts.tolist(), strict=True))


def faults(*mends: Mend) -> str:
    with pytest.raises(DocumentFaulty) as refused:
        mended(*mends)
    assert refused.value.hint
    return str(refused.value)


# --- laws ---


@st.composite
def mend_lists(draw: st.DrawFn, most: int = 6) -> list[Mend]:
    """Mends that fit each other, drawn one after the other."""
    mends: list[Mend] = []
    for _ in range(draw(st.integers(0, most))):
        now = mended(*mends)
        one, other = free_numbers(range(1, BARS + 1), mends, count=2)
        kinds = ["drop", "split"] * bool(now.standing) + ["restore"] * bool(now.dropped)
        kinds += ["join"] * (len(now.standing) > 1)
        if not kinds:
            break
        kind = draw(st.sampled_from(kinds))
        if kind == "join":
            two = draw(st.lists(st.sampled_from(now.standing), min_size=2, max_size=3, unique=True))
            mends.append(join(*two, becomes=one))
        elif kind == "split":
            number = draw(st.sampled_from(now.standing))
            columns = np.flatnonzero((now.lying == number).any(axis=0))
            first, last = float(columns[0]) + LEAST_PX / TALL, float(columns[-1]) - LEAST_PX / TALL
            if first > last:
                continue
            at = draw(st.floats(first, last))
            if round(at) not in columns:  # parts of one fry, and the line between them
                continue
            mends.append(split(number, one, other, line=upright(at)))
        else:
            among = now.standing if kind == "drop" else now.dropped
            some = draw(st.lists(st.sampled_from(among), min_size=1, max_size=2, unique=True))
            mends.append(drop(*some) if kind == "drop" else restore(*some))
    return mends


@given(mend_lists())
def test_no_pixel_is_won_or_lost_and_what_is_not_touched_stays(mends: list[Mend]) -> None:
    now = mended(*mends)
    assert ((now.lying > 0) == (bars() > 0)).all()
    touched = {number for mend in mends for number in named(mend)}
    for number in set(range(1, BARS + 1)) - touched:
        assert ((now.lying == number) == (bars() == number)).all()
    assert set(areas(now.labels)) - {0} == set(now.standing)
    assert set(areas(now.lying)) - {0} == set(now.standing) | set(now.dropped)
    assert set(now.fresh) <= {number for mend in mends for number in made(mend)}


@given(mend_lists(), st.data())
def test_a_mend_may_be_taken_back_with_what_rests_on_it(mends: list[Mend], data: st.DataObject) -> None:
    while mends:
        place = data.draw(st.integers(0, len(mends) - 1))
        left = taken_back(mends, place)
        assert len(left) < len(mends)
        mended(*left)
        mends = list(left)
    assert areas(mended().labels) == areas(bars())


@given(
    seam=st.floats(14.0, WIDE + 6.0),
    lean=st.floats(-3.0, 3.0),
    number=st.integers(1, BARS),
)
def test_joining_and_splitting_along_the_seam_gives_back_the_areas(seam: float, lean: float, number: int) -> None:
    middle = float(np.nonzero((bars() == number).any(axis=1))[0].mean())
    line = (seam - lean, middle - 20.0), (seam + lean, middle + 20.0)
    line = ((line[0][0], max(line[0][1], 0.0)), line[1])
    apart = split(number, 7, 8, line=line)
    once = mended(apart)
    again = mended(apart, join(7, 8, becomes=9), split(9, 10, 11, line=line))
    assert areas(again.lying)[10] == areas(once.lying)[7]
    assert areas(again.lying)[11] == areas(once.lying)[8]
    assert ((again.lying == 10) == (once.lying == 7)).all()


def test_two_touching_bars_joined_and_split_along_their_sides_are_the_same_bars_again() -> None:
    seam = 19.5
    again = mended(join(1, 2, becomes=7), split(7, 8, 9, line=((0.0, seam), (79.0, seam))))
    assert ((again.lying == 8) == (bars() == 1)).all(), "the first is on the left of the way, seen in the picture"
    assert ((again.lying == 9) == (bars() == 2)).all()


@given(mend_lists(), st.lists(st.integers(1, BARS), min_size=1, unique=True))
def test_dropping_and_restoring_is_as_if_nothing_had_been_done(mends: list[Mend], numbers: list[int]) -> None:
    before = mended(*mends)
    here = [number for number in numbers if number in before.standing]
    if not here:
        return
    after = mended(*mends, drop(*here), restore(*reversed(here)))
    assert (after.lying == before.lying).all()
    assert (after.labels == before.labels).all()
    assert (after.standing, after.dropped, after.fresh) == (before.standing, before.dropped, before.fresh)


INDEPENDENT: Sequence[Mend] = (
    join(1, 2, becomes=7),
    split(3, 8, 9, line=upright(30.0)),
    drop(4),
    split(5, 10, 11, line=upright(55.0)),
)


@given(st.permutations(INDEPENDENT))
def test_the_order_of_mends_that_touch_different_fries_makes_no_difference(order: list[Mend]) -> None:
    assert (mended(*order).lying == mended(*INDEPENDENT).lying).all()
    assert mended(*order).standing == mended(*INDEPENDENT).standing == (6, 7, 8, 9, 10, 11)
    assert mended(*order).dropped == (4,)


def test_what_was_dropped_still_lies_there_but_has_no_label() -> None:
    now = mended(drop(3))
    assert areas(now.lying)[3] == WIDE * TALL
    assert 3 not in areas(now.labels)
    assert not now.labels.flags.writeable


# --- what is refused ---


@pytest.mark.parametrize(
    ("mends", "told"),
    [
        ([join(1, 99, becomes=7)], "there is no fry 99"),
        ([join(1, becomes=7)], "at least two"),
        ([join(1, 1, becomes=7)], "twice"),
        ([join(becomes=7)], "names no fry"),
        ([drop(2), join(1, 2, becomes=7)], "fry 2 was dropped before"),
        ([drop(2), drop(2)], "fry 2 was dropped before"),
        ([join(1, 2, becomes=7), drop(1)], "fry 1 is no longer there (1 and 2 joined: now 7)"),
        ([restore(2)], "fry 2 was not dropped"),
        ([restore(99)], "there is no fry 99"),
        ([join(1, 2, becomes=3)], "a number that is taken: 3"),
        ([join(1, 2, becomes=0)], "between 1 and 65535"),
        ([split(3, 7, 7, line=upright(30.0))], "to both parts"),
        ([split(3, 7, 8, line=((30.0, 100.0), (30.0, 110.0)))], "doesn't touch fry 3"),
        ([split(3, 7, 8, line=((5.0, 41.0), (5.5, 50.0)))], "doesn't touch fry 3"),
        ([split(3, 7, 8, line=upright(11.0))], "less than a crumb"),
        ([split(3, 7, 8, line=((30.0, 41.0), (30.0, 41.0)))], "both points are the same"),
        ([split(3, 7, 8, line=((30.0, -9.0), (30.0, 41.0)))], "outside the photo"),
        ([split(3, 7, 8, line=((30.0, float("nan")), (30.0, 41.0)))], "outside the photo"),
        ([replace(drop(2), by="  ")], "initials are wanted"),
        ([replace(drop(2), by="A" * 121)], "initials are wanted"),
    ],
)
def test_what_contradicts_is_refused_with_what_is_wrong(mends: list[Mend], told: str) -> None:
    assert told in faults(*mends)


def test_all_faults_are_told_at_once_and_none_that_only_follow() -> None:
    told = faults(
        join(1, 99, becomes=7),
        drop(7),  # no fault of its own: what 7 is nobody knows
        split(98, 8, 9, line=upright(30.0)),
        replace(drop(2), by=""),
        drop(3),
    )
    assert told.count("mend ") == 3
    assert all(words in told for words in ("mend 1", "mend 3", "mend 4", "fry 99", "fry 98", "initials"))


# --- words and what rests on what ---


def test_mends_are_told_in_a_few_words() -> None:
    assert [mend_words(mend) for mend in INDEPENDENT] == [
        "1 and 2 joined: now 7",
        "3 split: now 8 and 9",
        "4 dropped",
        "5 split: now 10 and 11",
    ]
    assert mend_words(restore(1, 2, 3)) == "1, 2 and 3 restored"


def test_what_rests_on_a_mend_goes_with_it() -> None:
    mends: list[Mend] = [
        join(1, 2, becomes=7),
        drop(3),
        split(7, 8, 9, line=upright(30.0)),
        drop(8),
        restore(3),
        drop(4),
    ]
    assert resting_on(mends, 0) == (2, 3)
    assert resting_on(mends, 1) == (4,)
    assert resting_on(mends, 5) == ()
    assert taken_back(mends, 0) == (drop(3), restore(3), drop(4))


def test_new_numbers_are_those_after_all_that_ever_were() -> None:
    assert free_numbers((1, 2, 3), (), count=2) == (4, 5)
    assert free_numbers((1, 2), (join(1, 2, becomes=9),), count=1) == (10,)
    assert free_numbers((), (), count=1) == (1,)


def test_what_was_told_to_be_no_fry_may_be_restored_and_counts_then() -> None:
    whole = plate()
    stick = whole.fries[-1]
    labels = whole.labels.copy()
    pixels = np.flatnonzero(labels == stick.number)
    np.put(labels, pixels, 0)
    left_out = NoFry(fry=stick, thing=Thing.STICK, pixels=pixels)
    parted = replace(whole, fries=whole.fries[:-1], labels=frozen(labels), no_fries=(left_out,))
    restored = apply_mends(parted, [Restore(numbers=(stick.number,), by="AB", at=AT)], least_px=LEAST_PX)
    assert restored.standing == tuple(fry.number for fry in whole.fries)
    assert restored.fresh == ()
    np.testing.assert_array_equal(restored.labels, whole.labels)
    untouched = apply_mends(parted, [drop(1)], least_px=LEAST_PX)
    assert untouched.dropped == (1, stick.number)
    assert not (untouched.labels == stick.number).any()
