"""A camera made up for these tests, and the card's own patches seen by it."""

from dataclasses import dataclass

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.card import load_layouts
from grader.colour import lab_to_xyz
from grader.photo import linear_to_srgb, srgb_to_linear

MATRIX = np.array([[0.62, 0.25, 0.10], [0.28, 0.70, 0.06], [0.02, 0.14, 0.95]])
"""XYZ of the camera's linear rgb: some sensor's, no one's in particular."""


@dataclass(frozen=True)
class Camera:
    """haze: white added, a share of white; contrast: how much of an S-shaped smoothstep the tone curve has."""

    haze: float = 0.0
    contrast: float = 0.0
    exposure: float = 0.8

    def sees(self, xyz: FloatArray) -> FloatArray:
        """Picture-linear rgb (..., 3) of XYZ (..., 3)."""
        white = np.linalg.solve(MATRIX, lab_to_xyz([100, 0, 0]))
        scene = self.exposure * (np.asarray(xyz) @ np.linalg.inv(MATRIX).T + self.haze * white)
        v = linear_to_srgb(np.clip(scene, 0, 1))
        return srgb_to_linear((1 - self.contrast) * v + self.contrast * v * v * (3 - 2 * v))


@pytest.fixture(scope="session")
def patch_lab() -> FloatArray:
    """(24, 3) of the card that ships."""
    return np.array([patch.lab for patch in load_layouts()[0].patches])


@pytest.fixture(scope="session")
def fry_lab() -> FloatArray:
    """(40, 3) colours in the range of fries, none of them on the card (invented)."""
    rng = np.random.default_rng(8)
    share = rng.uniform(0, 1, (40, 1))
    return (1 - share) * [72, 0, 26] + share * [45, 13, 30] + rng.normal(0, 2, (40, 3))
