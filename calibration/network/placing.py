"""Fries drawn as plain numbers (mm, radians) and put down: spread, side by side, or dropped on each other."""

from typing import Any

import mujoco
import numpy as np
from shapely import affinity
from shapely.geometry import LineString

from calibration.network.fry_mesh import bent
from grader.arrays import FloatArray

Fry = dict[str, Any]

# Plain bars are not all that is cut: this share of fries has a shape that no cutter means.
_SHARE_ODD = 0.35
_TRIES_FLAT, _TRIES_BESIDE = 4000, 300
_FRICTION = 'friction="0.9 .01 .001"'


def draw_fry(rng: np.random.Generator, scene: dict[str, Any]) -> Fry:
    """One fry of the kind that a scene has: whole, short or a sliver; its bend, ends, dark end, spots and skin."""
    cut = scene["cut_mm"]
    short, sliver = scene["short"], scene["sliver"]
    kind = str(rng.choice(["fry", "short", "sliver"], p=[1 - short - sliver, short, sliver]))
    length = {
        "fry": np.clip(rng.normal(scene["length_mm"], scene["length_sd"]), 35, 135),
        "short": rng.uniform(15, 35),
        "sliver": rng.uniform(25, 70),
    }[kind]
    width, thickness = cut * rng.normal(1, 0.04), cut * rng.normal(1, 0.04)
    if kind == "sliver":
        if rng.random() < 0.5:
            width = cut * rng.uniform(0.35, 0.6)
        else:
            thickness = cut * rng.uniform(0.35, 0.6)
    stage = float(np.clip(rng.normal(scene["stage"], scene["stage_sd"]), 0, 8))
    fry: Fry = {
        "kind": kind,
        "length_mm": float(length),
        "width_mm": float(width),
        "thickness_mm": float(thickness),
        "sagitta_mm": float(rng.normal(0, scene["bend_mm"]) * (length / 80) ** 2),
        "stage": stage,
        "seed": int(rng.integers(1 << 31)),
        "taper": [_taper(rng), _taper(rng)],
        "skew": [float(rng.normal(0, 0.25)), float(rng.normal(0, 0.25))],
        "dark_end": _dark_end(rng) if rng.random() < scene["dark_end"] and length > 40 else None,
        "spots": [_spot(rng) for _ in range(rng.poisson(scene["spots"]))],
        "skin": [side for side in range(4) if rng.random() < scene["skin"]][:1],
        "odd": _odd(rng, length) if rng.random() < _SHARE_ODD else None,
    }
    if fry["odd"] and fry["odd"]["sagitta_mm"]:
        fry["sagitta_mm"] = fry["odd"]["sagitta_mm"]
    return fry


def _odd(rng: np.random.Generator, length: float) -> Fry:
    """What makes a fry of no usual shape: a far greater bend, waists along it, one end to a point, a bumpy face."""
    return {
        "sagitta_mm": float(rng.choice([-1, 1]) * rng.uniform(0.05, 0.22) * length) if rng.random() < 0.5 else None,
        "waist": float(rng.uniform(0, 0.35)),
        "waist_mm": float(rng.uniform(3, 12)),
        "point": float(rng.uniform(0.3, 0.9)) if rng.random() < 0.5 else 0.0,
        "point_mm": float(rng.uniform(15, 40)),
        "bump_mm": float(rng.uniform(0, 1.0)),
        "bump_reach_mm": float(rng.uniform(1.2, 3.0)),
    }


def _taper(rng: np.random.Generator) -> float:
    return float(rng.uniform(0.0, 0.35) if rng.random() < 0.35 else 0)


def _dark_end(rng: np.random.Generator) -> Fry:
    return {
        "end": int(rng.integers(2)),
        "fraction": float(rng.uniform(0.12, 0.4)),
        "shift": float(rng.uniform(1.6, 3.2)),
    }


def _spot(rng: np.random.Generator) -> Fry:
    return {
        "u": float(rng.uniform(0.08, 0.92)),
        "side": int(rng.integers(4)),
        "r_mm": float(rng.uniform(1.0, 3.0)),
        "shift": float(rng.uniform(2.5, 4.5)),
    }


def outline(fry: Fry, pose: list[float]) -> Any:
    """The fry seen from above at x, y, angle, as a polygon."""
    cos, sin = np.cos(pose[2]), np.sin(pose[2])
    half = fry["length_mm"] / 2
    line = LineString(bent(fry, np.linspace(-half, half, 24))[0] @ np.array([[cos, sin], [-sin, cos]]) + pose[:2])
    return line.buffer(fry["width_mm"] / 2, cap_style=2, join_style=1)


def spread(rng: np.random.Generator, fries: list[Fry], area: Any, gap_mm: float) -> list[Fry]:
    """The fries flat within an area, none nearer to another than a gap; those that find no place are left out."""
    placed: list[Any] = []
    lying = []
    for fry in sorted(fries, key=lambda fry: -float(fry["length_mm"])):
        for _ in range(_TRIES_FLAT):
            pose = _anywhere(rng, area)
            if placed:
                # An unused number is drawn here, as it was when the scenes were made.
                rng.random()
            shape = outline(fry, pose)
            if area.contains(shape) and all(shape.distance(other) > gap_mm for other in placed):
                placed.append(shape)
                lying.append(_flat(fry, pose))
                break
    return lying


