"""A fry as a surface: its bent, tapered, uneven bar, and the colour of every point from how far it is fried there."""

from typing import Any

import numpy as np

from calibration.network.shapes import Mesh, closed, noise
from grader.arrays import FloatArray

# Raw-pale to charred, CIELAB (D65, 2 degrees). Invented, in the range that papers report.
PATH_LAB = np.array(
    [
        *([76, -2.0, 19], [72, -0.5, 24], [68, 2.0, 30], [63, 5.5, 35], [57, 9.5, 36]),
        *([49, 13.0, 33], [40, 13.5, 25], [30, 9.5, 14], [21, 4.0, 6]),
    ],
    float,
)
_SKIN_LAB = np.array([43, 9.5, 21.0])
_AROUND = 44
_SQUARENESS = 7.0


def fry_mesh(fry: dict[str, Any], path_lab: FloatArray) -> Mesh:
    """The fry where it lies in its scene; `path_lab` (k, 3) is the colour of each stage."""
    rng = np.random.default_rng(fry["seed"])
    along = np.linspace(0, 1, max(40, int(fry["length_mm"] / 0.8)))
    turn = np.linspace(0, 2 * np.pi, _AROUND, endpoint=False)
    reach = (np.abs(np.cos(turn)) ** _SQUARENESS + np.abs(np.sin(turn)) ** _SQUARENESS) ** (-1 / _SQUARENESS)
    mesh = closed(_rings(rng, fry, along, turn, reach))
    lab = _lab(rng, fry, _stages(rng, fry, along, turn, reach), path_lab)
    lab = np.concatenate([lab.reshape(-1, 3), lab[:1].mean(1), lab[-1:].mean(1)])
    return Mesh(vertices=turned(mesh.vertices, fry["quaternion"]) + fry["position"], faces=mesh.faces, lab=lab)


def _rings(
    rng: np.random.Generator, fry: dict[str, Any], along: FloatArray, turn: FloatArray, reach: FloatArray
) -> FloatArray:
    length, shape = fry["length_mm"], (len(along), _AROUND)
    from_start, from_end = along * length, (1 - along) * length
    rim = np.clip(np.minimum(from_start, from_end) / 1.4, 0, 1)
    cap = np.clip(1 - (1 - rim) ** 2.2 * 0.35, 0.2, 1)
    taper = 1 - sum(
        share * np.clip(1 - far / 14, 0, 1) for share, far in zip(fry["taper"], (from_start, from_end), strict=True)
    )
    bump = 0.13 * noise(rng, shape, (2.5, 2.0)) + 0.12 * noise(rng, shape, (8, 6))
    if odd := fry["odd"]:
        waist, more = _uneven(odd, fry["seed"], along, length)
        taper, bump = taper * waist, bump + more
    y, z = (np.outer(cap * taper * fry[key] / 2, reach * wave) for key, wave in _sides(turn))
    y, z = y + bump * np.cos(turn), z + bump * np.sin(turn)
    middle, angle = bent(fry, (along - 0.5) * length)
    slant = sum(
        skew * np.clip(1 - far / 8, 0, 1) for skew, far in zip(fry["skew"], (from_start, from_end), strict=True)
    )
    x = middle[:, :1] + (slant - np.sin(angle))[:, None] * y
    return np.stack([x, middle[:, 1:] + np.cos(angle)[:, None] * y, z], -1)


def _uneven(odd: dict[str, Any], seed: int, along: FloatArray, length: float) -> tuple[FloatArray, FloatArray]:
    """An odd fry's share of its width at places along it (n,), and its bumps (n, m), mm."""
    rng, step = np.random.default_rng([seed, 1]), length / len(along)
    wave = noise(rng, (len(along), _AROUND), (odd["waist_mm"] / step, _AROUND))[:, 0]
    waist = 1 - np.clip(odd["waist"] * np.abs(wave), 0, 0.6)
    point = 1 - odd["point"] * np.clip(1 - along * length / odd["point_mm"], 0, 1)
    return waist * point, odd["bump_mm"] * noise(rng, (len(along), _AROUND), (odd["bump_reach_mm"] / step, 2.0))


