"""What the bars of colour and of sizes are held against."""

from pathlib import Path

import pytest

from tests.bars.grading import Graded, grade_and_score
from tests.bars.shapes import Taken, things_taken
from tests.scoring.plates import PlateScore


@pytest.fixture(scope="session")
def scores(graded_samples: Graded, graded_plates: Graded) -> tuple[PlateScore, ...]:
    """The sample pictures and the small plates."""
    return (*graded_samples.scores, *graded_plates.scores)


SHAPES = Path(__file__).parent.parent / "shapes"


@pytest.fixture(scope="session")
def shape_results(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where `graded_shapes` writes what it read of the strips."""
    return tmp_path_factory.mktemp("shapes") / "strips"


@pytest.fixture(scope="session")
def graded_shapes(tmp_path_factory: pytest.TempPathFactory, shape_results: Path) -> tuple[PlateScore, ...]:
    """The plates of `tests/shapes`, wedges by a standard of their own."""
    wedges = tmp_path_factory.mktemp("wedges") / "graded"
    standard = SHAPES / "wedges" / "standard.toml"
    return (
        *grade_and_score(SHAPES / "wedges", wedges, standard=standard).scores,
        *grade_and_score(SHAPES / "strips", shape_results).scores,
    )


@pytest.fixture(scope="session")
def taken(graded_shapes: tuple[PlateScore, ...], shape_results: Path) -> list[Taken]:
    """The things among those strips, and how much of each was taken for fry."""
    assert graded_shapes
    return list(things_taken(SHAPES / "strips", shape_results))