def beside(rng: np.random.Generator, fries: list[Fry], area: Any) -> list[Fry]:
    """The fries flat within an area, most of them pushed against another: along its side, or end to side."""
    placed: list[Any] = []
    poses: list[list[float]] = []
    lying = []
    for fry in sorted(fries, key=lambda fry: -float(fry["length_mm"])):
        for _ in range(_TRIES_BESIDE):
            if placed and rng.random() < 0.7:
                pose = _pushed(rng, fry, placed, poses)
                if pose is None:
                    continue
            else:
                pose = _anywhere(rng, area)
            shape = outline(fry, pose)
            if area.contains(shape) and not any(shape.intersects(other) for other in placed):
                placed.append(shape)
                poses.append([float(v) for v in pose])
                lying.append(_flat(fry, poses[-1]))
                break
    return lying


def _pushed(rng: np.random.Generator, fry: Fry, placed: list[Any], poses: list[list[float]]) -> list[float] | None:
    """A fry slid from 80 mm away towards another until it meets any; None if it meets one at once."""
    k = int(rng.integers(len(placed)))
    other_angle = poses[k][2]
    angle = other_angle + (rng.normal(0, 0.06) if rng.random() < 0.6 else rng.uniform(0, np.pi))
    middle = np.array(placed[k].centroid.coords[0])
    towards = rng.uniform(0, 2 * np.pi)
    if rng.random() < 0.6:
        towards = other_angle + np.pi / 2 * rng.choice([-1, 1]) + rng.normal(0, 0.5)
    start = middle + 80 * np.array([np.cos(towards), np.sin(towards)])
    shape = outline(fry, [*start, angle])
    way = middle + rng.normal(0, 8, 2) - start

    def meets(share: float) -> bool:
        moved = affinity.translate(shape, *(way * share))
        return any(moved.intersects(other) for other in placed)

    if any(meets(share) for share in (0, 0.1, 0.2, 0.3)):
        return None
    free, met = 0.0, 1.0
    for _ in range(11):
        middle_share = (free + met) / 2
        free, met = (free, middle_share) if meets(middle_share) else (middle_share, met)
    return [*(start + way * free), angle]


def _anywhere(rng: np.random.Generator, area: Any) -> list[float]:
    x0, y0, x1, y1 = area.bounds
    return [rng.uniform(x0, x1), rng.uniform(y0, y1), rng.uniform(0, np.pi)]


def _flat(fry: Fry, pose: list[float]) -> Fry:
    x, y, angle = pose
    return {
        **fry,
        "position": [float(x), float(y), fry["thickness_mm"] / 2 + 0.15],
        "quaternion": [float(np.cos(angle / 2)), 0, 0, float(np.sin(angle / 2))],
    }


def dropped(
    rng: np.random.Generator,
    fries: list[Fry],
    centre: FloatArray,
    radius_mm: float,
    wall_mm: float | None = None,
) -> list[Fry]:
    """The fries dropped one after another within a circle, as stiff boxes; a wall around them makes a heap."""
    bodies = list(_wall(centre, wall_mm) if wall_mm else [])
    height = 20
    for fry in fries:
        reach, turn = radius_mm * np.sqrt(rng.random()), rng.uniform(0, 2 * np.pi)
        height += 7
        half = " ".join(str(fry[key] / 2000) for key in ("length_mm", "width_mm", "thickness_mm"))
        at = f"{(centre[0] + reach * np.cos(turn)) / 1000} {(centre[1] + reach * np.sin(turn)) / 1000} {height / 1000}"
        bodies.append(
            f'<body pos="{at}" euler="0 0 {rng.uniform(0, 360)}"><freejoint/>'
            f'<geom type="box" size="{half}" density="900" {_FRICTION}/></body>'
        )
    places = _settled(bodies, 1.3 + height / 1000)
    return [
        {
            **fry,
            "sagitta_mm": fry["sagitta_mm"] * 0.25,
            "position": [float(v * 1000) for v in place[:3]],
            "quaternion": [float(v) for v in place[3:]],
        }
        for fry, place in zip(fries, places.reshape(-1, 7), strict=True)
    ]


def _wall(centre: FloatArray, radius_mm: float) -> list[str]:
    half = radius_mm * np.tan(np.pi / 24) / 1000 + 0.002
    walls = []
    for angle in 2 * np.pi * np.arange(24) / 24:
        x, y = ((centre[k] + radius_mm * wave) / 1000 for k, wave in enumerate((np.cos(angle), np.sin(angle))))
        walls.append(f'<geom type="box" size="0.004 {half} 0.03" pos="{x} {y} 0.03" euler="0 0 {np.degrees(angle)}"/>')
    return walls


def _settled(bodies: list[str], seconds: float) -> FloatArray:
    """Place (m) and quaternion of each body after some time, in one row."""
    model = mujoco.MjModel.from_xml_string(
        '<mujoco><option timestep="0.002" gravity="0 0 -9.81" iterations="60"/><worldbody>'
        f'<geom type="plane" size="1 1 .1" {_FRICTION}/>{"".join(bodies)}</worldbody></mujoco>'
    )
    data = mujoco.MjData(model)
    while data.time < seconds:
        mujoco.mj_step(model, data)
    return np.array(data.qpos)
