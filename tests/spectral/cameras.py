"""Cameras: a measured one (data: colour-science), and drawn ones shaped like the sensors of phones.

What a photo shows is not the sensor's response: white is balanced, a matrix takes the channels to sRGB as well as it
can for some light, and saturation is raised (common practice). A correction must cope with all of it.
"""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray
from grader.colour import xyz_to_linear_srgb
from grader.photo.srgb import linear_to_srgb, srgb_to_linear
from tests.card_values.reference import colour
from tests.spectral.lights import cie_light
from tests.spectral.observer import SHAPE, WAVELENGTHS_NM, bell, daylight_to_xyz

MEASURED_NAME = "Nikon 5100 (NPL)"
# White's level in the picture: exposed well, not clipped.
_WHITE_LEVEL = 0.82


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Camera:
    """A name and sensitivities (81, 3), each channel's highest being 1."""

    name: str
    sensitivity: FloatArray


def measured_camera() -> Camera:
    """The measured one: CIE-style sensitivities of a camera with three colour filters."""
    sensors = colour.MSDS_CAMERA_SENSITIVITIES[MEASURED_NAME].copy()
    sensors.align(SHAPE, extrapolator_kwargs={"method": "Constant", "left": 0, "right": 0})
    return Camera(name="measured", sensitivity=np.maximum(sensors.values / sensors.values.max(0), 0))


def shifted(camera: Camera, shift_nm: FloatArray, stretch: FloatArray) -> Camera:
    """Channels moved by nm (3,) and made wider by a factor (3,) about their peaks."""
    moved = []
    for channel, shift, factor in zip(camera.sensitivity.T, shift_nm, stretch, strict=True):
        peak = WAVELENGTHS_NM[channel.argmax()]
        moved.append(np.interp(peak + (WAVELENGTHS_NM - shift - peak) / factor, WAVELENGTHS_NM, channel, 0, 0))
    return Camera(name="measured, shifted", sensitivity=np.stack(moved, 1))


def draw_camera(rng: np.random.Generator) -> Camera:
    """The measured one moved a little (one in three), or a phone-like sensor."""
    if rng.random() < 1 / 3:
        return shifted(measured_camera(), rng.normal(0, 4, 3), rng.uniform(0.92, 1.12, 3))
    return _phone_like(rng)


def _phone_like(rng: np.random.Generator) -> Camera:
    """Three broad filters on silicon, each with a foot that lets some of all light through, behind an infrared cut."""
    blue = bell(rng.normal(457, 6), rng.uniform(22, 34)) + rng.uniform(0.02, 0.14) * bell(530, 50)
    green = bell(rng.normal(531, 7), rng.uniform(32, 42)) + rng.uniform(0.02, 0.12)
    # A red filter opens steeply and closes with the infrared cut; some blue leaks through it.
    edge = 1 / (1 + np.exp(-(WAVELENGTHS_NM - rng.normal(583, 5)) / rng.uniform(5, 11)))
    fall = np.exp(-np.maximum(WAVELENGTHS_NM - 600, 0) / rng.uniform(50, 110))
    red = edge * fall + rng.uniform(0.02, 0.16) * bell(rng.uniform(440, 530), rng.uniform(30, 60))
    cut = 1 / (1 + np.exp((WAVELENGTHS_NM - rng.normal(655, 8)) / rng.uniform(6, 12)))
    ultraviolet = 1 / (1 + np.exp(-(WAVELENGTHS_NM - rng.normal(412, 5)) / 5))
    sensitivity = np.stack([red, green, blue], 1) * (cut * ultraviolet)[:, None]
    return Camera(name="phone-like", sensitivity=sensitivity / sensitivity.max(0))


def sensor_response(camera: Camera, power: FloatArray, reflectance: FloatArray) -> FloatArray:
    """(..., 3) channels of reflectances (..., 81) under a light (81,), balanced: a perfect white gives 1, 1, 1."""
    weights = power[:, None] * camera.sensitivity
    return np.asarray(reflectance @ weights / weights.sum(0), float)


def colour_matrix(camera: Camera, power: FloatArray, surfaces: FloatArray, saturation: float) -> FloatArray:
    """(3, 3) from balanced channels to picture rgb: least squares over surfaces (n, 81) under a light (81,)."""
    srgb = xyz_to_linear_srgb(surfaces @ daylight_to_xyz())
    matrix = np.linalg.lstsq(sensor_response(camera, power, surfaces), srgb, rcond=None)[0].T
    matrix = matrix / matrix.sum(1, keepdims=True)
    return np.asarray((np.full((3, 3), (1 - saturation) / 3) + saturation * np.eye(3)) @ matrix, float)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rendering:
    """What lies between the sensor and the picture.

    Attributes
    ----------
    matrix
        (3, 3) from balanced channels to picture rgb.
    haze
        Light that every surface adds, a share of white.
    contrast
        0: none is added; 0.8: a strong S in the tone curve.
    """

    matrix: FloatArray
    haze: float
    contrast: float


def draw_rendering(camera: Camera, power: FloatArray, surfaces: FloatArray, rng: np.random.Generator) -> Rendering:
    """A phone's: its matrix was found for daylight or for this very light, colours and contrast are raised."""
    own = power if rng.random() < 0.5 else cie_light("D65").power
    return Rendering(
        matrix=colour_matrix(camera, own, surfaces, rng.uniform(0.95, 1.2)),
        haze=rng.uniform(0.0, 0.05),
        contrast=rng.uniform(0.0, 0.8),
    )


def picture(response: FloatArray, rendering: Rendering) -> FloatArray:
    """(..., 3) picture-linear rgb of balanced channels (..., 3); what leaves the gamut of sRGB is clipped."""
    linear = np.clip(_WHITE_LEVEL * (response + rendering.haze) @ rendering.matrix.T, 0, 1)
    encoded = linear_to_srgb(linear)
    if rendering.contrast > 0:
        k = rendering.contrast
        encoded = (np.tanh(k * (2 * encoded - 1)) / np.tanh(k) + 1) / 2
    return srgb_to_linear(encoded)
