"""Lights told apart, on charts seen by cameras simulated from spectra."""

from dataclasses import dataclass
from itertools import combinations

import numpy as np
import pytest

from grader.arrays import FloatArray, frozen
from grader.chart.beside import BesideChart
from grader.chart.lights import APART_DE, apart_de, by_light
from grader.chart.model import PATCH_CENTRES
from grader.chart.prediction import PITCH_MM, fit_chart
from grader.colour import light_at
from tests.card.scenes import layout_of
from tests.chart.spectral import as_readings, chart_lab, chart_surfaces, taken
from tests.spectral.cameras import Camera, draw_camera
from tests.spectral.lights import cie_light

KITCHEN_LIGHTS = ("D65", "A", "FL2", "FL11")


@dataclass(frozen=True)
class Shots:
    """Photographs of a chart by one camera, by name of the light."""

    camera: Camera
    rng: np.random.Generator

    def under(self, light: str) -> BesideChart:
        rgb = taken(self.camera, cie_light(light).power, chart_surfaces(), self.rng, slope=0.15)
        readings, lab = as_readings(rgb), chart_lab()
        correction, light_field = fit_chart(readings, lab, readings.usable)
        nothing: FloatArray = frozen(np.zeros((25, 3)))
        return BesideChart(
            name=light,
            layout=layout_of("card-a6"),
            serial=None,
            lab=nothing,
            noise_u=nothing,
            level_u=nothing,
            left_out_u=frozen(np.zeros(3)),
            chart=readings,
            chart_light=frozen(light_at(light_field, PATCH_CENTRES * PITCH_MM)[0]),
            correction=correction,
        )


@pytest.fixture(scope="module")
def shots() -> list[Shots]:
    rng = np.random.default_rng(4)
    return [Shots(draw_camera(rng), rng) for _ in range(2)]


def test_one_light_photographed_twice_is_one(shots: list[Shots]) -> None:
    apart = [apart_de(one.under(light), one.under(light)) for one in shots for light in KITCHEN_LIGHTS]
    print(f"same light: up to {max(apart):.2f}")
    assert max(apart) < APART_DE


def test_lights_of_kitchens_are_told_apart(shots: list[Shots]) -> None:
    nearest = np.inf
    for one in shots:
        seen = [one.under(light) for light in KITCHEN_LIGHTS]
        nearest = min(nearest, *(apart_de(a, b) for a, b in combinations(seen, 2)))
    print(f"nearest of different lights: {nearest:.2f}")
    assert nearest > 1.1 * APART_DE


def test_photographs_are_sorted_by_light(shots: list[Shots]) -> None:
    photos = [shots[0].under(light) for light in ("D65", "A", "D65", "FL11", "A", "A")]
    assert [[one.name for one in group] for group in by_light(photos)] == [["D65", "D65"], ["A", "A", "A"], ["FL11"]]
