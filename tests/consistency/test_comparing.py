"""Shifts compared: against Tukey's and Kramer's intervals, and by how often drawn ones hold the truth."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from grader.consistency.comparing import (
    Difference,
    Found,
    GroupedPlate,
    NothingToCompareError,
    chance_of_telling,
    compare_groups,
    simultaneous_factor,
)
from grader.consistency.reml import TooLittleToTellError
from tests.consistency.drawn_plates import grouped

SDS = (0.2, 0.15, 0.6)


def plain(rng: np.random.Generator) -> dict[str, list[float]]:
    """Three unequal groups."""
    return {name: rng.normal(mean, 1, n).tolist() for name, mean, n in (("A", 0, 7), ("B", 0.5, 9), ("C", 1.5, 5))}


def one_plate_a_batch(groups: dict[str, list[float]]) -> list[GroupedPlate]:
    return [
        GroupedPlate(group=name, batch=str(number), value=value)
        for name, values in groups.items()
        for number, value in enumerate(values)
    ]


def test_plates_without_batches_give_tukeys_and_kramers_intervals() -> None:
    """scipy.stats.tukey_hsd, which scipy's own tests hold against published examples."""
    groups = plain(np.random.default_rng(2))
    found = compare_groups(one_plate_a_batch(groups), worth_acting_on=0.5)
    reference = stats.tukey_hsd(*groups.values()).confidence_interval(0.95)
    lows, highs = np.asarray(reference.low), np.asarray(reference.high)
    pairs = {("B", "A"): (1, 0), ("C", "A"): (2, 0), ("C", "B"): (2, 1)}
    for one in found.differences:
        at = pairs[one.of, one.less]
        assert (one.low, one.high) == pytest.approx((lows[at], highs[at]), abs=2e-3)
        assert one.freedom == pytest.approx(18)
    assert found.sd_plates is None


@pytest.mark.parametrize(
    ("groups", "freedom", "printed"),
    [(3, 10, 3.88), (3, 20, 3.58), (4, 20, 3.96), (5, 10, 4.65), (3, float("inf"), 3.31)],
)
def test_studentized_range_is_that_of_the_tables(groups: int, freedom: float, printed: float) -> None:
    """Upper 5 % points of the studentized range, from memory of the printed tables; tukey_hsd above rests on scipy."""
    assert simultaneous_factor(groups, freedom) * np.sqrt(2) == pytest.approx(printed, abs=0.006)


def test_balanced_batches_give_the_mean_square_of_batches() -> None:
    """A textbook's nested analysis: the difference is held against batches, with batches less groups to go by."""
    rng = np.random.default_rng(4)
    plates = grouped(rng, (3.0, 3.2), (5, 5), sds=(0.2, 0.15, 0.0), plates=(3, 3))
    plates = [replace(plate, fries_u=0.0) for plate in plates]
    (one,) = compare_groups(plates, worth_acting_on=0.3).differences
    means = np.array([plate.value for plate in plates]).reshape(2, 5, 3).mean(axis=2)
    reference = stats.ttest_ind(means[1], means[0]).confidence_interval(0.95)
    assert (one.low, one.high) == pytest.approx((reference.low, reference.high), abs=1e-3)
    assert one.freedom == pytest.approx(8)


def test_all_intervals_together_hold_as_often_as_they_say() -> None:
    """200 draws of three unequal groups; the bar has unequal batches too."""
    held = 0
    for start in range(200):
        rng = np.random.default_rng([11, start])
        found = compare_groups(grouped(rng, (3.0, 3.0, 3.0), (3, 6, 4), sds=SDS, plates=(2, 2)), worth_acting_on=0.3)
        held += all(one.low <= 0 <= one.high for one in found.differences)
    assert held / 200 >= 0.92


def decided(means: tuple[float, float], *, worth: float, batches: int = 12, start: int = 1) -> Difference:
    plates = grouped(np.random.default_rng(start), means, (batches, batches), sds=(0.1, 0.1, 0.5))
    return compare_groups(plates, worth_acting_on=worth).differences[0]


