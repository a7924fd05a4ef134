"""The commands about charts: the correction checked on photographs, and a card's values from photographs."""

import json
from pathlib import Path

import cv2
import numpy as np
import pytest

from grader.card.layouts import load_layouts
from grader.card_values import load_values
from grader.chart import METHODS, chart_values
from grader.cli.exits import Exit
from grader.colour import lab_to_xyz
from tests.chart.photographs import jpeg_bytes, photograph, random_sensor, random_view
from tests.chart.scenes import photograph_beside, random_print
from tests.chart.test_finding import outer_corners_px, taken
from tests.cli.conftest import Call

LAB = chart_values("after-november-2014").patch_lab


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two photographs (one in a folder inside, one with its corners given), patch means, and one without a chart."""
    place = tmp_path_factory.mktemp("photographs")
    rng = np.random.default_rng(3)
    (place / "inside").mkdir()
    data = jpeg_bytes(photograph(lab_to_xyz(LAB), random_sensor(rng), random_view(rng), rng))
    (place / "inside" / "one.jpg").write_bytes(data)
    picture, view = taken(4, 0.5)
    (place / "two.jpg").write_bytes(jpeg_bytes(picture))
    corners = {"corners_px": outer_corners_px(view).tolist()}
    (place / "two.corners.json").write_text(json.dumps(corners), encoding="utf-8")
    rows = [f"{n},{x:.5f},{y:.5f},{z:.5f}" for n, (x, y, z) in enumerate(0.7 * lab_to_xyz(LAB), 1)]
    (place / "three.csv").write_text("\n".join(["number,r,g,b", *rows]), encoding="utf-8")
    cv2.imwrite(str(place / "four.png"), np.full((700, 700, 3), 90, np.uint8))
    return place


def test_a_folder_is_checked(call: Call, folder: Path) -> None:
    told = call("chart-check", folder)
    assert told.exit_code == Exit.DONE
    assert "published after November 2014" in " ".join(told.stdout.split())
    for words in ("inside/one.jpg", "two.jpg", "corners", "three.csv", "values", "together", *METHODS):
        assert words in told.stdout
    assert "! four.png: There is no 24-patch chart" in told.stdout
    assert max(map(len, told.stdout.splitlines())) <= 80


def test_the_same_as_json(call: Call, folder: Path) -> None:
    told = json.loads(call("chart-check", folder, "--json").stdout)
    assert told["edition"] == "after-november-2014"
    assert [(one["name"], one["chart_by"]) for one in told["photographs"]] == [
        ("inside/one.jpg", "detector"),
        ("three.csv", None),
        ("two.jpg", "corners"),
    ]
    assert [one["name"] for one in told["refused"]] == ["four.png"]
    one = told["photographs"][0]["methods"]["the grader"]
    even = [one["de"][n] for n in range(1, 24, 2) if one["de"][n] is not None]
    assert one["even"] == {
        "count": len(even),
        "median_de": pytest.approx(np.median(even), abs=1e-4),
        "p95_de": pytest.approx(np.percentile(even, 95), abs=1e-4),
        "largest_de": max(even),
    }
    together = told["together"]["the grader"]["even"]
    assert together["count"] == sum(photo["methods"]["the grader"]["even"]["count"] for photo in told["photographs"])
    assert together["median_de"] < 1.5


def test_another_edition_and_own_values(call: Call, folder: Path, tmp_path: Path) -> None:
    older = json.loads(call("chart-check", folder, "--edition", "1976", "--json").stdout)
    assert older["edition"] == "1976"
    rows = [f"{n},{L:.3f},{a:.3f},{b:.3f}" for n, (L, a, b) in enumerate(LAB, 1)]
    (tmp_path / "own.csv").write_text("\n".join(["number,L,a,b", *rows]), encoding="utf-8")
    own = json.loads(
        call("chart-check", folder, "--reference", tmp_path / "own.csv", "--white", "D65", "--json").stdout
    )
    assert own["edition"] == "own"
    published = json.loads(call("chart-check", folder, "--json").stdout)
    figure = [one["together"]["the grader"]["even"]["median_de"] for one in (own, published, older)]
    assert figure[0] == pytest.approx(figure[1], abs=0.01)
    assert figure[2] > figure[1]


def test_a_folder_may_hold_its_own_reference(call: Call, folder: Path, tmp_path: Path) -> None:
    rows = [f"{n},{L:.3f},{a:.3f},{b:.3f}" for n, (L, a, b) in enumerate(LAB, 1)]
    (tmp_path / "reference.csv").write_text("\n".join(["number,L,a,b", *rows]), encoding="utf-8")
    (tmp_path / "three.csv").write_bytes((folder / "three.csv").read_bytes())
    told = json.loads(call("chart-check", tmp_path, "--white", "D65", "--linear", "--json").stdout)
    assert (told["edition"], [one["name"] for one in told["photographs"]]) == ("own", ["three.csv"])
    assert told["together"]["3x3 matrix"]["even"]["largest_de"] < 0.05


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--edition", "1999"], "no chart values of the edition 1999"),
        (["--edition", "1976", "--reference", "OWN"], "An edition and a file"),
        (["--white", "D55"], "D55 is no white"),
        (["--reference", "OWN"], "no column"),
    ],
)
def test_wrong_use_is_told(call: Call, folder: Path, tmp_path: Path, arguments: list[str], words: str) -> None:
    (tmp_path / "own.csv").write_text("a,b\n1,2\n", encoding="utf-8")
    told = call("chart-check", folder, *(str(tmp_path / "own.csv") if one == "OWN" else one for one in arguments))
    assert told.exit_code == Exit.FAULTY_INPUT
    assert words in told.stderr


def test_a_folder_without_photographs(call: Call, tmp_path: Path) -> None:
    told = call("chart-check", tmp_path)
    assert told.exit_code == Exit.FAULTY_INPUT
    assert "no photographs" in told.stderr


def test_a_card_gets_its_values_and_they_are_kept(call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path / "home"))
    rng = np.random.default_rng(8)
    card = random_print(rng)
    for name in ("day", "lamp"):
        (tmp_path / f"{name}.jpg").write_bytes(photograph_beside(card, LAB, random_sensor(rng), rng))
    given = ("--by", "AB", "--measured", "2026-11-20")
    told = call("card-values", "from-chart", tmp_path / "day.jpg", tmp_path / "lamp.jpg", *given)
    assert told.exit_code == Exit.DONE, told.output
    assert "chart values of 2026-11-20 by AB; counts until 2027-05-20" in told.stdout
    assert "lights 1: day.jpg; 2: lamp.jpg" in told.stdout
    (kept,) = load_values(tmp_path / "home" / "card-values", load_layouts())
    assert (kept.run, kept.method) == ("K7Q2X", "chart")
    alone = call("card-values", "from-chart", tmp_path / "day.jpg", *given, "--run", "K7Q2X")
    assert alone.exit_code == Exit.FAULTY_INPUT
    assert "All photos were taken under one light" in alone.stderr
