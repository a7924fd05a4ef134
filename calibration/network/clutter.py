"""What lies on plates besides fries: sticks, cutlery, napkins, crumbs, sauce, a hand. Never part of the mask.

All is drawn from the scene's name, lies on what is below it (fries too) and touches no fry from within.
"""

import zlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from calibration.network.shapes import Mesh, coloured, lump, moved, noise, puddle, rounded, sheet, swept, together
from grader.arrays import FloatArray

# How often a scene has clutter at all, and how often each kind is among it.
_SHARE = 0.35
_BIN_MM = 2.0
_PLATE_RADII, _PLATE_HEIGHTS = [0, 101, 108, 118, 128, 129.5], [0, 0, 1.2, 6, 9, 8.2]
_MATS = {"A4 mat": (297.0, 210.0), "A3 mat": (420.0, 297.0)}
_SAUCES = np.array([[34, 46, 32], [30, 20, 18], [68, 12, 66], [88, 0, 12]], float)
_GLOVES = np.array([[48, -8, -34], [20, 0, 0], [88, 0, 3]], float)
_PAPERS = np.array([[92, 0, 2], [90, 0, 3], [62, 8, 22], [70, 6, 20]], float)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Thing:
    """One mesh and what it is made of: matt, satin, wet or metal; `open` where it is seen from both sides."""

    mesh: Mesh
    finish: str
    open: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ground:
    """What things can lie on: the scene's plate or board on its table, and the vertices (n, 3) of all on them."""

    scene: Mapping[str, Any]
    on_it: FloatArray

    def bare(self, xy: FloatArray) -> FloatArray:
        """Heights (n,) of plate, board, sheet or table at places (n, 2)."""
        table = self.scene.get("card_z", 0.0) - 0.6
        if self.scene.get("mat"):
            inside = (np.abs(xy) < np.array(_MATS[self.scene["mat"]]) / 2).all(1)
        elif self.scene["surface"].endswith("plate"):
            radius = np.hypot(*(xy - self.scene["plate"]["centre"]).T)
            rise = np.interp(radius, _PLATE_RADII, _PLATE_HEIGHTS)
            return np.asarray(np.where(radius < _PLATE_RADII[-1], rise, table))
        else:
            inside = (np.abs(xy - [-67, 0]) < [140, 132]).all(1)
        return np.where(inside, 0.0, table)

    def top(self, xy: FloatArray, reach_mm: float) -> float:
        """The greatest height within a reach of a place (2,)."""
        near = np.hypot(*(self.on_it[:, :2] - xy).T) < reach_mm
        return max(float(self.bare(xy[None])[0]), float(self.on_it[near, 2].max(initial=-99.0)))

    def profile(
        self, at: FloatArray, yaw: float, half_length: float, half_width: float
    ) -> tuple[FloatArray, FloatArray]:
        """Places along a strip about `at` (2,) and the greatest height at each."""
        along = np.array([np.cos(yaw), np.sin(yaw)])
        places = np.arange(-half_length, half_length + _BIN_MM, _BIN_MM)
        heights = self.bare(at + places[:, None] * along)
        off = self.on_it[:, :2] - at
        t, q = off @ along, np.abs(off @ [-along[1], along[0]])
        near = (np.abs(t) <= half_length) & (q <= half_width + 0.5)
        bins = np.round((t[near] + half_length) / _BIN_MM).astype(int).clip(0, len(places) - 1)
        np.maximum.at(heights, bins, self.on_it[near, 2])
        return places, heights

    def resting(self, at: FloatArray, yaw: float, half_length: float, half_width: float) -> tuple[float, float]:
        """Height and slope at which a stiff bar lies on the two points that carry it on either side of its middle."""
        t, h = self.profile(at, yaw, half_length, half_width)
        left, right = t < 0, t > 0
        tl, hl, tr, hr = t[left][:, None], h[left][:, None], t[right][None], h[right][None]
        at_middle = (hl * tr - hr * tl) / (tr - tl)
        i, j = np.unravel_index(at_middle.argmax(), at_middle.shape)
        return float(at_middle[i, j]), float((hr[0, j] - hl[i, 0]) / (tr[0, j] - tl[i, 0]))

    def near(self, rng: np.random.Generator, scatter_mm: float = 22.0) -> FloatArray:
        """A place (2,) by some fry."""
        spot = self.on_it[rng.integers(len(self.on_it)), :2]
        return np.asarray(spot + rng.normal(0, scatter_mm, 2))

    def with_things(self, things: list[Thing]) -> "Ground":
        """The ground with these lying on it."""
        return Ground(scene=self.scene, on_it=np.concatenate([self.on_it, *(thing.mesh.vertices for thing in things)]))


