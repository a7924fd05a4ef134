"""Observer, lights, inks and fries of the bench, against colour-science and what is known of them."""

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.colour import WHITE_POINTS
from tests.card_values.reference import colour
from tests.spectral.cameras import (
    colour_matrix,
    draw_camera,
    draw_rendering,
    measured_camera,
    picture,
    sensor_response,
    shifted,
)
from tests.spectral.fries import TONES, draw_colours, draw_potato, fry_surfaces
from tests.spectral.inks import draw_family, print_card, smooth_surfaces
from tests.spectral.lights import CIE_NAMES, cie_light, draw_light
from tests.spectral.observer import SHAPE, WAVELENGTHS_NM, bent, observer, reflectance_lab

# Inside every drawn print's gamut: greys and the tans of fries.
PRINTABLE: FloatArray = np.array([[80.0, 0, 0], [60, 0, 0], [77, -2, 21], [67, 4, 35], [58, 2, 22], [48, 16, 34]])


@pytest.fixture
def rng() -> np.random.Generator:
    return np.random.default_rng(5)


def test_cielab_of_a_reflectance_is_that_of_colour_science() -> None:
    surfaces = smooth_surfaces(TONES)
    for surface, lab in zip(surfaces, reflectance_lab(surfaces), strict=True):
        xyz = colour.sd_to_XYZ(
            colour.SpectralDistribution(surface, WAVELENGTHS_NM),
            colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(SHAPE),
            colour.SDS_ILLUMINANTS["D65"].copy().align(SHAPE),
            method="Integration",
        )
        xy = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
        assert lab == pytest.approx(colour.XYZ_to_Lab(xyz / 100, xy), abs=0.03)


@pytest.mark.parametrize("name", ["A", "D50", "D65", "FL11", "LED-B3"])
def test_a_cie_light_has_the_white_point_that_cie_15_states(name: str) -> None:
    white = cie_light(name).power @ observer()
    assert white / white[1] == pytest.approx(WHITE_POINTS[name], abs=0.004)


def test_every_cie_light_named_is_one_and_of_mean_power_one() -> None:
    for name in CIE_NAMES:
        power = cie_light(name).power
        assert power.mean() == pytest.approx(1)
        assert (power >= 0).all()


def test_drawn_lights_are_whites_that_a_kitchen_may_have(rng: np.random.Generator) -> None:
    lights = [draw_light(rng) for _ in range(200)]
    xyz = np.array([light.power @ observer() for light in lights])
    off = [
        colour.temperature.uv_to_CCT_Ohno2013(uv)[1]
        for uv in colour.xy_to_UCS_uv(xyz[:, :2] / xyz.sum(1, keepdims=True))
    ]
    assert np.percentile(np.abs(off), 90) < 0.05  # far from Planck's locus a light looks green or pink
    assert {"and" in light.name for light in lights} == {True, False}
    assert all((light.power >= 0).all() for light in lights)


def test_inks_make_the_colours_that_the_card_states(rng: np.random.Generator) -> None:
    for _ in range(12):
        card = print_card(draw_family(rng), PRINTABLE)
        assert np.median(np.linalg.norm(reflectance_lab(card.surfaces) - PRINTABLE, axis=1)) < 0.5
        assert ((card.surfaces > 0) & (card.surfaces < 1)).all()


def test_smooth_surfaces_have_their_colour_exactly_and_no_bump() -> None:
    surfaces = smooth_surfaces(PRINTABLE)
    assert reflectance_lab(surfaces) == pytest.approx(PRINTABLE, abs=1e-3)
    turns = np.abs(np.diff(np.sign(np.diff(surfaces[2:])), axis=1)).sum(1) / 2
    assert (turns <= 1).all()


def test_fries_brown_along_the_tones_and_absorb_most_in_the_blue(rng: np.random.Generator) -> None:
    for _ in range(5):
        wanted = draw_colours(rng, 24)
        surfaces = fry_surfaces(draw_potato(rng), wanted)
        off = np.linalg.norm(reflectance_lab(surfaces) - wanted, axis=1)
        assert np.median(off) < 3
        assert off.max() < 15  # a pigment's shape bounds how red a brown can be
        assert (surfaces[:, WAVELENGTHS_NM == 450] < surfaces[:, WAVELENGTHS_NM == 650]).all()
        assert surfaces[0, 40] > surfaces[-1, 40]


def test_a_bent_shape_stays_near_its_own(rng: np.random.Generator) -> None:
    ratio = np.log(bent(np.ones((300, len(WAVELENGTHS_NM))), 0.1, rng))
    assert ratio.std() == pytest.approx(0.1, rel=0.1)


def test_white_is_white_whatever_the_light_and_the_camera(rng: np.random.Generator) -> None:
    white = np.ones((1, len(WAVELENGTHS_NM)))
    for _ in range(20):
        camera, light = draw_camera(rng), draw_light(rng)
        assert sensor_response(camera, light.power, white) == pytest.approx(np.ones((1, 3)))
        rendering = draw_rendering(camera, light.power, smooth_surfaces(TONES), rng)
        seen = picture(sensor_response(camera, light.power, white), rendering)
        assert seen.std() < 1e-9


def test_a_sensor_that_is_the_observer_gives_srgb(rng: np.random.Generator) -> None:
    """Luther's condition: channels that are a mixture of the observer's need no more than a matrix."""
    from grader.colour import lab_to_xyz, xyz_to_linear_srgb
    from tests.spectral.cameras import Camera

    light, surfaces = cie_light("D65"), fry_surfaces(draw_potato(rng), TONES)
    eye = Camera(name="eye", sensitivity=observer())
    matrix = colour_matrix(eye, light.power, surfaces, 1.0)
    linear = sensor_response(eye, light.power, surfaces) @ matrix.T
    assert linear == pytest.approx(xyz_to_linear_srgb(lab_to_xyz(reflectance_lab(surfaces))), abs=2e-3)


def test_a_shifted_camera_peaks_where_it_was_shifted_to() -> None:
    own = measured_camera()
    moved = shifted(own, np.array([10.0, -5, 0]), np.ones(3))
    assert WAVELENGTHS_NM[moved.sensitivity.argmax(0)] - WAVELENGTHS_NM[own.sensitivity.argmax(0)] == pytest.approx(
        [10, -5, 0]
    )
