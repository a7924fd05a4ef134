"""Prints: families of inks on paper whose amounts are found so that each patch has the colour that its card states.

Only how a colour is made differs between families; the colours are the card's own. So the bench serves any card.
Where the bands of the colorants lie is common knowledge of the trade; their exact shapes are drawn.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray
from tests.spectral.matching import match_lab
from tests.spectral.observer import WAVELENGTHS_NM, bell, bent

# Optical dot gain: light that enters between dots leaves beneath them. Yule & Nielsen's n, 1.7 to 2 for usual papers
# (from memory). How much larger dots print than meant doesn't count here: the amounts are found backwards.
_YULE_NIELSEN = 1.8
# Grey component: how much of the dark is printed with black ink, of neutral and of coloured patches.
_BLACK_LIGHTNESS = 60.0
_NEUTRAL_CHROMA = 5.0
# Each ink's shape is bent by so much: no print was measured.
_SHAPE_SD = 0.04


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PrintFamily:
    """Paper and inks.

    Attributes
    ----------
    paper
        (81,) reflectance.
    density
        (4, 81) optical density of cyan, magenta, yellow and black as full layers.
    halftone
        True: dots beside and over each other; False: continuous tone, layers of any thickness.
    black
        Share of a dark neutral's and of a dark colour's darkness that black ink makes.
    """

    name: str
    paper: FloatArray
    density: FloatArray
    halftone: bool
    black: tuple[float, float]


def draw_family(rng: np.random.Generator) -> PrintFamily:
    """A print: dye or pigment, continuous tone or dots, more or less black."""
    pigment = rng.random() < 0.5
    halftone = bool(rng.random() < 0.5)
    return PrintFamily(
        name=f"{'pigment' if pigment else 'dye'}, {'dots' if halftone else 'continuous tone'}",
        paper=_paper(rng),
        density=_pigment(rng) if pigment else _dye(rng),
        halftone=halftone,
        black=(rng.uniform(0, 1), rng.uniform(0, 0.5)),
    )


def _paper(rng: np.random.Generator) -> FloatArray:
    """Pulp or coating that falls off towards the violet; no brightener, whose glow a photo can't be corrected for."""
    fall = 1 - rng.uniform(0.03, 0.25) * np.exp(-(WAVELENGTHS_NM - 380) / rng.uniform(18, 45))
    return np.asarray(rng.uniform(0.86, 0.93) * fall, float)


def _dye(rng: np.random.Generator) -> FloatArray:
    """Absorption bands of dyes: narrow, with unwanted side bands towards the blue."""
    n, u = rng.normal, rng.uniform
    cyan = bell(n(640, 8), u(42, 60)) + u(0.1, 0.45) * bell(690, u(40, 60)) + u(0.04, 0.16) * bell(n(425, 15), 45)
    magenta = bell(n(545, 6), u(24, 33)) + u(0.35, 0.75) * bell(n(512, 6), 27) + u(0.08, 0.22) * bell(n(430, 12), 40)
    yellow = bell(n(436, 7), u(32, 42)) + u(0.2, 0.6) * bell(400, 35)
    return _with_black(np.stack([cyan, magenta, yellow]), rng)


def _pigment(rng: np.random.Generator) -> FloatArray:
    """Absorption of pigments: two-humped cyan and magenta, a yellow with a steep edge."""
    n, u = rng.normal, rng.uniform
    cyan = 0.85 * bell(n(615, 6), u(28, 38)) + bell(n(672, 8), u(32, 45)) + u(0.06, 0.2) * bell(n(400, 15), 40)
    magenta = (
        bell(n(566, 6), u(19, 27)) + u(0.85, 1.05) * bell(n(532, 6), u(25, 34)) + u(0.12, 0.3) * bell(n(420, 15), 45)
    )
    yellow = 1 / (1 + np.exp((WAVELENGTHS_NM - n(487, 6)) / u(11, 17)))
    return _with_black(np.stack([cyan, magenta, yellow]), rng)


def _with_black(colours: FloatArray, rng: np.random.Generator) -> FloatArray:
    slope = rng.normal(0, 0.12) * (WAVELENGTHS_NM - 580) / 200
    colours = colours / colours.max(1, keepdims=True) * rng.uniform(1.4, 1.9, (3, 1))
    return bent(np.vstack([colours, rng.uniform(1.3, 1.8) * (1 + slope)]), _SHAPE_SD, rng)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PrintedCard:
    """Patches: CIELAB (n, 3) as wanted, reflectances (n, 81), and what family of inks made them."""

    design_lab: FloatArray
    surfaces: FloatArray
    family: str


def print_card(family: PrintFamily, lab: FloatArray) -> PrintedCard:
    """A card of patches as near to CIELAB (n, 3) as the inks come."""
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    dark = np.clip((_BLACK_LIGHTNESS - lab[:, 0]) / _BLACK_LIGHTNESS, 0, 1)
    black = dark * np.where(chroma < _NEUTRAL_CHROMA, *family.black)
    mix = _dots(family, black) if family.halftone else _layers(family, black)
    highest = 1.0 if family.halftone else 3.0
    surfaces = match_lab(mix, lab, start=np.full(3, 0.25), lowest=0.0, highest=highest)
    return PrintedCard(design_lab=lab, surfaces=surfaces, family=family.name)


def _layers(family: PrintFamily, black: FloatArray) -> Callable[[FloatArray], FloatArray]:
    """Beer and Lambert: densities add."""
    return lambda amounts: family.paper * 10 ** -(np.column_stack([amounts, black]) @ family.density)


def _dots(family: PrintFamily, black: FloatArray) -> Callable[[FloatArray], FloatArray]:
    """Neugebauer: 16 overprints, each as large as chance lays the dots (Demichel), mixed as Yule & Nielsen do."""
    on = np.array([[(i >> k) & 1 for k in range(4)] for i in range(16)], float)
    overprint = (family.paper * 10 ** -(on @ family.density)) ** (1 / _YULE_NIELSEN)

    def mix(amounts: FloatArray) -> FloatArray:
        cover = np.column_stack([amounts, black])[:, None, :]
        area = np.where(on > 0, cover, 1 - cover).prod(-1)
        return np.asarray(np.maximum(area @ overprint, 1e-6) ** _YULE_NIELSEN, float)

    return mix


def smooth_surfaces(lab: FloatArray) -> FloatArray:
    """(n, 81) the smoothest reflectances of CIELAB (n, 3): no colorant makes them, and no light sets them apart.

    Source: a sigmoid of a quadratic of wavelength, W. Jakob & J. Hanika, Computer Graphics Forum 38 (2019) 147-155.
    """
    t = (WAVELENGTHS_NM - 580) / 200
    powers = np.stack([np.ones_like(t), t, t * t])

    def sigmoid(amounts: FloatArray) -> FloatArray:
        x = amounts @ powers
        return np.asarray(0.5 + x / (2 * np.sqrt(1 + x * x)), float)

    return match_lab(sigmoid, lab, start=np.zeros(3), lowest=-60.0, highest=60.0)


def smooth_card(lab: FloatArray) -> PrintedCard:
    """A card whose patches are the smoothest surfaces of CIELAB (n, 3)."""
    return PrintedCard(design_lab=lab, surfaces=smooth_surfaces(lab), family="smooth")
