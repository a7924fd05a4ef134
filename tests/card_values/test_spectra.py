"""Spectra to colours, against colour-science."""

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.card_values.spectra import reflectance_to_lab
from grader.colour import ciede2000
from grader.places import calibration_folder
from tests.card_values.reference import colour

ISO_17321 = list(colour.SDS_COLOURCHECKERS["ISO 17321-1"].values())
"""24 reflectances of ISO 17321-1, as colour-science holds them."""


def sampled(step_nm: int, first: int = 380, last: int = 720) -> tuple[FloatArray, FloatArray]:
    shape = colour.SpectralShape(first, last, step_nm)
    values = [sd.copy().align(shape).values for sd in ISO_17321]
    return np.asarray(shape.wavelengths, float), np.asarray(values, float)


def by_colour_science() -> FloatArray:
    """At 1 nm over the whole range, the straightforward sum of CIE 15."""
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(colour.SPECTRAL_SHAPE_DEFAULT)
    d65 = colour.SDS_ILLUMINANTS["D65"].copy().align(colour.SPECTRAL_SHAPE_DEFAULT)
    white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    xyz = [
        colour.sd_to_XYZ(sd.copy().align(colour.SPECTRAL_SHAPE_DEFAULT), observer, d65, method="Integration") / 100
        for sd in ISO_17321
    ]
    return np.asarray(colour.XYZ_to_Lab(np.array(xyz), white), float)


def test_the_table_is_the_observer_and_d65_number_by_number() -> None:
    table = np.loadtxt(calibration_folder() / "observer-1931-d65.csv", delimiter=",")
    shape = colour.SpectralShape(380, 780, 5)
    np.testing.assert_array_equal(table[:, 0], shape.wavelengths)
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape)
    np.testing.assert_allclose(table[:, 1:4], observer.values, rtol=1e-9, atol=0)
    np.testing.assert_allclose(table[:, 4], colour.SDS_ILLUMINANTS["D65"].copy().align(shape).values, rtol=1e-6)


@pytest.mark.parametrize(("step_nm", "within_de"), [(5, 0.1), (10, 0.1), (20, 0.3)])
def test_colours_are_those_of_colour_science(step_nm: int, within_de: float) -> None:
    off = ciede2000(reflectance_to_lab(*sampled(step_nm)), by_colour_science())
    print(f"{step_nm} nm: at most {off.max():.3f} CIE 2000 units off")
    assert off.max() < within_de


def test_a_perfect_white_and_a_grey_are_neutral() -> None:
    nm = np.arange(380.0, 731, 10)
    lab = reflectance_to_lab(nm, np.stack([np.ones(len(nm)), np.full(len(nm), 0.18)]))
    np.testing.assert_allclose(lab[0], [100, 0, 0], atol=1e-9)
    np.testing.assert_allclose(lab[1], [116 * np.cbrt(0.18) - 16, 0, 0], atol=1e-9)


@pytest.mark.parametrize(
    "nm",
    [
        np.arange(380.0, 731, 30),
        np.arange(420.0, 731, 10),
        np.arange(380.0, 681, 10),
        np.arange(730.0, 379, -10),
        np.array([550.0]),
    ],
    ids=["too coarse", "no blue", "no red", "falling", "one"],
)
def test_spectra_that_tell_no_colour(nm: FloatArray) -> None:
    with pytest.raises(ValueError, match="wavelengths must"):
        reflectance_to_lab(nm, np.full((1, len(nm)), 0.5))
