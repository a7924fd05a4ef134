"""CIELAB, white points, sRGB and adaptation against published tables and two libraries."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage.color import rgb2lab

from grader.colour import (
    D50,
    D65,
    WHITE_POINTS,
    adapt,
    adaptation_matrix,
    lab_d50_to_d65,
    lab_to_srgb8,
    lab_to_xyz,
    linear_srgb_to_lab,
    linear_srgb_to_xyz,
    xyz_to_lab,
    xyz_to_linear_srgb,
)
from grader.colour.cie import xyz_to_lab_jacobian
from grader.photo import srgb_to_linear

# CIE 15 chromaticities turned to XYZ; X and Z for Y = 100 as colour-science 0.4.7 gives them.
WHITES = {
    "A": (109.849, 35.580),
    "C": (98.071, 118.225),
    "D50": (96.430, 82.510),
    "D55": (95.680, 92.140),
    "D65": (95.046, 108.906),
    "D75": (94.966, 122.615),
    "FL11": (100.955, 64.367),
    "LED-B3": (100.886, 67.714),
}
# 8-bit sRGB and its CIELAB (D65 .3127 .3290), computed with colour-science 0.4.7, whose matrix has four digits.
SRGB_LAB = [
    ((255, 0, 0), (53.233, 80.111, 67.224)),
    ((0, 255, 0), (87.737, -86.183, 83.188)),
    ((0, 0, 255), (32.303, 79.198, -107.850)),
    ((237, 201, 110), (82.327, 1.798, 49.710)),
    ((230, 190, 100), (78.793, 3.851, 50.177)),
    ((200, 140, 60), (62.812, 15.277, 50.292)),
    ((150, 90, 40), (44.161, 20.269, 38.232)),
]


@pytest.mark.parametrize("name", WHITES)
def test_white_points(name: str) -> None:
    x, z = WHITES[name]
    assert WHITE_POINTS[name] * 100 == pytest.approx([x, 100, z], abs=6e-4)


def test_white_is_one_hundred_and_black_is_zero() -> None:
    assert xyz_to_lab(D65) == pytest.approx([100, 0, 0], abs=1e-12)
    assert xyz_to_lab([0, 0, 0]) == pytest.approx([0, 0, 0], abs=1e-12)


def test_the_two_branches_of_cielab_meet_at_the_exact_fraction_of_cie_15() -> None:
    """(6/29)^3 = 216/24389, where L* is 8: CIE 15, 8.2.1."""
    knee = 216 / 24389
    assert xyz_to_lab(D65 * knee)[0] == pytest.approx(8, abs=1e-12)
    assert xyz_to_lab(D65 * knee * 0.5)[0] == pytest.approx(24389 / 27 * knee * 0.5, abs=1e-12)


@pytest.mark.parametrize(("rgb8", "lab"), SRGB_LAB)
def test_srgb_to_lab(rgb8: tuple[int, int, int], lab: tuple[float, float, float]) -> None:
    # The standard's four-digit matrix and the exact one differ in the fourth digit: up to 0.03 in b* of a pure blue.
    assert linear_srgb_to_lab(srgb_to_linear(np.array(rgb8) / 255)) == pytest.approx(lab, abs=0.035)


def test_equal_channels_are_exactly_neutral() -> None:
    """8-bit 128: L* 53.585."""
    lab = linear_srgb_to_lab(srgb_to_linear(np.full(3, 128) / 255))
    assert lab == pytest.approx([53.585, 0, 0], abs=5e-4)


def test_scikit_image_agrees() -> None:
    rgb = np.random.default_rng(5).uniform(0, 1, (500, 3))
    # Its white is .95047, 1, 1.08883: the third figure differs.
    assert linear_srgb_to_lab(srgb_to_linear(rgb)) == pytest.approx(rgb2lab(rgb), abs=0.03)


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("name", ["D50", "D65", "A"])
def test_colour_science_agrees_with_any_white(name: str) -> None:
    import colour

    xyz = np.random.default_rng(6).uniform(0, 1, (500, 3))
    illuminant = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"][name]
    assert xyz_to_lab(xyz, WHITE_POINTS[name]) == pytest.approx(colour.XYZ_to_Lab(xyz, illuminant), abs=1e-9)


def test_matrix_of_iec_61966_2_1() -> None:
    published = [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    assert pytest.approx(np.array(published), abs=6e-5) == linear_srgb_to_xyz(np.eye(3)).T
    inverse = [[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]]
    assert pytest.approx(np.array(inverse), abs=6e-4) == xyz_to_linear_srgb(np.eye(3)).T


def test_bradford_matrix_as_icc_prints_it() -> None:
    """ICC.1, annex E, between the whites of ASTM E308."""
    d65, d50 = np.array([0.95047, 1, 1.08883]), np.array([0.96422, 1, 0.82521])
    published = [
        [1.0478112, 0.0228866, -0.0501270],
        [0.0295424, 0.9904844, -0.0170491],
        [-0.0092345, 0.0150436, 0.7521316],
    ]
    assert adaptation_matrix(d65, d50) == pytest.approx(np.array(published), abs=6e-7)


def test_bradford_matrix_between_the_four_digit_whites() -> None:
    published = [
        [1.0479298, 0.0229469, -0.0501923],
        [0.0296278, 0.9904344, -0.0170738],
        [-0.0092430, 0.0150552, 0.7518743],
    ]
    assert adaptation_matrix(D65, D50) == pytest.approx(np.array(published), abs=6e-7)


def test_a_white_adapts_to_the_other_white() -> None:
    assert adapt(D50, D50, D65) == pytest.approx(D65, abs=1e-12)
    assert lab_d50_to_d65([100, 0, 0]) == pytest.approx([100, 0, 0], abs=1e-9)


@pytest.mark.filterwarnings("ignore")
def test_d50_to_d65_as_colour_science_has_it() -> None:
    """Published D50 values of four of the 24 chart patches (after 2014): dark skin, orange yellow, cyan, neutral 5."""
    import colour

    lab = np.array([[37.54, 14.37, 14.92], [71.51, 18.24, 67.37], [49.57, -29.71, -28.32], [50.76, -0.13, 0.14]])
    whites = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
    xyz = colour.Lab_to_XYZ(lab, whites["D50"])
    d50, d65 = (colour.xy_to_XYZ(whites[name]) for name in ("D50", "D65"))
    there = colour.adaptation.chromatic_adaptation_VonKries(xyz, d50, d65, transform="Bradford")
    assert lab_d50_to_d65(lab) == pytest.approx(colour.XYZ_to_Lab(there, whites["D65"]), abs=1e-6)


@given(st.tuples(st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100)).map(np.array))
def test_lab_round_trip(lab: np.ndarray) -> None:
    assert xyz_to_lab(lab_to_xyz(lab)) == pytest.approx(lab, abs=1e-9)


def test_the_jacobian_is_the_slope() -> None:
    xyz = np.array([[0.3, 0.32, 0.1], [0.004, 0.003, 0.002], [0.9, 1.0, 1.05]])
    step = 1e-7
    slopes = [(xyz_to_lab(xyz + step * axis) - xyz_to_lab(xyz - step * axis)) / (2 * step) for axis in np.eye(3)]
    assert xyz_to_lab_jacobian(xyz) == pytest.approx(np.stack(slopes, -1), rel=1e-5, abs=1e-4)


def test_swatches_are_the_screen_colours_they_came_from() -> None:
    rgb8 = np.array([[237, 201, 110], [150, 90, 40], [128, 128, 128], [0, 0, 0], [255, 255, 255]], np.uint8)
    assert np.array_equal(lab_to_srgb8(linear_srgb_to_lab(srgb_to_linear(rgb8 / 255))), rgb8)


def test_a_swatch_beyond_the_screen_is_clipped() -> None:
    assert lab_to_srgb8([80, 0, 150]).tolist()[2] == 0
