"""A card printed with inks, calibrated by a chart whose colours are made otherwise: what metamerism does to it.

From spectra, without pictures: prints of dyes and pigments, CIE illuminants in pairs, cameras measured and drawn.
"""

from datetime import date

import numpy as np
import pytest

from grader.arrays import FloatArray, frozen
from grader.chart import home
from grader.chart.beside import BesideChart, _lab, _left_out_u
from grader.chart.model import ChartValues
from grader.colour import ciede2000, fit_correction, fry_weights
from grader.errors import PhotoRefused
from tests.card.scenes import layout_of
from tests.chart.spectral import as_readings, chart_lab, chart_surfaces, taken
from tests.spectral.cameras import Camera, draw_camera
from tests.spectral.inks import draw_family, print_card
from tests.spectral.lights import cie_light
from tests.spectral.observer import reflectance_lab

PAIRS = (("D65", "A"), ("D50", "A"), ("D65", "LED-B1"), ("D65", "FL2"), ("D50", "LED-B3"), ("D65", "FL11"))
DRAWS = 36
LAYOUT = layout_of("card-a6")
DESIGNED = np.array([*(patch.lab for patch in LAYOUT.patches), LAYOUT.base_lab])


def photographed(
    light: str, camera: Camera, surfaces: FloatArray, values: ChartValues, rng: np.random.Generator
) -> BesideChart:
    """One photograph under one light: chart first, then the card's patches and paper (25, 81)."""
    rgb = taken(camera, cie_light(light).power, np.concatenate([chart_surfaces(), surfaces]), rng)
    chart = as_readings(rgb[:24])
    weights = fry_weights(values.patch_lab) * chart.usable
    correction = fit_correction(chart.rgb, values.patch_lab, chart.rgb_u, weights=weights)
    lab = _lab(correction, rgb[24:], np.ones(len(surfaces)))
    nothing: FloatArray = frozen(np.zeros_like(lab))
    return BesideChart(
        name=light,
        layout=LAYOUT,
        serial=None,
        lab=frozen(lab),
        noise_u=nothing,
        level_u=nothing,
        left_out_u=frozen(_left_out_u(correction, values)),
        chart=chart,
        chart_light=frozen(np.ones(24)),
        correction=correction,
    )


def test_inks_are_covered_by_the_stated_uncertainty(monkeypatch: pytest.MonkeyPatch) -> None:
    rng = np.random.default_rng(5)
    inside, off_de, designed_de, refused = [], [], [], 0
    for number in range(DRAWS):
        way = rng.standard_normal(DESIGNED.shape)
        printed = DESIGNED + way / np.linalg.norm(way, axis=1, keepdims=True) * rng.uniform(3, 5, (len(way), 1))
        surfaces = print_card(draw_family(rng), np.minimum(printed, [92.0, 200, 200])).surfaces
        truth, camera = reflectance_lab(surfaces), draw_camera(rng)
        values = ChartValues(edition="own", name="", patch_lab=chart_lab() + rng.normal(0, 0.5, (24, 3)))
        waiting = iter([photographed(light, camera, surfaces, values, rng) for light in PAIRS[number % len(PAIRS)]])
        monkeypatch.setattr(home, "read_beside", lambda _data, waiting=waiting, **_: next(waiting))
        days = {"measured_on": date(2026, 1, 1), "expires_on": date(2026, 7, 1)}
        try:
            found = home.calibrate_by_chart([("a", b""), ("b", b"")], values, run="K7Q2X", by="AB", **days).values
        except PhotoRefused as refusal:
            refused += 1
            print(PAIRS[number % len(PAIRS)], refusal.code)
            continue
        inside.append(np.abs(found.patch_lab - truth[:-1]) < 1.96 * found.patch_lab_u)
        off_de.append(ciede2000(found.patch_lab, truth[:-1]))
        designed_de.append(ciede2000(DESIGNED[:-1], truth[:-1]))
    covered = np.mean(inside, axis=(0, 1))
    print(f"{refused} of {DRAWS} refused; covered at 95 %: {covered.round(3)}")
    print(f"off by {np.median(off_de):.2f} (median), as designed {np.median(designed_de):.2f}")
    assert refused <= DRAWS / 2
    assert (covered > 0.85).all()
    assert np.median(off_de) < np.median(designed_de)
