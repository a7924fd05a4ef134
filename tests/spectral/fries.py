"""Reflectances of fried potato: a pale body that scatters, carotenoids, brown pigment; after Kubelka and Munk.

Shapes from common knowledge, no measured spectrum: carotenoids (lutein, zeaxanthin) absorb in three bands between 420
and 490 nm; the brown of frying absorbs ever more towards the blue, about exponentially.
"""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray
from tests.spectral.matching import match_lab
from tests.spectral.observer import WAVELENGTHS_NM, bell, bent

TONES: FloatArray = np.array(
    [
        [76, -1.5, 19],
        [72, 0.0, 24],
        [68, 2.5, 29],
        [63, 6.0, 34],
        [57, 9.5, 35],
        [50, 12.5, 33],
        [42, 13.0, 26],
        [34, 11, 18],
    ],
    float,
)
"""CIELAB, D65, of fries pale to brown: invented, in the range that papers report for potato strips."""
# No spectrum of a fry was measured: each shape is bent by so much.
_SHAPE_SD = 0.10
_SCATTER_LAB = (2.5, 1.2, 2.5)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Potato:
    """What a lot of fries has of its own beside how far it is fried.

    Attributes
    ----------
    carotenoid, brown
        (81,) absorption of the two pigments, highest 1 and 1 at 420 nm.
    body
        Absorption over scattering of the flesh itself, at all wavelengths.
    """

    carotenoid: FloatArray
    brown: FloatArray
    body: float


def draw_potato(rng: np.random.Generator) -> Potato:
    """One lot: bands moved and widened by what the carotenoids are bound to, brown that fades faster or slower."""
    shift, width = rng.normal(3, 4), rng.uniform(11, 18)
    bands = zip((424, 448, 477), rng.uniform([0.6, 1, 0.65], [0.95, 1, 1]), strict=True)
    carotenoid = sum(height * bell(nm + shift, width) for nm, height in bands) + rng.uniform(0.1, 0.5) * bell(400, 25)
    slope_nm = rng.uniform(55, 115)
    return Potato(
        carotenoid=bent(np.asarray(carotenoid, float), _SHAPE_SD, rng),
        brown=bent(np.exp(-(WAVELENGTHS_NM - 420) / slope_nm), _SHAPE_SD, rng),
        body=rng.uniform(0.002, 0.012),
    )


def draw_colours(rng: np.random.Generator, count: int) -> FloatArray:
    """(count, 3) CIELAB of fries spread along the tones, a little off them."""
    place = np.linspace(0, len(TONES) - 1, count)
    along = np.stack([np.interp(place, range(len(TONES)), column) for column in TONES.T], 1)
    return along + rng.normal(0, _SCATTER_LAB, (count, 3))


def fry_surfaces(potato: Potato, lab: FloatArray) -> FloatArray:
    """(n, 81) reflectances of a lot's fries nearest to CIELAB (n, 3): amounts of both pigments, and paleness."""

    def fried(amounts: FloatArray) -> FloatArray:
        pigment = np.exp(amounts[:, :1]) * potato.carotenoid + np.exp(amounts[:, 1:2]) * potato.brown
        ratio = pigment + potato.body
        whole = 1 + ratio - np.sqrt(ratio**2 + 2 * ratio)
        return np.asarray(np.exp(np.minimum(amounts[:, 2:], 0.0)) * whole, float)

    return match_lab(fried, lab, start=np.array([-2.0, -1.0, -0.1]), lowest=-7.0, highest=2.5)
