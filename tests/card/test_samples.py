"""Sheets in the rendered sample plates: found where they were rendered to be, refused where something is wrong."""

import json
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest

from grader.arrays import ByteArray
from grader.card import camera_height_mm, check_readings, find_sheet, load_layouts, read_patches
from grader.errors import CardUnusable
from grader.places import sample_folder

PLATES = sorted(sample_folder().glob("*/*.jpg"))
SOUND = [path for path in PLATES if path.parent.name != "refused"]


def pixels_of(path: Path) -> ByteArray:
    pixels = cv2.imread(str(path), cv2.IMREAD_COLOR_RGB)
    assert pixels is not None
    return np.asarray(pixels, np.uint8)


def truth_of(path: Path) -> dict[str, Any]:
    truth: dict[str, Any] = json.loads((path.parent / "truth" / f"{path.stem}.json").read_text(encoding="utf-8"))
    return truth


@pytest.mark.parametrize("path", SOUND, ids=lambda path: path.stem)
def test_a_sound_plate_s_sheet_is_found_in_its_place_and_can_be_read(path: Path) -> None:
    pixels, truth = pixels_of(path), truth_of(path)
    sheet = find_sheet(pixels, load_layouts(), focal_35mm=truth["f35_mm"])
    # The renderer counts pixels from the picture's edge, this project from the first pixel's middle.
    corners = np.array(truth["card_corners_px"]) - 0.5
    assert np.linalg.norm(sheet.corners_px - corners, axis=1).max() < 0.4
    assert sheet.camera.radial == pytest.approx(truth["k1"], abs=0.005 if truth["mat"] is None else 0.0005)
    # The card lies a tenth of a mm above the table, the mat a fiftieth below the origin; the eye is height_mm from it.
    lies_mm = truth["card_z_mm"] + 0.1 if truth["mat"] is None else -0.02
    height = truth["height_mm"] * np.cos(np.radians(truth["tilt_deg"])) - lies_mm
    assert camera_height_mm(sheet.camera) == pytest.approx(height, abs=0.5)
    readings = read_patches(pixels, sheet)
    assert readings.patch_usable.mean() > 0.9
    check_readings(sheet, readings)


@pytest.mark.parametrize(("name", "code"), [("bad-covered", "card_partly_hidden"), ("bad-glare", "card_glare")])
def test_a_spoilt_sheet_is_refused_with_its_reason(name: str, code: str) -> None:
    path = next(path for path in PLATES if path.stem == name)
    pixels = pixels_of(path)
    sheet = find_sheet(pixels, load_layouts(), focal_35mm=truth_of(path)["f35_mm"])
    with pytest.raises(CardUnusable) as caught:
        check_readings(sheet, read_patches(pixels, sheet))
    assert caught.value.code == code


def test_photographs_of_fries_without_a_card_are_refused_for_it(real_fries: tuple[Path, ...]) -> None:
    assert real_fries
    for path in real_fries:
        with pytest.raises(CardUnusable) as caught:
            find_sheet(pixels_of(path), load_layouts(), focal_35mm=None)
        assert caught.value.code == "card_not_found"