def clutter(scene: Mapping[str, Any], fries: FloatArray, path: FloatArray) -> list[Thing]:
    """Things for a scene with the vertices (n, 3) of its fries, whose colours run along a path (k, 3) in CIELAB."""
    rng = generator(scene, "clutter")
    if rng.random() > _SHARE:
        return []
    count = int(rng.integers(1, 4))
    share = np.array([often for _, often in _KINDS])
    chosen = rng.choice(len(_KINDS), count, replace=False, p=share / share.sum())
    ground, things = Ground(scene=scene, on_it=fries), list[Thing]()
    for kind in sorted(int(k) for k in chosen):
        new = _KINDS[kind][0](rng, ground, path)
        ground, things = ground.with_things(new), [*things, *new]
    return things


def generator(scene: Mapping[str, Any], purpose: str) -> np.random.Generator:
    """Random numbers that are the scene's own for a purpose."""
    return np.random.default_rng(zlib.crc32(f"{scene['name']} {purpose}".encode()))


def _napkin(rng: np.random.Generator, ground: Ground, _: FloatArray) -> list[Thing]:
    size = (float(rng.uniform(110, 220)), float(rng.uniform(110, 220)))
    yaw, fries = float(rng.uniform(0, np.pi)), ground.on_it
    for _try in range(60):
        at = fries[rng.integers(len(fries)), :2] + rng.normal(0, 110, 2)
        flat = moved(sheet(np.zeros((60, 60)), size), np.r_[at, 0.0], yaw).vertices[:, :2]
        turn = np.array([[np.cos(yaw), -np.sin(yaw)], [np.sin(yaw), np.cos(yaw)]])
        if not (np.abs((fries[:, :2] - at) @ turn) < np.array(size) / 2 + 2).all(1).any():
            break
    else:
        return []
    lie = ground.bare(flat).reshape(60, 60)
    crumple = np.maximum(noise(rng, (60, 60), (6, 6)) + 0.5, 0) * rng.uniform(0.2, 1.6)
    mesh = sheet(lie + 0.3 + crumple, size)
    mesh = coloured(rng, mesh, _PAPERS[rng.integers(len(_PAPERS))], np.array([0.8, 0.1, 0.4]))
    return [Thing(mesh=moved(mesh, np.r_[at, 0.0], yaw), finish="matt", open=True)]


def _smear(rng: np.random.Generator, ground: Ground, _: FloatArray) -> list[Thing]:
    lab, things = _SAUCES[rng.integers(len(_SAUCES))] + rng.normal(0, 2, 3), []
    for _each in range(int(rng.integers(1, 4))):
        at = ground.near(rng, 15)
        mesh = puddle(rng, float(rng.uniform(5, 22)), float(rng.uniform(0.15, 0.7)))
        mesh = coloured(rng, mesh, lab, np.array([1.0, 0.5, 0.5]))
        height = float(ground.bare(at[None])[0]) + 0.08
        things.append(Thing(mesh=moved(mesh, np.r_[at, height], float(rng.uniform(0, 6.3))), finish="wet", open=True))
    return things


def _crumbs(rng: np.random.Generator, ground: Ground, path: FloatArray) -> list[Thing]:
    meshes, middle = [], ground.near(rng, 30)
    for _each in range(int(rng.integers(5, 41))):
        at = middle + rng.normal(0, 45, 2) if rng.random() < 0.6 else ground.near(rng, 12)
        radii = rng.uniform(0.75, 2.0) * rng.uniform(0.6, 1.0, 3)
        stage = float(np.clip(rng.normal(ground.scene["stage"], 1.0), 0, len(path) - 1.001))
        lab = path[int(stage)] + (stage % 1) * (path[int(stage) + 1] - path[int(stage)])
        mesh = coloured(rng, lump(rng, radii, 0.15), lab, np.array([2.0, 0.5, 1.5]))
        meshes.append(moved(mesh, np.r_[at, ground.top(at, 1.2) + radii[2] * 0.8], float(rng.uniform(0, 6.3))))
    return [Thing(mesh=together(*meshes), finish="matt")]


def _laid(rng: np.random.Generator, ground: Ground, mesh: Mesh, finish: str, scatter_mm: float = 22.0) -> list[Thing]:
    """A stiff thing along x, its underside at 0, put down by some fry."""
    half_length, half_width = np.abs(mesh.vertices[:, :2]).max(0)
    at, yaw = ground.near(rng, scatter_mm), float(rng.uniform(0, 2 * np.pi))
    height, slope = ground.resting(at, yaw, float(half_length), float(half_width))
    return [Thing(mesh=moved(mesh, np.r_[at, height + 0.1], yaw, slope), finish=finish)]


