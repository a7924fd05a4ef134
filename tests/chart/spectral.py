"""A chart seen by cameras simulated from spectra: measured reflectances, sensitivities and illuminants, no picture.

Reflectances: means over 30 charts of one kind, as colour-science holds them; the truth is their CIELAB for D65. Lights
are CIE's. Cameras are those of the spectral bench; each photograph has a tone, haze and fall-off of its own.
"""

import numpy as np

from grader.arrays import FloatArray, frozen
from grader.chart.model import PATCH_CENTRES, ChartReadings
from grader.photo.srgb import linear_to_srgb, srgb_to_linear
from tests.card_values.reference import colour
from tests.spectral.cameras import Camera, colour_matrix, sensor_response
from tests.spectral.observer import WAVELENGTHS_NM, reflectance_lab

LIGHTS = ("D65", "A", "FL2", "FL11", "LED-B3")
_CLIP = 1 / 255 / 12.92


def chart_surfaces() -> FloatArray:
    """(24, 81) reflectances."""
    measured = colour.SDS_COLOURCHECKERS["BabelColor Average"].values()
    return np.stack([np.interp(WAVELENGTHS_NM, one.wavelengths, one.values) for one in measured])


def chart_lab() -> FloatArray:
    """(24, 3) their CIELAB, D65."""
    return reflectance_lab(chart_surfaces())


def taken(
    camera: Camera, power: FloatArray, surfaces: FloatArray, rng: np.random.Generator, *, slope: float = 0.0
) -> FloatArray:
    """(n, 3) picture-linear rgb of surfaces (n, 81); the first 24 lie in a chart's places, over which the light falls
    off by `slope` from edge to edge."""
    matrix = colour_matrix(camera, power, chart_surfaces(), rng.uniform(1.0, 1.2))
    # Haze is light in the lens: the phone's own arithmetic comes after it.
    linear = rng.uniform(0.6, 0.8) * (sensor_response(camera, power, surfaces) + rng.uniform(0, 0.02)) @ matrix.T
    across = (PATCH_CENTRES - PATCH_CENTRES.mean(axis=0)) / 5
    way = rng.uniform(0, 2 * np.pi)
    linear[: len(across)] *= np.exp(slope * across @ [np.cos(way), np.sin(way)])[:, None]
    encoded = linear_to_srgb(np.clip(linear, 0, 1))
    lift, contrast = rng.uniform(-0.05, 0.05), rng.uniform(0, 0.25)
    bent = srgb_to_linear(encoded - encoded * (1 - encoded) * (lift + contrast * (1 - 2 * encoded)))
    return np.clip(bent * (1 + rng.normal(0, 0.003, bent.shape)), 0, 1)


def as_readings(rgb: FloatArray) -> ChartReadings:
    """What a reading of the chart's patches (24, 3) would say."""
    clipped = np.asarray(((rgb <= _CLIP) | (rgb > 0.99)).any(axis=1))
    return ChartReadings(
        rgb=frozen(rgb),
        rgb_u=frozen(np.maximum(0.003 * rgb, 3e-4)),
        clipped=frozen(clipped),
        usable=frozen(~clipped),
    )