def test_a_large_difference_differs_and_a_small_one_is_alike_enough() -> None:
    far = decided((3.0, 4.0), worth=0.3)
    assert (far.found, far.beyond, far.more) == (Found.DIFFER, True, None)
    assert far.of == "B"
    assert far.value == pytest.approx(1.0, abs=0.2)
    near = decided((3.0, 3.0), worth=0.5)
    assert (near.found, near.more) == (Found.ALIKE, None)
    shown = decided((3.0, 3.35), worth=0.4)
    assert (shown.found, shown.beyond) == (Found.DIFFER, False)


def test_too_few_to_tell_says_how_many_more() -> None:
    few, fewer = decided((3.0, 3.0), worth=0.12, batches=4), decided((3.0, 3.0), worth=0.12, batches=3)
    for one in (few, fewer):
        assert one.found is Found.CANT_TELL
        assert one.more is not None
        assert one.more.plates >= one.more.batches >= 1
    nearer = decided((3.0, 3.0), worth=0.10, batches=4)
    assert nearer.more is not None
    assert few.more is not None
    assert nearer.more.batches > few.more.batches


@pytest.mark.parametrize("value", [0.0, 0.05, 0.12, 0.3])
@pytest.mark.parametrize("half", [0.04, 0.12, 0.18, 0.25])
def test_the_chance_of_telling_is_what_drawn_intervals_do(value: float, half: float) -> None:
    drawn = np.random.default_rng(1).normal(value, half / 2, 20_000)
    told = (np.abs(drawn) + half < 0.2) | (np.abs(drawn) > half)
    assert chance_of_telling(value, half / 2, half, 0.2) == pytest.approx(told.mean(), abs=0.01)


def test_what_all_plates_of_a_group_share_is_never_averaged_away() -> None:
    rng = np.random.default_rng(3)
    plates = grouped(rng, (3.0, 3.0), (40, 40), sds=SDS)
    without = compare_groups(plates, worth_acting_on=0.3).differences[0]
    one = compare_groups(plates, worth_acting_on=0.3, shared_u=0.4).differences[0]
    assert without.found is Found.ALIKE
    assert (one.found, one.more) == (Found.CANT_TELL, None)
    assert one.high - one.low > 2 * 1.96 * np.sqrt(2) * 0.4


def test_lots_are_taken_out_where_shifts_share_them() -> None:
    rng = np.random.default_rng(6)
    plates = [
        GroupedPlate(
            group=group,
            batch=f"{lot}{batch}",
            lot=lot,
            value=(0.8 if lot == "late" else 0.0) + rng.normal(0, 0.05),
        )
        for group, late in (("A", 2), ("B", 8))
        for lot, batches in (("early", 10 - late), ("late", late))
        for batch in range(batches)
    ]
    across = compare_groups(plates, worth_acting_on=0.2).differences[0]
    within = compare_groups(plates, worth_acting_on=0.2, within_lots=True)
    assert across.value > 0.3
    assert within.differences[0].found is Found.ALIKE
    assert within.within_lots
    own = [replace(plate, lot=plate.group) for plate in plates]
    with pytest.raises(NothingToCompareError, match="can't be told apart"):
        compare_groups(own, worth_acting_on=0.2, within_lots=True)


def test_hardly_known_differences_have_wide_intervals_and_no_missing_ones() -> None:
    """By formula their degrees of freedom come to 0.02; a variance is known by one at least."""
    readings = {("early", "b0"): (3.072, 3.161, 3.356), ("late", "b0"): (3.125, 3.05, 3.248), ("late", "b1"): (3.03,)}
    plates = [
        GroupedPlate(group=group, batch=batch, value=value, fries_u=0.07)
        for (group, batch), values in readings.items()
        for value in values
    ]
    (told,) = compare_groups(plates, worth_acting_on=0.3).differences
    assert told.found is Found.CANT_TELL
    assert told.low < told.value < told.high


def test_what_cant_be_compared_is_refused_in_words() -> None:
    one = GroupedPlate(group="A", batch="1", value=3.0)
    with pytest.raises(NothingToCompareError, match="one group"):
        compare_groups([one, replace(one, batch="2")], worth_acting_on=0.3)
    with pytest.raises(TooLittleToTellError, match="2 batches of 2 groups"):
        compare_groups([one, replace(one, group="B")], worth_acting_on=0.3)
