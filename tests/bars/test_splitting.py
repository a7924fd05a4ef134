"""Fries of the sample pictures found and told apart, held against their bars; none of these crosses another."""

import pytest

from tests.bars.grading import Graded
from tests.bars.main_job import Reached, line
from tests.bars.splitting import found_reached

pytestmark = pytest.mark.bar


@pytest.fixture(scope="module")
def reached(graded_samples: Graded) -> dict[str, Reached]:
    return {one.name: one for one in found_reached(graded_samples.scores)}


@pytest.mark.parametrize("group", ["spread", "touching", "mat"])
@pytest.mark.parametrize("figure", ["pq", "found", "false_share"])
def test_figure_reaches_its_bar(group: str, figure: str, reached: dict[str, Reached]) -> None:
    bar = reached[f"{group}: {figure}"]
    print(line(bar))
    assert bar.met, line(bar)


def test_outlines_lie_where_the_fries_do(reached: dict[str, Reached]) -> None:
    bar = reached["all but heaps: mean overlap"]
    print(line(bar))
    assert bar.met, line(bar)
