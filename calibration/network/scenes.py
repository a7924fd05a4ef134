"""Scenes to render and train on: what plate, light and camera, and where each fry lies. Most have fries that cross.

Run: python -m calibration.network.scenes FOLDER FIRST LAST     (writes tFIRST.json to t(LAST - 1).json)
Needs mujoco and shapely. A scene's number is its random seed.
"""

import json
import sys
from pathlib import Path
from typing import Any

import numpy as np
from shapely.geometry import Point, box

from calibration.network.placing import Fry, beside, draw_fry, dropped, spread

_SURFACES = (
    *["white_plate"] * 4,
    *["grey_plate"] * 2,
    *["dark_tray"] * 2,
    *["blue_mat", "parchment", "parchment", "steel_tray", "kraft", "kraft", "kraft"],
    *["green_board", "pale_board", "brown_board", "mat", "mat", "mat", "mat"],
)
_MATS_MM = {"A4 mat": (297, 210), "A3 mat": (420, 297)}
_CAMERA = "Nikon 5100 (NPL)"
_CAMERAS = (_CAMERA, *({"base": _CAMERA, "shift_nm": shift} for shift in ([5, -3, 3], [-6, 2, -4], [2, 6, 6])))
_LIGHTS = ["D65", "D50", "A", "LED-B3", "FL11", "FL2", "LED-B1", "LED-B4", "LED-V1", "FL4"]
_TABLES = ["wood", "pale_wood", "steel", "dark", "grey"]
_PROPS = ["salt", "parsley", "ramekin", "crumbs", "salt"]
_PLATE_RADIUS_MM = 128.0
# The order of a scene's fields, so that scenes made again are the same to the byte; these are the same for all.
_ORDER = (
    *("n", "cut_mm", "length_mm", "length_sd", "short", "sliver", "stage", "stage_sd", "bend_mm", "dark_end", "spots"),
    *("skin", "layout", "gap_mm", "touch", "surface", "table", "card_on", "camera", "illuminant", "tilt_deg"),
    *("height_mm", "key", "ambient", "gloss", "tone", "saturation", "wb_error", "ev", "blur_px", "jpeg", "k1"),
    *("props", "card", "size", "f35_mm"),
)
_FIXED = {
    "n": 36,
    "gap_mm": 2.0,
    "touch": 0.0,
    "card_on": True,
    "wb_error": 0.04,
    "k1": 0.0,
    "card": "whole",
    "size": [1400, 1050],
    "f35_mm": 26,
}


def main(folder: Path, first: int, last: int) -> None:
    """Make and write the scenes from first up to, not with, last."""
    folder.mkdir(parents=True, exist_ok=True)
    for number in range(first, last):
        scene = make(number)
        (folder / f"{scene['name']}.json").write_text(json.dumps(scene))
        print(scene["name"], scene["layout"], scene["surface"], len(scene["fries"]), flush=True)


def make(number: int) -> dict[str, Any]:
    """The scene of a number, ready to be written."""
    rng = np.random.default_rng(700000 + number)
    surface = _SURFACES[rng.integers(len(_SURFACES))]
    mat = ["A4 mat", "A3 mat"][rng.integers(2)] if surface == "mat" else None
    layout = str(rng.choice(["crossing", "beside", "spread", "heap"], p=[0.56, 0.28, 0.1, 0.06]))
    scene: dict[str, Any] = {key: _FIXED.get(key) for key in _ORDER}
    scene |= {"layout": layout, "surface": surface, **_camera_and_light(rng, mat)}
    scene |= {"table": str(rng.choice(_TABLES)), **_fries_at_large(rng), **_besides(rng)}
    if mat:
        scene["mat"] = mat
    fries = [draw_fry(rng, scene) for _ in range(_count(rng, layout, surface, mat))]
    centre = np.zeros(2) if mat else np.array([-60.0, 0.0])
    scene["fries"] = _put_down(rng, fries, scene, centre)
    scene["plate"] = {"centre": centre.tolist(), "radius": _PLATE_RADIUS_MM}
    scene["name"] = f"t{number:04d}"
    scene["card_pose"] = {
        "x": float(140 + rng.normal(0, 4)),
        "y": float(rng.normal(0, 15)),
        "angle_deg": float(90 + rng.normal(0, 4)),
    }
    return scene


