"""What all tests share: where the sample pictures lie, them graded once, and how Hypothesis runs."""

import os
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

from grader.places import HOME_VARIABLE, sample_folder
from tests.bars.grading import Graded, grade_and_score

# In CI a test must fail for the change at hand, not for a case that only this run happened to draw.
settings.register_profile("ci", derandomize=True, deadline=None)
settings.register_profile("dev", deadline=None)
settings.load_profile("ci" if os.environ.get("CI") else "dev")


@pytest.fixture(scope="session", autouse=True)
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """What the program keeps for its user goes to a folder of this session's, never to that of who runs the tests."""
    folder = tmp_path_factory.mktemp("home")
    with pytest.MonkeyPatch.context() as environment:
        environment.setenv(HOME_VARIABLE, str(folder))
        yield folder


@pytest.fixture(scope="session")
def samples() -> Path:
    """The folder with the sample pictures."""
    return sample_folder()


@pytest.fixture(scope="session")
def registry(samples: Path) -> dict[str, Any]:
    """What sample_images/registry.toml says of each file."""
    return tomllib.loads((samples / "registry.toml").read_text(encoding="utf-8"))


@pytest.fixture(scope="session")
def real_fries() -> tuple[Path, ...]:
    """Real photographs of fries without a card; LICENCE.md beside them says whose they are."""
    return tuple(sorted((Path(__file__).parent / "real_fries").glob("*.jpg")))


@pytest.fixture(scope="session")
def results_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where `graded_samples` writes: NAME.json, NAME.labels.png and more for each sample picture."""
    return tmp_path_factory.mktemp("sample_results") / "graded"


@pytest.fixture(scope="session")
def graded_samples(samples: Path, results_folder: Path) -> Graded:
    """All sample pictures graded by the command line, once a session, and scored."""
    return grade_and_score(samples, results_folder)


@pytest.fixture(scope="session")
def graded_plates(tmp_path_factory: pytest.TempPathFactory) -> Graded:
    """The small plates of `tests/plates`, graded and scored likewise."""
    return grade_and_score(Path(__file__).parent / "plates", tmp_path_factory.mktemp("plates") / "graded")
