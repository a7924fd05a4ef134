"""A scene as Mitsuba describes it: camera, lights, table, plate, sheet, fries, and what else lies there."""

from pathlib import Path
from typing import Any

import mitsuba as mi
import numpy as np

from calibration.network.camera import half_view, illuminant, sensitivities
from calibration.network.clutter import Thing, generator
from calibration.network.materials import (
    Material,
    glossy,
    grained,
    linear,
    matt,
    metal,
    printed,
    spectrum,
    textured,
    vertex_coloured,
    woven,
)
from calibration.network.shapes import Mesh, closed
from grader.arrays import FloatArray
from grader.card import load_layouts

Place = Any  # one of Mitsuba's transforms

_TABLES: dict[str, list[float]] = {
    "wood": [52, 11, 24],
    "pale_wood": [70, 7, 24],
    "dark": [24, 0, -1],
    "grey": [58, 0, 0],
}
_PLATES: dict[str, list[float]] = {"white_plate": [90, -0.5, 2.5], "grey_plate": [42, 0, -1]}
_BOARDS: dict[str, list[float]] = {
    "dark_tray": [22, 0, -2],
    "blue_mat": [38, -2, -26],
    "kraft": [63, 8, 24],
    "parchment": [88, 0, 8],
    "green_board": [55, -32, 18],
    "pale_board": [72, 6, 24],
    "brown_board": [52, 11, 26],
}
_GRAINED = ("wood", "pale_wood", "kraft", "pale_board", "brown_board")
_PROFILE_MM = [[0, 0], [101, 0], [108, 1.2], [118, 6], [128, 9], [129.5, 8.2], [119, 4], [108, -0.4], [1e-3, -0.5]]
# What is strewn: colour, how many, radius in mm.
_STREWN = {"parsley": ([38, -22, 26], 50, 1.2), "crumbs": ([55, 10, 34], 14, 2.0), "salt": ([93, 0, 0], 160, 0.35)}


def described(scene: dict[str, Any], fries: list[Mesh], things: list[Thing], folder: Path) -> tuple[Material, Place]:
    """The scene and its camera's place; meshes are written to a folder."""
    rng = np.random.default_rng(scene["seed"] + 77)
    pose = _pose(scene, rng)
    parts: Material = {
        "type": "scene",
        "integrator": {"type": "path", "max_depth": 7},
        "sensor": _sensor(scene, pose),
        **_lights(scene, rng),
        **_table_and_plate(scene, rng, folder),
        "card": _sheet(scene),
    }
    dress = generator(scene, "dress")
    if scene["cloth"]:
        _lay_cloth(scene, parts, dress)
    if scene["glare"]:
        _add_glare(parts, dress)
    body = glossy(vertex_coloured(), scene["gloss"], 0.3)
    for number, mesh in enumerate(fries):
        colours = np.clip(linear(mesh.lab) / (1 - scene["gloss"]), 0, 0.98)
        parts[f"fry{number}"] = _written(mesh, colours, body, folder / f"fry{number}.ply")
    for number, thing in enumerate(things):
        material = _finish(thing)
        parts[f"x{number}"] = _written(thing.mesh, linear(thing.mesh.lab), material, folder / f"x{number}.ply")
    for number, prop in enumerate(scene["props"]):
        parts |= _ramekin(rng, fries, number) if prop == "ramekin" else _strewn(rng, fries, prop, number)
    return parts, pose


def _pose(scene: dict[str, Any], rng: np.random.Generator) -> Place:
    tilt, turn = np.radians(scene["tilt_deg"]), rng.uniform(-0.6, 0.6) - np.pi / 2
    origin = scene["height_mm"] * np.array([np.sin(tilt) * np.cos(turn), np.sin(tilt) * np.sin(turn), np.cos(tilt)])
    target = [float(rng.normal(0, 6)), float(rng.normal(0, 6)), 0.0]
    roll = rng.normal(0, 0.03)
    up = [float(np.sin(roll)), float(np.cos(roll)), 0.0]
    return mi.ScalarTransform4f().look_at(origin=[float(v) for v in origin], target=target, up=up)


