"""Renders scenes with a spectral path tracer: picture, mask, heights, and each fry's middle in the picture.

Run: python -m calibration.network.render FOLDER SCENE.json...
Writes NAME.jpg, NAME.mask.png (0, or the fry's number from 1 on), NAME.z.png (heights over the plate, quarters of a mm)
and NAME.json. Needs Mitsuba 3; MITSUBA_VARIANT=llvm_ad_spectral does without an NVIDIA card. Thousands of scenes are
rendered by some 15 such processes side by side, each with its part of them.
"""

import json
import os
import sys
import tempfile
from pathlib import Path
from typing import Any

import cv2
import drjit as dr
import mitsuba as mi
import numpy as np

from calibration.network.camera import developed, project, shaken
from calibration.network.clutter import clutter, generator
from calibration.network.fry_mesh import PATH_LAB, bent, fry_mesh, turned
from calibration.network.plates import described
from grader.arrays import ByteArray, FloatArray

_SAMPLES = 48
_LINE_POINTS = 17
_KEPT = ("name", "layout", "surface", "mat", "cut_mm", "size", "height_mm", "f35_mm")


def main(folder: Path, files: list[Path]) -> None:
    """Render each scene into a folder."""
    mi.set_variant(os.environ.get("MITSUBA_VARIANT", "cuda_ad_spectral"))
    folder.mkdir(parents=True, exist_ok=True)
    for file in files:
        scene = json.loads(file.read_text())
        with tempfile.TemporaryDirectory() as meshes:
            render(varied(scene), folder, Path(meshes))
        print(scene["name"], flush=True)


def varied(scene: dict[str, Any]) -> dict[str, Any]:
    """The scene with what some pictures have: wet oil, shake, too little light, a strong JPEG, a cloth, glare."""
    rng = generator(scene, "vary")
    changed: dict[str, Any] = {"shake": None}
    if rng.random() < 0.2:
        changed["gloss"] = float(rng.uniform(0.09, 0.16))
    if rng.random() < 0.15:
        changed["shake"] = [float(rng.uniform(2, 4)), float(rng.uniform(0, np.pi))]
    if rng.random() < 0.1:
        changed["ev"] = float(rng.uniform(-1.3, -1.1))
    if rng.random() < 0.1:
        changed["jpeg"] = int(rng.integers(70, 86))
    return {**scene, **changed, "cloth": rng.random() < 0.12, "glare": rng.random() < 0.1}


def render(scene: dict[str, Any], folder: Path, meshes: Path) -> None:
    """Render one scene; its meshes are written to a folder of their own first."""
    path_lab = PATH_LAB + np.array(scene["path_shift"])
    fries = [fry_mesh(fry, path_lab) for fry in scene["fries"]]
    things = clutter(scene, np.concatenate([mesh.vertices for mesh in fries]), path_lab)
    parts, pose = described(scene, fries, things, meshes)
    world = mi.load_dict(parts)
    raw = np.array(mi.render(world, spp=_SAMPLES, seed=1)).astype(np.float64)
    mask, heights = _seen(world, scene["size"])
    if scene["shake"]:
        raw = shaken(raw, *scene["shake"])
    picture = developed(scene, raw)
    name = folder / scene["name"]
    cv2.imwrite(f"{name}.jpg", picture[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, scene["jpeg"]])
    cv2.imwrite(f"{name}.mask.png", mask)
    cv2.imwrite(f"{name}.z.png", np.clip(np.round(heights * 4), 0, 255).astype(np.uint8))
    lines = [_line_px(fry, np.array(pose.matrix, float).reshape(4, 4), scene) for fry in scene["fries"]]
    Path(f"{name}.json").write_text(json.dumps({**{key: scene.get(key) for key in _KEPT}, "lines_px": lines}))


def _seen(world: Any, size: list[int]) -> tuple[ByteArray, FloatArray]:
    """At each pixel's middle: the fry's number from 1 on, or 0, and the height of what is seen, mm."""
    width, height = size
    number = dr.arange(mi.UInt32, width * height)
    place = mi.Point2f((mi.Float(number % width) + 0.5) / width, (mi.Float(number // width) + 0.5) / height)
    ray, _ = world.sensors()[0].sample_ray(0.0, 0.5, place, mi.Point2f(0.5, 0.5))
    hit = world.ray_intersect(ray)
    shapes = np.array(dr.reinterpret_array(mi.UInt32, hit.shape))
    fry_of_shape = np.zeros(int(shapes.max()) + 1, np.uint8)
    for shape in world.shapes():
        index = int(np.array(dr.reinterpret_array(mi.UInt32, mi.ShapePtr(shape)))[0])
        if shape.id().startswith("fry") and index < len(fry_of_shape):
            fry_of_shape[index] = int(shape.id().removeprefix("fry")) + 1
    return fry_of_shape[shapes].reshape(height, width), np.array(hit.p.z, float).reshape(height, width)


def _line_px(fry: dict[str, Any], pose: FloatArray, scene: dict[str, Any]) -> list[list[float]]:
    half = fry["length_mm"] / 2
    middle, _ = bent(fry, np.linspace(-half, half, _LINE_POINTS))
    points = turned(np.c_[middle, np.zeros(_LINE_POINTS)], fry["quaternion"]) + fry["position"]
    pixels: list[list[float]] = np.round(project(points, pose, scene), 1).tolist()
    return pixels


if __name__ == "__main__":
    main(Path(sys.argv[1]), [Path(file) for file in sys.argv[2:]])