def _sides(turn: FloatArray) -> tuple[tuple[str, FloatArray], ...]:
    return ("width_mm", np.cos(turn)), ("thickness_mm", np.sin(turn))


def bent(fry: dict[str, Any], places: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The fry's middle (n, 2), mm, in its own frame at places (n,) along it, and its direction (n,) there."""
    sagitta = fry["sagitta_mm"]
    if abs(sagitta) < 0.05:
        return np.stack([places, 0 * places], 1), 0 * places
    bend = 8 * sagitta / fry["length_mm"] ** 2
    angle = places * bend
    return np.stack([np.sin(angle) / bend, (1 - np.cos(angle)) / bend - sagitta / 2], 1), angle


def _stages(
    rng: np.random.Generator, fry: dict[str, Any], along: FloatArray, turn: FloatArray, reach: FloatArray
) -> FloatArray:
    """How far it is fried (n, m): more at edges and ends, uneven, each side its own; dark end and spots on top."""
    length, shape = fry["length_mm"], (len(along), _AROUND)
    to_end = np.minimum(along, 1 - along) * length
    edge = np.clip((reach - 1.0) / (reach.max() - 1.0), 0, 1)
    stage = fry["stage"] + 0.55 * edge**2 + 0.7 * np.exp(-to_end / 2.5)[:, None]
    stage = stage + 0.28 * noise(rng, shape, (14, 5)) + 0.14 * noise(rng, shape, (2, 1.5))
    stage = stage + rng.normal(0, 0.22, 4)[np.round(turn / (np.pi / 2)).astype(int) % 4]
    if dark := fry["dark_end"]:
        share = along if dark["end"] == 0 else 1 - along
        stage = stage + (dark["shift"] / (1 + np.exp((share - dark["fraction"]) * length / 3.0)))[:, None]
    for spot in fry["spots"]:
        across = _off(turn, spot["side"]) * fry["width_mm"] / 1.6
        far = np.hypot(((along - spot["u"]) * length)[:, None], across[None])
        stage = stage + spot["shift"] / (1 + np.exp((far - spot["r_mm"]) / 0.35))
    return np.asarray(stage)


def _lab(rng: np.random.Generator, fry: dict[str, Any], stage: FloatArray, path_lab: FloatArray) -> FloatArray:
    place = np.clip(stage, 0, len(path_lab) - 1.001)
    lower, share = place.astype(int), (place % 1)[..., None]
    lab = path_lab[lower] * (1 - share) + path_lab[lower + 1] * share
    for side in fry["skin"]:
        half_width = 0.62 + 0.12 * noise(rng, stage.shape, (6, 3))
        skin = _logistic((half_width - np.abs(_off(np.linspace(0, 2 * np.pi, _AROUND, endpoint=False), side))) / 0.05)
        skin_lab = _SKIN_LAB + noise(rng, stage.shape, (3, 2))[..., None] * [3.5, 1, 2]
        lab = lab * (1 - skin[..., None]) + skin_lab * skin[..., None]
    return np.asarray(lab)


def _off(turn: FloatArray, side: int) -> FloatArray:
    """Angles (m,) from the middle of a side."""
    return np.asarray(np.angle(np.exp(1j * (turn - side * np.pi / 2))))


def _logistic(x: FloatArray) -> FloatArray:
    return np.asarray(1 / (1 + np.exp(-x)))


def turned(points: FloatArray, quaternion: list[float]) -> FloatArray:
    """Points (n, 3) turned by a unit quaternion w, x, y, z."""
    w, x, y, z = quaternion
    return np.asarray(
        points
        @ np.array(
            [
                [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
                [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
                [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
            ]
        ).T
    )
