"""`grade --no-card`: files, words and exit codes; its pictures are drawn here."""

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from typer.testing import Result

from grader.cli.exits import Exit
from grader.records.naming import is_photo

Make = Callable[..., Path]
Call = Callable[..., Result]


@pytest.fixture
def plate(folder: Make) -> Path:
    """A folder with one photo of three bars on a white plate and one file that is no picture."""
    top = folder("broken.jpg")
    picture = np.full((1050, 1400, 3), 235, np.uint8)
    for row in (200, 400, 600):
        cv2.rectangle(picture, (300, row), (1000, row + 80), (92, 176, 226), -1)
    cv2.imwrite(str(top / "fries.png"), picture)
    return top


def numbers_in(record: Any, name: str = "") -> Iterator[tuple[str, object]]:
    """Every number in a record, with the name that it stands under."""
    if isinstance(record, dict):
        for key, value in record.items():
            yield from numbers_in(value, key)
    elif isinstance(record, list):
        for value in record:
            yield from numbers_in(value, name)
    elif isinstance(record, int | float) and not isinstance(record, bool):
        yield name, record


def test_outlines_are_written_in_pixels_and_no_other_number(call: Call, plate: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    result = call("grade", plate, "--out", out, "--no-card")
    assert result.exit_code == Exit.DONE
    assert sorted(path.name for path in out.iterdir()) == [
        "broken.json",
        "fries.json",
        "fries.labels.png",
        "fries.outlined.jpg",
        "summary.json",
    ]
    record = json.loads((out / "fries.json").read_text())
    assert record["status"] == "outlined"
    assert record["verdict"] is None
    assert [fry["id"] for fry in record["fries"]] == [1, 2, 3]
    named = {name for name, _ in numbers_in(record)}
    assert named == {"format_version", "size_px", "id", "area_px", "outline_px"}
    for fry in record["fries"]:
        assert fry["length_mm"] is fry["width_mm"] is fry["lab"] is fry["dark_end_mm"] is None
        assert fry["area_px"] == pytest.approx(701 * 81, rel=0.05)
        assert np.ptp(fry["outline_px"], axis=0) == pytest.approx([701, 81], rel=0.06)


def test_it_says_why_there_are_no_numbers_and_how_to_get_some(call: Call, plate: Path, tmp_path: Path) -> None:
    result = call("grade", plate, "--out", tmp_path / "out", "--no-card")
    reason = json.loads((tmp_path / "out" / "fries.json").read_text())["reasons"][0]
    assert reason["code"] == "no_card_used"
    assert "Nothing of known size or colour is in the picture" in reason["message"]
    assert "white balance" in reason["message"]
    assert "lay a printed card beside the fries" in reason["hint"]
    shown = " ".join(result.stdout.split())
    assert "fries.png: 3 outlines, in pixels" in shown
    assert reason["message"] in shown
    assert "broken.jpg: was refused" in shown
    assert "Colour is not doneness" in shown


def test_labels_are_those_of_the_outlines(call: Call, plate: Path, tmp_path: Path) -> None:
    call("grade", plate, "--out", tmp_path / "out", "--no-card")
    labels = cv2.imread(str(tmp_path / "out" / "fries.labels.png"), cv2.IMREAD_UNCHANGED)
    assert labels is not None
    record = json.loads((tmp_path / "out" / "fries.json").read_text())
    assert labels.shape == (1050, 1400)
    assert np.bincount(labels.ravel())[1:].tolist() == [fry["area_px"] for fry in record["fries"]]


def test_the_run_is_summed_up_as_json(call: Call, plate: Path, tmp_path: Path) -> None:
    result = call("grade", plate, "--out", tmp_path / "out", "--no-card", "--json", "--exit-verdict")
    assert result.exit_code == Exit.REFUSED
    summary = json.loads(result.stdout)
    assert summary["verdict"] is None
    assert [(one["photo"], one["status"], one["fries"]) for one in summary["photos"]] == [
        ("broken.jpg", "refused", 0),
        ("fries.png", "outlined", 3),
    ]


def test_a_fault_in_one_photo_never_stops_the_rest(
    call: Call, plate: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def burst(pixels: object) -> None:
        assert pixels is not None
        raise ZeroDivisionError

    monkeypatch.setattr("grader.outlines.outline_fries", burst)
    result = call("grade", plate, "--out", tmp_path / "out", "--no-card")
    assert result.exit_code == Exit.DONE
    record = json.loads((tmp_path / "out" / "fries.json").read_text())
    assert (record["status"], record["reasons"][0]["code"]) == ("refused", "program_fault")
    assert "ZeroDivisionError" in caplog.text


@pytest.mark.parametrize(
    "asked",
    [
        ["--standard", "strips-9.5mm-skin-on"],
        ["--kitchen", "Quayside"],
        ["--parquet"],
        ["--question", "claim"],
        ["--stage", "held"],
        ["--lot", "7"],
        ["--records", "sqlite:///x"],
        ["--workers", "3"],
    ],
)
def test_nothing_is_judged_or_kept(call: Call, plate: Path, tmp_path: Path, asked: list[str]) -> None:
    result = call("grade", plate, "--out", tmp_path / "out", "--no-card", *asked)
    assert result.exit_code == Exit.FAULTY_INPUT
    assert f"leave {asked[0]} or --no-card out" in " ".join(result.output.replace("│", " ").split())
    assert not (tmp_path / "out").exists()


def test_the_outlined_picture_is_never_taken_for_a_photo() -> None:
    assert not is_photo("fries.outlined.jpg")