def _straight(length: float, height: float, bow: float = 0.0) -> FloatArray:
    x = np.linspace(-length / 2, length / 2, max(12, int(length / 1.5)))
    return np.stack([x, bow * (1 - (2 * x / length) ** 2), np.full(len(x), height)], -1)


def _wood(rng: np.random.Generator) -> FloatArray:
    lab = rng.uniform([70, 3, 18], [82, 9, 30])
    return np.asarray(lab - [0, 4, -2] if rng.random() < 0.4 else lab)


def _skewers(rng: np.random.Generator, ground: Ground, _: FloatArray) -> list[Thing]:
    things: list[Thing] = []
    for _each in range(int(rng.integers(1, 4))):
        if rng.random() < 0.6:
            length, radius = float(rng.uniform(120, 250)), float(rng.uniform(1.25, 2.0))
            path = _straight(length, radius)
            slim = np.minimum(1, (path[:, 0] - path[0, 0]) / 14 + 0.15) * radius
            mesh = swept(path, slim, slim)
        else:
            length, width = float(rng.uniform(80, 180)), float(rng.uniform(2, 3.5))
            path = _straight(length, 0.75)
            mesh = swept(path, width * rounded(path[:, 0], width), np.full(len(path), 0.75), power=7)
        mesh = coloured(rng, mesh, _wood(rng), np.array([2.0, 0.5, 1.0]))
        new = _laid(rng, ground, mesh, "matt")
        ground, things = ground.with_things(new), [*things, *new]
    return things


def _wooden_fork(rng: np.random.Generator, ground: Ground, _: FloatArray) -> list[Thing]:
    length, prongs = float(rng.uniform(75, 160)), int(rng.integers(2, 4))
    head, thick, gap = float(rng.uniform(5, 9)), 0.9, 0.28 * length
    handle = _straight(length - gap, thick)
    widen = 3.5 + (head - 3.5) * np.clip((handle[:, 0] / length + 0.2) * 2, 0, 1) ** 2
    parts = [swept(handle, widen * rounded(handle[:, 0], 5.0), np.full(len(handle), thick), power=7)]
    for k in range(prongs):
        prong = _straight(gap + 8, thick) + np.array(
            [(length + 2) / 2 - 6, (2 * k / (prongs - 1) - 1) * (head - 1.6), 0]
        )
        slim = 1.5 * np.clip((prong[-1, 0] - prong[:, 0]) / 12 + 0.2, 0, 1)
        parts.append(swept(prong, slim, np.full(len(prong), thick), power=7))
    mesh = coloured(rng, together(*parts), _wood(rng), np.array([2.0, 0.5, 1.0]))
    return _laid(rng, ground, mesh, "matt")


def _cutlery(rng: np.random.Generator, ground: Ground, _: FloatArray) -> list[Thing]:
    handle = _straight(float(rng.uniform(95, 130)), 1.6)
    half = len(handle) // 2
    wide = np.interp(np.arange(len(handle)), [0, half, len(handle)], [rng.uniform(4, 8), 4, 2.5])
    parts, end = [swept(handle, wide, np.full(len(handle), 1.4), power=3)], handle[-1, 0]
    kind = rng.choice(["fork", "knife", "spoon"])
    if kind == "knife":
        blade = _straight(95, 1.2) + np.array([end + 45, 0, 0])
        parts.append(swept(blade, 9 * rounded(blade[:, 0], 14.0), np.full(len(blade), 0.9), power=5))
    elif kind == "spoon":
        parts.append(moved(lump(rng, np.array([27.0, 18.0, 3.5]), 0.0), np.array([end + 24, 0, 3.5]), 0.0))
    else:
        neck = _straight(26, 1.4) + np.array([end + 12, 0, 0])
        parts.append(swept(neck, np.interp(np.arange(len(neck)), [0, 9, 99], [2.5, 11, 11]), np.full(len(neck), 1.2)))
        for y in (-9.0, -3.0, 3.0, 9.0):
            tine = _straight(46, 1.2) + np.array([end + 44, y, 0])
            parts.append(swept(tine, 1.6 * rounded(tine[:, 0], 8.0), np.full(len(tine), 1.1)))
    return _laid(rng, ground, together(*parts), "metal", 35.0)


