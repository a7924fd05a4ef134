"""Faces of fries painted by hand, with spots of known size, and with what is none."""

import numpy as np
import pytest

from grader.arrays import FloatArray, MaskArray
from grader.fries.field import make_field
from grader.fries.spots import find_spots

CELL_MM = 0.4
GOLDEN, SPOT, LEAF = np.array([62.0, 7.0, 35.0]), np.array([36.0, 12.0, 20.0]), np.array([38.0, -22.0, 24.0])
ALONG, ACROSS = (
    axis.ravel() for axis in np.meshgrid(np.arange(0.0, 80.0, CELL_MM), np.arange(-4.4, 4.5, CELL_MM), indexing="ij")
)
FIELD = make_field(ALONG, ACROSS, CELL_MM)


def face() -> FloatArray:
    """(k, 3) an even face."""
    return GOLDEN + np.random.default_rng(2).normal(0, 1.0, (len(ALONG), 3)) * [1.0, 0.4, 0.6]


def near(along: float, across: float, diameter: float) -> MaskArray:
    return np.asarray(np.hypot(ALONG - along, ACROSS - across) < diameter / 2)


def spots_of(lab: FloatArray) -> list[float]:
    return sorted(find_spots(lab, np.ones(len(lab), bool), FIELD))


def test_an_even_face_has_none() -> None:
    assert spots_of(face()) == []


@pytest.mark.parametrize("diameter", [2.4, 3.5, 5.0])
@pytest.mark.parametrize("along", [20.0, 55.0])
def test_a_spot_has_its_diameter(diameter: float, along: float) -> None:
    lab = face()
    lab[near(along, 0.4, diameter)] = SPOT
    assert spots_of(lab) == pytest.approx([diameter], abs=0.7)


def test_each_spot_counts_for_itself() -> None:
    lab = face()
    for along, diameter in ((15.0, 2.5), (35.0, 3.5), (60.0, 4.5)):
        lab[near(along, -0.5, diameter)] = SPOT
    assert spots_of(lab) == pytest.approx([2.5, 3.5, 4.5], abs=0.8)


def test_a_spot_of_its_size_is_among_those_found_and_none_lies_elsewhere() -> None:
    lab = face()
    lab[near(30.0, 0.5, 3.0)] = SPOT
    found = spots_of(lab)
    assert found[0] == pytest.approx(3.0, abs=0.7)
    assert found[-1] < 4.2


def test_a_shadow_is_no_spot() -> None:
    """Half the light: L* + 16, a* and b* all by the cube root of a half."""
    lab, shadow = face(), near(40.0, 0.0, 4.0)
    lab[shadow] = (lab[shadow] + [16, 0, 0]) * 0.5 ** (1 / 3) - [16, 0, 0]
    assert spots_of(lab) == []


def test_a_herbs_leaf_is_no_spot() -> None:
    lab = face()
    lab[near(40.0, 0.0, 4.0)] = LEAF
    assert spots_of(lab) == []


def test_a_dark_end_and_a_crack_are_no_spots() -> None:
    lab = face()
    lab[ALONG < 15] = SPOT
    lab[(np.abs(ALONG - 45) < 9) & (np.abs(ACROSS) < 0.5)] = SPOT
    assert spots_of(lab) == []


def test_a_speck_is_no_spot() -> None:
    lab = face()
    lab[near(40.0, 0.0, 0.9)] = SPOT
    assert spots_of(lab) == []