def _sensor(scene: dict[str, Any], pose: Place) -> Material:
    curves = sensitivities(scene["camera"])
    bands = {f"band{k + 1}_{name}": spectrum(curves[:, k]) for k, name in enumerate(("red", "green", "blue"))}
    film = {"type": "specfilm", "component_format": "float32", "rfilter": {"type": "gaussian"}, **bands}
    return {
        "type": "perspective",
        "fov": float(2 * np.degrees(np.arctan(half_view(scene["f35_mm"])))),
        "fov_axis": "x",
        "to_world": pose,
        "near_clip": 10.0,
        "far_clip": 5000.0,
        "film": {**film, "width": scene["size"][0], "height": scene["size"][1]},
        "sampler": {"type": "independent", "sample_count": 32},
    }


def _lights(scene: dict[str, Any], rng: np.random.Generator) -> Material:
    """A bright panel somewhere above, and light from all around."""
    light = illuminant(scene["illuminant"])
    turn, off, height = rng.uniform(0, 2 * np.pi), rng.uniform(150, 600), rng.uniform(1300, 2200)
    origin = [float(off * np.cos(turn)), float(off * np.sin(turn)), float(height)]
    place = mi.ScalarTransform4f().look_at(origin=origin, target=[0, 0, 0], up=[0, 1, 0])
    radiance = spectrum(light, 14.0 * scene["key"] * (height / 1400.0) ** 2)
    return {
        "key": {
            "type": "rectangle",
            "to_world": place @ mi.ScalarTransform4f().scale(260.0),
            "emitter": {"type": "area", "radiance": radiance},
        },
        "env": {"type": "constant", "radiance": spectrum(light, scene["ambient"])},
    }


def _table_and_plate(scene: dict[str, Any], rng: np.random.Generator, folder: Path) -> Material:
    table, surface = scene["table"], scene["surface"]
    material = metal(0.35, 0.55) if table == "steel" else _plain(rng, table, _TABLES[table])
    parts = {"table": _rectangle([0, 0, scene["card_z"] - 0.6], 0, [900, 700], material)}
    if scene.get("mat"):
        return parts
    if surface in _PLATES:
        material = {"type": "twosided", "b": glossy(matt(_PLATES[surface]), 0.05, 0.12)}
        profile, turn = np.array(_PROFILE_MM), np.linspace(0, 2 * np.pi, 128, endpoint=False)
        x, y = (np.outer(profile[:, 0], wave) + c for wave, c in _circle(turn, scene["plate"]["centre"]))
        mesh = closed(np.stack([x, y, np.repeat(profile[:, 1:], 128, 1)], -1))
        return parts | {"plate": _written(mesh, linear(mesh.lab), material, folder / "plate.ply")}
    material = metal(0.3, 0.6) if surface == "steel_tray" else _plain(rng, surface, _BOARDS[surface])
    return parts | {"tray": _rectangle([-67, 0, -0.05], 0, [140, 132], material)}


def _circle(turn: FloatArray, centre: list[float]) -> list[tuple[FloatArray, float]]:
    return list(zip((np.cos(turn), np.sin(turn)), centre, strict=True))


def _plain(rng: np.random.Generator, name: str, lab: list[float]) -> Material:
    return grained(rng, lab) if name in _GRAINED else matt(lab)


def _sheet(scene: dict[str, Any]) -> Material:
    pose, mat = scene["card_pose"], scene.get("mat")
    key = {"A4 mat": "mat-a4", "A3 mat": "mat-a3", None: "card-a6"}[mat]
    layout = next(layout for layout in load_layouts() if layout.key == key)
    material = glossy(textured(printed(layout, 8 if mat else 12)[::-1]), 0.04, 0.45)
    half = [layout.width_mm / 2, layout.height_mm / 2]
    if mat:
        return _rectangle([0, 0, -0.02], pose["angle_deg"] - 90, half, material)
    return _rectangle([pose["x"], pose["y"], scene["card_z"] + 0.1], pose["angle_deg"], half, material)


def _rectangle(at: list[float], angle_deg: float, half: list[float], material: Material) -> Material:
    place = mi.ScalarTransform4f().translate(at) @ mi.ScalarTransform4f().rotate([0, 0, 1], angle_deg)
    return {
        "type": "rectangle",
        "to_world": place @ mi.ScalarTransform4f().scale([*half, 1]),
        "bsdf": material,
    }