def _camera_and_light(rng: np.random.Generator, mat: str | None) -> dict[str, Any]:
    return {
        "seed": int(rng.integers(1 << 30)),
        "camera": _CAMERAS[rng.integers(len(_CAMERAS))],
        "tilt_deg": float(rng.uniform(0, 15)),
        "height_mm": float(rng.uniform(270, 310) if mat == "A4 mat" else rng.uniform(300, 390)),
        "key": float(rng.uniform(0.5, 1.5)),
        "ambient": float(rng.uniform(0.15, 1.0)),
        "gloss": float(rng.uniform(0.02, 0.09)),
        "tone": float(rng.uniform(0, 0.4)),
        "saturation": float(rng.uniform(0.9, 1.2)),
        "ev": float(rng.uniform(-0.7, 0.2)),
        "blur_px": float(rng.uniform(0.3, 1.0)),
        "jpeg": int(rng.integers(86, 97)),
        "illuminant": str(rng.choice(_LIGHTS)),
    }


def _fries_at_large(rng: np.random.Generator) -> dict[str, Any]:
    return {
        "stage": float(rng.uniform(0.6, 6.2)),
        "stage_sd": float(rng.uniform(0.2, 1.0)),
        "cut_mm": float(rng.choice([6.5, 8.0, 9.5, 9.5, 9.5, 11.0, 12.5])),
        "length_mm": float(rng.uniform(50, 95)),
        "length_sd": float(rng.uniform(10, 24)),
        "short": float(rng.uniform(0, 0.15)),
        "sliver": float(rng.uniform(0, 0.15)),
        "bend_mm": float(rng.uniform(1, 4)),
        "skin": float(rng.choice([0, 0, 0.3])),
        "dark_end": float(rng.choice([0.05, 0.25])),
        "spots": float(rng.choice([0.05, 0.4])),
    }


def _besides(rng: np.random.Generator) -> dict[str, Any]:
    """How deep the card's table lies, the sensor's full well, what is strewn, how the fries' colours run."""
    return {
        "card_z": float(rng.choice([0, 0, 0, -8.0])),
        "full": float(np.exp(rng.uniform(np.log(4000), np.log(40000)))),
        "props": [str(prop) for prop in rng.choice(_PROPS, size=rng.integers(0, 3), replace=False)],
        "path_shift": [float(v) for v in rng.normal(0, [2.5, 2.5, 4.0])],
    }


def _count(rng: np.random.Generator, layout: str, surface: str, mat: str | None) -> int:
    roomy = surface not in ("white_plate", "grey_plate") and mat != "A4 mat"
    counts = {
        "crossing": rng.integers(14, 44) if roomy else rng.integers(10, 30),
        "beside": rng.integers(24, 60) if roomy else rng.integers(14, 32),
        "spread": rng.integers(12, 30),
        "heap": rng.integers(45, 75),
    }
    count = int(counts[layout])
    return max(8, count * 2 // 3) if mat == "A4 mat" else count


def _put_down(rng: np.random.Generator, fries: list[Fry], scene: dict[str, Any], centre: Any) -> list[Fry]:
    layout, mat, on_plate = scene["layout"], scene.get("mat"), scene["surface"].endswith("plate")
    if layout == "crossing":
        share = rng.uniform(0.65, 1.0)
        reach = 85 if on_plate else 105 if mat is None else 60 if mat == "A4 mat" else 80
        return dropped(rng, fries, centre, share * reach)
    if layout == "heap":
        return dropped(rng, fries, centre, 45, wall_mm=85)
    if on_plate:
        area = Point(*centre).buffer(_PLATE_RADIUS_MM - 26)
    elif mat:
        half_width, half_height = (side / 2 - 40 for side in _MATS_MM[mat])
        area = box(-half_width, -half_height, half_width, half_height)
    else:
        area = box(-200, -125, 70, 125)
    return beside(rng, fries, area) if layout == "beside" else spread(rng, fries, area, 2.0)


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
