from dataclasses import replace

import numpy as np
import pytest

from grader.arrays import FloatArray, MaskArray, frozen
from grader.chart import METHODS, ChartReadings, chart_values, predict_even
from grader.chart.model import PATCH_CENTRES
from grader.chart.prediction import ODD
from grader.colour import lab_to_xyz
from grader.errors import ColourFitPoor
from tests.chart.spectral import LIGHTS, as_readings, chart_lab, chart_surfaces, taken
from tests.spectral.cameras import draw_camera
from tests.spectral.lights import cie_light

LAB = chart_values("after-november-2014").patch_lab
MATRIX = np.array([[0.55, 0.05, 0.0], [0.05, 0.60, 0.05], [0.0, 0.05, 0.50]])


def seen(light: FloatArray | float = 1.0) -> ChartReadings:
    """A camera whose channels are mixtures of X, Y, Z: a matrix undoes it."""
    rgb = lab_to_xyz(LAB) @ MATRIX.T * np.reshape(light, (-1, 1))
    return as_readings(rgb)


def test_a_camera_that_a_matrix_undoes_is_undone() -> None:
    found = predict_even(seen(), LAB)
    assert list(found) == list(METHODS)
    for method in ("3x3 matrix", "root-polynomial"):
        np.testing.assert_allclose(found[method].lab, LAB, atol=1e-6)
    # Its priors, a phone's tone and haze, are not this camera's: what remains is theirs.
    assert found["the grader"].predicted_de.max() < 1.0


def test_the_even_patches_are_predicted_not_fitted() -> None:
    """A wrong even patch changes nothing but its own figure; a wrong odd one changes those of others."""
    right = predict_even(seen(), LAB)["3x3 matrix"]
    wrong = LAB.copy()
    wrong[5] += [0, 20, 0]
    other = predict_even(seen(), wrong)["3x3 matrix"]
    np.testing.assert_allclose(other.lab, right.lab)
    assert other.de[5] > 5
    assert np.delete(other.de, 5).max() < 1e-5
    wrong = LAB.copy()
    wrong[4] += [0, 20, 0]
    assert predict_even(seen(), wrong)["3x3 matrix"].predicted_de.max() > 1


def test_light_that_falls_off_is_told_by_the_odd_patches() -> None:
    across = (PATCH_CENTRES - PATCH_CENTRES.mean(axis=0)) @ [0.05, 0.03]
    found = predict_even(seen(np.exp(across)), LAB)
    assert np.median(found["the grader"].predicted_de) < 0.6
    assert np.median(found["3x3 matrix"].predicted_de) > 1.2


def test_patches_left_out_have_no_figure() -> None:
    readings = seen()
    usable = readings.usable.copy()
    usable[[0, 1]] = False
    found = predict_even(replace(readings, usable=frozen(usable)), LAB)["the grader"]
    assert np.isnan(found.de[[0, 1]]).all()
    assert (len(found.fitted_de), len(found.predicted_de)) == (11, 11)


@pytest.mark.parametrize("usable", [~ODD, ODD, np.arange(24) < 10])
def test_too_few_patches(usable: MaskArray) -> None:
    with pytest.raises(ColourFitPoor, match="patches can be read"):
        predict_even(replace(seen(), usable=frozen(usable.copy())), LAB)


@pytest.mark.parametrize("grey", [np.full(24, 0.4), np.linspace(0.05, 0.9, 24)])
def test_patches_without_colour_are_refused(grey: FloatArray) -> None:
    with pytest.raises(ColourFitPoor, match="black and white"):
        predict_even(as_readings(np.repeat(grey[:, None], 3, axis=1)), LAB)


@pytest.mark.parametrize("channels", [[0, 0, 2], [0, 1, 1], [0, 2, 0]])
def test_a_channel_that_is_a_copy_of_another_is_refused(channels: list[int]) -> None:
    with pytest.raises(ColourFitPoor, match="two colours in place of three"):
        predict_even(as_readings(seen().rgb[:, channels]), LAB)


def test_cameras_and_lights_from_spectra() -> None:
    """What the correction predicts of unseen patches, light by light; better than plain fits of the same patches."""
    rng = np.random.default_rng(0)
    surfaces, lab = chart_surfaces(), chart_lab()
    cameras = [draw_camera(rng) for _ in range(3)]
    medians: dict[str, list[float]] = {method: [] for method in METHODS}
    print("light, then median / 95th of the even patches by each method")
    for light in LIGHTS:
        de: dict[str, list[FloatArray]] = {method: [] for method in METHODS}
        for camera in cameras:
            rgb = taken(camera, cie_light(light).power, surfaces, rng, slope=0.15)
            for method, prediction in predict_even(as_readings(rgb), lab).items():
                de[method].append(prediction.predicted_de)
        figures = {method: np.percentile(np.concatenate(parts), [50, 95]) for method, parts in de.items()}
        print(light, *(f"{method}: {one[0]:.2f} / {one[1]:.2f}" for method, one in figures.items()), sep="   ")
        for method, one in figures.items():
            medians[method].append(one[0])
    assert max(medians["the grader"]) < 2.6
    assert np.median(medians["the grader"]) < 1.6
    assert (np.array(medians["the grader"]) < np.minimum(medians["3x3 matrix"], medians["root-polynomial"])).all()
