"""The sample plates, each against its truth; the bars of all together stand in tests/bars."""

import json
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest

from tests.bars.grading import Graded
from tests.scoring.plates import PlateScore

PLATES = [f"b{batch}-plate{plate}" for batch in (1, 2, 3) for plate in (1, 2, 3)] + ["mat-touching"]


def score_of(graded: Graded, name: str) -> PlateScore:
    return next(score for score in graded.scores if score.name == name)


def record_of(folder: Path, name: str) -> dict[str, Any]:
    record: dict[str, Any] = json.loads((folder / f"{name}.json").read_text(encoding="utf-8"))
    return record


@pytest.mark.parametrize("name", PLATES)
def test_the_fries_of_a_sample_plate_are_found_and_hardly_anything_else(graded_samples: Graded, name: str) -> None:
    score = score_of(graded_samples, name)
    found = len(score.ious)
    assert found / (found + score.missed) > 0.85
    assert score.false <= 2
    assert np.mean(score.ious) > 0.85


@pytest.mark.parametrize("name", PLATES)
def test_their_sizes_are_the_true_ones(graded_samples: Graded, name: str) -> None:
    score = score_of(graded_samples, name)
    read, true = np.array(score.lengths_mm).T
    assert len(read) >= 0.75 * score.lengths_wanted
    assert np.median(np.abs(read - true)) < 1.5
    assert np.mean(np.abs(read - true)) < 3.0
    assert np.corrcoef(read, true)[0, 1] > 0.85
    assert np.median(np.abs(score.width_errors_mm)) < 0.8


@pytest.mark.parametrize("name", PLATES)
def test_their_colours_are_the_true_ones(graded_samples: Graded, name: str) -> None:
    score = score_of(graded_samples, name)
    assert len(score.colour_de) >= 0.85 * score.colours_wanted
    assert np.median(score.colour_de) < 4.0
    assert np.percentile(score.colour_de, 90) < 7.0
    assert np.mean(np.abs(score.colour_z) < 3) > 0.9


def test_dark_ends_are_reported_where_they_are_and_nowhere_else(graded_samples: Graded) -> None:
    pairs = [pair for name in PLATES for pair in score_of(graded_samples, name).dark_ends]
    dark = [said for is_dark, said in pairs if is_dark]
    plain = [said for is_dark, said in pairs if not is_dark]
    assert len(dark) > 10
    assert np.mean(dark) > 0.5
    assert np.mean(plain) < 0.1


def test_in_the_heap_fries_have_colours_and_no_lengths(graded_samples: Graded, results_folder: Path) -> None:
    record = record_of(results_folder, score_of(graded_samples, "heap").name)
    assert record["status"] == "measured"
    assert "heaped" in [reason["code"] for reason in record["reasons"]]
    assert len(record["fries"]) > 10
    assert all(fry["length_mm"] is None and fry["straight_mm"] is None for fry in record["fries"])
    assert np.mean([fry["lab"] is not None for fry in record["fries"]]) > 0.9


@pytest.mark.parametrize(("name", "most_parts"), [("b1-plate1", 1), ("mat-touching", 1), ("heap", 3)])
def test_the_labels_are_whole_numbered_through_and_in_few_parts(
    graded_samples: Graded, results_folder: Path, name: str, most_parts: int
) -> None:
    """Where none lies on another each shows in one part; what goes on below two others shows in three."""
    assert score_of(graded_samples, name).has_result
    labels = cv2.imread(str(results_folder / f"{name}.labels.png"), cv2.IMREAD_UNCHANGED)
    assert labels is not None
    numbers = [fry["id"] for fry in record_of(results_folder, name)["fries"]]
    assert numbers == list(range(1, len(numbers) + 1))
    assert set(np.unique(labels)) == {0, *numbers}
    for number in numbers:
        count = cv2.connectedComponents((labels == number).astype(np.uint8), connectivity=4)[0]
        assert 1 <= count - 1 <= most_parts
