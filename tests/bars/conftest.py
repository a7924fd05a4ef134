"""What the bars of colour and of sizes are held against."""

import pytest

from tests.bars.grading import Graded
from tests.scoring.plates import PlateScore


@pytest.fixture(scope="session")
def scores(graded_samples: Graded, graded_plates: Graded) -> tuple[PlateScore, ...]:
    """The sample pictures and the small plates."""
    return (*graded_samples.scores, *graded_plates.scores)
