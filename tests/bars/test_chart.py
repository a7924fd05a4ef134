"""The correction on photographs of a 24-patch chart: fitted on the odd patches, held against the even ones.

Real photographs are measured by the command of that name (`python -m grader chart-check FOLDER`); these are made here,
from the chart's own reflectances, sensitivities of cameras and CIE illuminants.
"""

import json
from pathlib import Path

import cv2
import numpy as np
import pytest

from grader.chart.prediction import METHODS
from grader.photo.srgb import linear_to_srgb
from tests.bars.grading import run_grader
from tests.chart.photographs import board_xyz
from tests.chart.spectral import LIGHTS, chart_lab, chart_surfaces, taken
from tests.spectral.cameras import draw_camera
from tests.spectral.lights import cie_light


@pytest.fixture(scope="module")
def photographs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a photograph by each of three cameras under each light, and the chart's own values."""
    folder = tmp_path_factory.mktemp("chart")
    rng = np.random.default_rng(20)
    cameras = [draw_camera(rng) for _ in range(3)]
    for light in LIGHTS:
        for number, camera in enumerate(cameras, 1):
            rgb = taken(camera, cie_light(light).power, chart_surfaces(), rng, slope=0.15)
            picture = board_xyz(rgb) + rng.normal(0, 0.003, board_xyz(rgb).shape)
            encoded = np.rint(linear_to_srgb(np.clip(picture, 0, 1)) * 255).astype(np.uint8)
            cv2.imwrite(str(folder / f"{light}-{number}.jpg"), encoded[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, 94])
    rows = [f"{n},{L:.3f},{a:.3f},{b:.3f}" for n, (L, a, b) in enumerate(chart_lab(), 1)]
    (folder / "reference.csv").write_text("\n".join(["number,L,a,b", *rows]), encoding="utf-8")
    return folder


@pytest.mark.bar
def test_odd_patches_predict_even_ones(photographs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run_grader(["chart-check", str(photographs), "--white", "D65", "--json"])
    told = json.loads(capsys.readouterr().out)
    assert not told["refused"]
    for light in LIGHTS:
        medians = [
            one["methods"]["the grader"]["even"]["median_de"]
            for one in told["photographs"]
            if one["name"].startswith(light)
        ]
        print(f"{light}: median of the even patches, photograph by photograph: {medians}")
    figures = {method: told["together"][method]["even"] for method in METHODS}
    for method, even in figures.items():
        print(f"{method}: median {even['median_de']:.2f}, 95th {even['p95_de']:.2f}, most {even['largest_de']:.2f}")
    assert figures["the grader"]["median_de"] <= min(2.0, *(figures[m]["median_de"] for m in list(METHODS)[1:]))
    assert figures["the grader"]["p95_de"] <= 7.0
