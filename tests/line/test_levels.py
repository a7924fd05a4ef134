from pathlib import Path

import numpy as np
import pytest

from grader.errors import DocumentFaulty
from grader.line.levels import LevelPlate, LevelsError, compare_levels, plan_levels, plan_text, read_levels


def fried(rng: np.random.Generator, means: dict[float, float], each: dict[float, int], sd: float) -> list[LevelPlate]:
    return [
        LevelPlate(level=level, place=float(mean + sd * rng.normal()))
        for level, mean in means.items()
        for _ in range(each[level])
    ]


def test_agrees_with_statsmodels() -> None:
    """Its Tukey and Kramer intervals, unequal numbers of plates."""
    from statsmodels.stats.multicomp import pairwise_tukeyhsd

    rng = np.random.default_rng(1)
    plates = fried(rng, {0.5: 4.2, 2.0: 3.9, 6.0: 3.2}, {0.5: 4, 2.0: 3, 6.0: 5}, 0.2)
    told = compare_levels(plates)
    by_them = pairwise_tukeyhsd([one.place for one in plates], [one.level for one in plates])
    assert [one.difference for one in told.apart] == pytest.approx(by_them.meandiffs.tolist())
    intervals = np.array([[one.low, one.high] for one in told.apart])
    assert intervals == pytest.approx(by_them.confint, abs=1e-4)
    assert [one.differ for one in told.apart] == by_them.reject.tolist()


def test_levels_that_do_nothing_are_rarely_told_apart() -> None:
    rng, levels = np.random.default_rng(2), {1.0: 4.0, 2.0: 4.0, 3.0: 4.0, 4.0: 4.0}
    apart = np.mean(
        [any(one.differ for one in compare_levels(fried(rng, levels, dict.fromkeys(levels, 3), 0.2)).apart)
         for _ in range(400)]
    )  # fmt: skip
    print(f"four levels alike: any two told apart in {apart:.1%} (5 % stated)")
    assert apart <= 0.08


def test_only_levels_surely_in_the_target_are_called_so() -> None:
    plates = fried(np.random.default_rng(3), {1.0: 5.2, 6.0: 3.8}, {1.0: 4, 6.0: 4}, 0.1)
    short, long_ = compare_levels(plates).means
    assert not short.surely_within(2.9, 4.7)
    assert long_.surely_within(2.9, 4.7)


def test_a_plan_holds_every_level_as_often_in_drawn_order(tmp_path: Path) -> None:
    planned = plan_levels([0.5, 2, 6], each=4, seed=1)
    assert sorted(planned) == [0.5] * 4 + [2] * 4 + [6] * 4
    assert list(planned) != sorted(planned)
    table = tmp_path / "soak.csv"
    table.write_text(plan_text(planned), encoding="utf-8")
    with pytest.raises(DocumentFaulty, match="12 fault"):
        read_levels(table)
    table.write_text(plan_text(planned).replace(",\r", ",3.5\r"), encoding="utf-8", newline="")
    assert len(read_levels(table)) == 12


@pytest.mark.parametrize(("levels", "each"), [([1.0], 4), ([1.0, 1.0], 4), ([1.0, 2.0], 1)])
def test_what_can_tell_nothing_is_not_planned(levels: list[float], each: int) -> None:
    with pytest.raises(LevelsError, match="no trial"):
        plan_levels(levels, each=each, seed=1)
    with pytest.raises(LevelsError, match="tell nothing"):
        compare_levels([LevelPlate(level=1.0, place=3.0), LevelPlate(level=2.0, place=4.0)])
