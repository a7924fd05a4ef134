"""Shots that several tests share: a small ensemble, drawn once."""

import numpy as np
import pytest

from grader.arrays import FloatArray
from tests.spectral.__main__ import card_colours, draw_shots
from tests.spectral.bench import Shot
from tests.spectral.lights import cie_light


@pytest.fixture(scope="session")
def colours() -> FloatArray:
    return card_colours()


@pytest.fixture(scope="session")
def shots_by_light() -> dict[str, list[Shot]]:
    """A few shots under each of some CIE lights, from which nothing that ships was learnt."""
    rng = np.random.default_rng(77)
    names = ("A", "D65", "FL11", "LED-B1", "LED-B4")
    return {name: draw_shots(6, rng, light=cie_light(name)) for name in names}