def _stems(rng: np.random.Generator, ground: Ground, _: FloatArray) -> list[Thing]:
    lab, things = rng.uniform([35, -28, 18], [66, -12, 40]), list[Thing]()
    for _each in range(int(rng.integers(2, 7))):
        length, radius = float(rng.uniform(30, 120)), float(rng.uniform(1, 2))
        path = _straight(length, radius, float(rng.normal(0, 0.06)) * length)
        mesh = swept(path, radius * rounded(path[:, 0], 1.5), radius * rounded(path[:, 0], 1.5))
        mesh = coloured(rng, mesh, lab, np.array([3.0, 2.0, 3.0]))
        new = _laid(rng, ground, mesh, "satin")
        ground, things = ground.with_things(new), [*things, *new]
    return things


def _hand(rng: np.random.Generator, ground: Ground, _: FloatArray) -> list[Thing]:
    """A hand that reaches in from beyond a picture's edge: fingers, palm, arm."""
    half = 0.6656 * ground.scene["height_mm"] * np.array([1.0, 0.75])
    wanted = ground.near(rng, 20)
    side, sign = int(rng.integers(2)), float(rng.choice([-1, 1]))
    start = wanted + rng.normal(0, 45, 2)
    start[side] = sign * half[side]
    ahead = (wanted - start) / (np.hypot(*(wanted - start)) + 1e-9)
    tip = start + ahead * min(float(np.hypot(*(wanted - start))), float(rng.uniform(50, 150)))
    lab = _skin(rng)
    across, fingers, meshes = np.array([-ahead[1], ahead[0]]), int(rng.integers(3, 6)), list[Mesh]()
    rise, spread, radius = float(rng.uniform(8, 35)), float(rng.uniform(0, 0.12)), float(rng.uniform(7, 9.5))
    for k in range(fingers):
        off = k - (fingers - 1) / 2
        length = float(rng.uniform(60, 110))
        turn = np.arctan2(ahead[1], ahead[0]) + off * spread
        end = tip + across * off * (2 * radius + 1.5) - ahead * abs(off) * rng.uniform(3, 9)
        meshes.append(_finger(ground, end, turn, length, radius * float(rng.uniform(0.92, 1.05)), rise))
    back = tip - ahead * 105
    height = max(float(mesh.vertices[:, 2].max()) for mesh in meshes) - radius
    angle = float(np.arctan2(ahead[1], ahead[0]))
    meshes.append(moved(lump(rng, np.array([55.0, 12.0 * fingers, 15.0]), 0.03), np.r_[back, height], angle))
    arm = _straight(320, 0.0)
    thick = 26 * rounded(arm[:, 0], 20.0)
    meshes.append(moved(swept(arm, thick, 0.8 * thick), np.r_[back - ahead * 185, height + 12], angle))
    mesh = coloured(rng, together(*meshes), lab, np.array([1.5, 0.8, 0.8]))
    return [Thing(mesh=mesh, finish="satin")]


def _finger(ground: Ground, tip: FloatArray, yaw: float, length: float, radius: float, rise: float) -> Mesh:
    """A finger from its tip, on what lies under it, back and up to its root."""
    middle = tip - np.array([np.cos(yaw), np.sin(yaw)]) * length / 2
    places, heights = ground.profile(middle, yaw, length / 2, radius)
    lift = float((heights + rise * (places - length / 2) / length).max())
    path = _straight(length, 0.0)
    share = 0.5 - path[:, 0] / length
    path[:, 2] = lift + radius + rise * share + 0.06 * length * np.sin(np.pi * share)
    thick = radius * rounded(path[:, 0], radius) * (0.85 + 0.15 * share)
    return moved(swept(path, thick, thick), np.r_[middle, 0.0], yaw)


def _skin(rng: np.random.Generator) -> FloatArray:
    if rng.random() < 0.2:
        return np.asarray(_GLOVES[rng.integers(len(_GLOVES))])
    dark = rng.random()
    return np.array([78 - 48 * dark, 9 + 5 * np.sin(np.pi * dark), 14 + 6 * np.sin(np.pi * dark)]) + rng.normal(0, 1, 3)


_Maker = Callable[[np.random.Generator, Ground, FloatArray], list[Thing]]
# In the order in which they are laid down: what lies flat first.
_KINDS: tuple[tuple[_Maker, float], ...] = (
    (_napkin, 0.14),
    (_smear, 0.12),
    (_crumbs, 0.18),
    (_skewers, 0.28),
    (_wooden_fork, 0.12),
    (_cutlery, 0.14),
    (_stems, 0.12),
    (_hand, 0.16),
)
