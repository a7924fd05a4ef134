"""Lights: CIE illuminants by name (data: colour-science), and drawn ones of the kinds that kitchens have.

The drawn ones take known shapes: Planck's law, CIE daylight, a blue pump with phosphors, and tubes with mercury lines
over broad or narrow phosphors. Positions of lines and bands are common knowledge; widths and shares are drawn.
"""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray
from tests.card_values.reference import colour
from tests.spectral.observer import SHAPE, WAVELENGTHS_NM, bell

CIE_NAMES = (
    "A",
    "D50",
    "D65",
    "FL2",
    "FL4",
    "FL7",
    "FL11",
    "LED-B1",
    "LED-B2",
    "LED-B3",
    "LED-B4",
    "LED-B5",
    "LED-V1",
)
KINDS = ("thermal", "daylight", "LED", "broad tube", "narrow tube")

# Second radiation constant, m K (CODATA), and the lines of mercury that tubes let out, nm (common knowledge).
_C2 = 1.438777e-2
_MERCURY_NM = (405.0, 436.0, 546.0, 578.0)
# Middles of the rare-earth emissions of narrow-band tubes, nm (common knowledge: Eu blue, Tb, Ce/Tb, Tb, Eu red).
_RARE_EARTH_NM = (450.0, 488.0, 543.0, 585.0, 611.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Light:
    """A name and a relative spectral power (81,), mean 1."""

    name: str
    power: FloatArray


def cie_light(name: str) -> Light:
    """A CIE illuminant."""
    values = np.asarray(colour.SDS_ILLUMINANTS[name].copy().align(SHAPE).values, float)
    return _light(name, np.maximum(values, 0))


def starving_lights() -> list[Light]:
    """Lights that no fry should be judged in: a CIE high-pressure sodium lamp, and others by their known shapes."""
    amber, red = (1 / (1 + np.exp(-(WAVELENGTHS_NM - edge) / 12)) for edge in (540, 590))
    return [
        cie_light("HP1"),
        _light("candle, 1900 K", planck(1900)),
        _light("sodium, low pressure", bell(589, 3) + 0.002),
        _light("mercury, no phosphor", np.asarray(mercury(np.ones(4)) + 0.01, float)),
        _light("heat lamp, amber", planck(2300) * amber),
        _light("heat lamp, red", planck(2300) * (red + 1e-3)),
    ]


def planck(kelvin: float) -> FloatArray:
    """(81,) relative power of a black body."""
    metres = WAVELENGTHS_NM * 1e-9
    return np.asarray((metres * 1e9) ** -5 / np.expm1(_C2 / metres / kelvin), float)


def mercury(shares: FloatArray) -> FloatArray:
    """(81,) the lines that tubes let out, as drawn shares (4,) of their usual strength."""
    strength = np.array([0.4, 1.0, 1.1, 0.5]) * shares
    return np.asarray(sum(s * bell(line, 4) for s, line in zip(strength, _MERCURY_NM, strict=True)), float)


def draw_light(rng: np.random.Generator, *, mixed_share: float = 0.25) -> Light:
    """One lamp of a kind drawn at random, or two that mix."""
    first = _draw_one(rng)
    if rng.random() >= mixed_share:
        return first
    second, share = _draw_one(rng), rng.uniform(0.15, 0.85)
    return _light(f"{first.name} and {second.name}", share * first.power + (1 - share) * second.power)


def _light(name: str, power: FloatArray) -> Light:
    return Light(name=name, power=power / power.mean())


def _draw_one(rng: np.random.Generator) -> Light:
    kind = KINDS[rng.integers(len(KINDS))]
    draw = {
        "thermal": _thermal,
        "daylight": _daylight,
        "LED": _led,
        "broad tube": _broad_tube,
        "narrow tube": _narrow_tube,
    }[kind]
    return _light(kind, draw(rng))


def _thermal(rng: np.random.Generator) -> FloatArray:
    """Planck's law, 2400 to 4000 K."""
    return planck(rng.uniform(2400, 4000))


def _daylight(rng: np.random.Generator) -> FloatArray:
    """CIE daylight, 4200 to 8000 K."""
    xy = colour.temperature.CCT_to_xy_CIE_D(rng.uniform(4200, 8000))
    return np.asarray(colour.sd_CIE_illuminant_D_series(xy).align(SHAPE).values, float)


def _led(rng: np.random.Generator) -> FloatArray:
    """A blue or violet pump, one broad phosphor, and in half of them a red one."""
    violet = rng.random() < 0.15
    pump = bell(rng.uniform(405, 425) if violet else rng.uniform(440, 465), rng.uniform(7, 13))
    # A violet pump is turned into white by phosphors alone, blue among them.
    blue = rng.uniform(0.3, 1.0) * bell(rng.uniform(450, 475), rng.uniform(20, 30)) if violet else 0.0
    phosphor = bell(rng.uniform(535, 600), rng.uniform(38, 62))
    red = rng.uniform(0, 1.2) * bell(rng.uniform(605, 655), rng.uniform(25, 48)) * (rng.random() < 0.5)
    return np.asarray(rng.uniform(0.2, 1.4) * pump + blue + phosphor + red, float)


def _broad_tube(rng: np.random.Generator) -> FloatArray:
    """Two broad phosphors (blue-green, and orange to red) under mercury's lines."""
    blue = rng.uniform(0.15, 1.0) * bell(rng.uniform(470, 495), rng.uniform(32, 45))
    orange = bell(rng.uniform(575, 600), rng.uniform(32, 48))
    deep = rng.uniform(0, 0.7) * (rng.random() < 0.4) * bell(rng.uniform(625, 660), rng.uniform(20, 40))
    return np.asarray(blue + orange + deep + rng.uniform(0.6, 1.6) * mercury(rng.uniform(0.7, 1.3, 4)), float)


def _narrow_tube(rng: np.random.Generator) -> FloatArray:
    """Rare-earth phosphors: a blue band and narrow green to red ones, under mercury's lines."""
    shares = np.array([rng.uniform(0.1, 0.7), 0.3, 1.4, 0.35, rng.uniform(0.9, 1.9)]) * rng.uniform(0.75, 1.25, 5)
    widths = np.array([rng.uniform(14, 24), 6, 5, 8, rng.uniform(4, 6)])
    lines = sum(s * bell(nm, w) for s, nm, w in zip(shares, _RARE_EARTH_NM, widths, strict=True))
    return np.asarray(
        lines + rng.uniform(0.15, 0.45) * mercury(rng.uniform(0.7, 1.3, 4)) + rng.uniform(0.01, 0.08), float
    )