def _lay_cloth(scene: dict[str, Any], parts: Material, rng: np.random.Generator) -> None:
    """A woven cloth on the table, or checked paper for a board."""
    material = woven(rng)
    if "tray" in parts and rng.random() < 0.5:
        parts["tray"]["bsdf"] = material
        return
    at = [float(rng.normal(-40, 60)), float(rng.normal(0, 60)), scene["card_z"] - 0.55]
    parts["cloth"] = _rectangle(at, float(rng.uniform(0, 360)), [268, 200], material)


def _add_glare(parts: Material, rng: np.random.Generator) -> None:
    weight, roughness = float(rng.uniform(0.07, 0.18)), float(rng.uniform(0.03, 0.1))
    if "plate" in parts:
        parts["plate"]["bsdf"]["b"] = glossy(parts["plate"]["bsdf"]["b"]["a"], weight, roughness)
    elif "tray" in parts:
        parts["tray"]["bsdf"] = glossy(parts["tray"]["bsdf"], weight, roughness)
    else:
        parts["card"]["bsdf"] = glossy(parts["card"]["bsdf"]["a"], weight, max(roughness, 0.08))


def _finish(thing: Thing) -> Material:
    material = {
        "matt": vertex_coloured(),
        "satin": glossy(vertex_coloured(), 0.04, 0.3),
        "wet": glossy(vertex_coloured(), 0.08, 0.1),
        "metal": metal(0.16, 0.58),
    }[thing.finish]
    return {"type": "twosided", "b": material} if thing.open else material


def _ramekin(rng: np.random.Generator, fries: list[Mesh], number: int) -> Material:
    """A bowl of sauce where no fry is, if there is such a place."""
    for _ in range(200):
        at = np.array([rng.uniform(-185, 70), rng.uniform(-120, 120)])
        if all(np.abs(mesh.vertices[:, :2] - at).max(1).min() > 30 for mesh in fries):
            break
    else:
        return {}
    x, y = map(float, at)
    side = {"type": "twosided", "b": matt([88, 0, 3])}
    sauce = mi.ScalarTransform4f().translate([x, y, 24.0]) @ mi.ScalarTransform4f().scale(24)
    return {
        f"bowl{number}": {"type": "cylinder", "p0": [x, y, 0.0], "p1": [x, y, 30.0], "radius": 24.0, "bsdf": side},
        f"sauce{number}": {"type": "disk", "to_world": sauce, "bsdf": glossy(matt([34, 46, 32]), 0.05, 0.1)},
    }


def _strewn(rng: np.random.Generator, fries: list[Mesh], prop: str, number: int) -> Material:
    """Salt on fries' tops, crumbs on the plate, parsley on both."""
    lab, count, radius = _STREWN[prop]
    parts: Material = {}
    for grain in range(count):
        if prop == "salt" or (prop == "parsley" and rng.random() < 0.6):
            mesh = fries[rng.integers(len(fries))]
            at = mesh.vertices[rng.integers(len(mesh.vertices))]
            if at[2] < np.median(mesh.vertices[:, 2]):
                continue
        else:
            at = np.array([*rng.uniform([-150, -95], [35, 95]), radius * 0.6])
        size = float(radius * rng.uniform(0.6, 1.3))
        ball = {"type": "sphere", "center": [float(v) for v in at], "radius": size, "bsdf": matt(lab)}
        parts[f"{prop}{number}_{grain}"] = ball
    return parts


def _written(mesh: Mesh, colours: FloatArray, material: Material, file: Path) -> Material:
    """The mesh as a binary PLY file with colours (n, 3) in linear sRGB."""
    faces = np.empty(len(mesh.faces), dtype=[("n", "u1"), ("v", "<i4", 3)])
    faces["n"], faces["v"] = 3, mesh.faces
    header = ["ply", "format binary_little_endian 1.0", f"element vertex {len(mesh.vertices)}"]
    header += [f"property float {name}" for name in "xyzrgb"]
    header += [f"element face {len(faces)}", "property list uchar int vertex_indices", "end_header", ""]
    vertices = np.concatenate([mesh.vertices, colours], 1).astype("<f4")
    file.write_bytes("\n".join(header).encode() + vertices.tobytes() + faces.tobytes())
    return {"type": "ply", "filename": str(file), "bsdf": material}
