"""Meshes of plain things, in mm: bars swept along a path, lumps, sheets. Nothing here knows what they stand for."""

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter

from grader.arrays import FloatArray, IntArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Mesh:
    """A surface with a colour at each vertex.

    Attributes
    ----------
    vertices
        (n, 3) mm.
    faces
        (m, 3) numbers of vertices.
    lab
        (n, 3) CIELAB (D65, 2 degrees).
    """

    vertices: FloatArray
    faces: IntArray
    lab: FloatArray


def swept(
    path: FloatArray, half_width: FloatArray, half_thickness: FloatArray, *, power: float = 2.0, sides: int = 20
) -> Mesh:
    """A closed bar along a path (n, 3) that is nowhere upright, its section a superellipse; grey until `coloured`."""
    along = np.gradient(path, axis=0)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    side = np.cross([0.0, 0.0, 1.0], along)
    side /= np.linalg.norm(side, axis=1, keepdims=True)
    up = np.cross(along, side)
    angle = np.linspace(0, 2 * np.pi, sides, endpoint=False)
    reach = (np.abs(np.cos(angle)) ** power + np.abs(np.sin(angle)) ** power) ** (-1 / power)
    y, z = np.outer(half_width, reach * np.cos(angle)), np.outer(half_thickness, reach * np.sin(angle))
    rings = path[:, None] + side[:, None] * y[..., None] + up[:, None] * z[..., None]
    return closed(rings)


def closed(rings: FloatArray) -> Mesh:
    """Rings (n, m, 3) joined one to the next, and to a middle at both ends."""
    n, m, _ = rings.shape
    i, j = np.meshgrid(np.arange(n - 1), np.arange(m), indexing="ij")
    a, b = i * m + j, i * m + (j + 1) % m
    quads = _two_triangles(a, b, a + m, b + m)
    k = np.arange(m)
    first = np.stack([np.full(m, n * m), (k + 1) % m, k], -1)
    last = np.stack([np.full(m, n * m + 1), (n - 1) * m + k, (n - 1) * m + (k + 1) % m], -1)
    vertices = np.concatenate([rings.reshape(-1, 3), rings[:1].mean(1), rings[-1:].mean(1)])
    return _grey(vertices, np.concatenate([quads, first, last]))


def lump(rng: np.random.Generator, radii: FloatArray, rough: float) -> Mesh:
    """An ellipsoid of half axes (3,) about the origin, its radius uneven by a share `rough`."""
    polar, turn = np.linspace(0.12, np.pi - 0.12, 14), np.linspace(0, 2 * np.pi, 18, endpoint=False)
    reach = 1 + rough * noise(rng, (14, 18), (1.5, 1.5))
    rings = np.stack(
        [
            -np.cos(polar)[:, None] * np.ones(18),
            np.outer(np.sin(polar), np.cos(turn)),
            np.outer(np.sin(polar), np.sin(turn)),
        ],
        -1,
    )
    return closed(rings * reach[..., None] * radii)


def sheet(heights: FloatArray, size_mm: tuple[float, float]) -> Mesh:
    """A rectangle about the origin with its heights (rows, columns)."""
    rows, columns = heights.shape
    y, x = np.meshgrid(
        np.linspace(-0.5, 0.5, rows) * size_mm[1], np.linspace(-0.5, 0.5, columns) * size_mm[0], indexing="ij"
    )
    i, j = np.meshgrid(np.arange(rows - 1), np.arange(columns - 1), indexing="ij")
    a = i * columns + j
    return _grey(np.stack([x, y, heights], -1).reshape(-1, 3), _two_triangles(a, a + 1, a + columns, a + columns + 1))


def puddle(rng: np.random.Generator, radius_mm: float, height_mm: float) -> Mesh:
    """A flat irregular drop about the origin."""
    turn, steps = np.linspace(0, 2 * np.pi, 60, endpoint=False), np.array([0.1, 0.5, 0.8, 0.95, 1.0])
    rim = np.exp(0.3 * noise(rng, (5, 60), (0.1, 4.0))[0]) * (1 + 0.6 * rng.random() * np.abs(np.cos(turn)))
    x, y = (radius_mm * np.outer(steps, rim * wave) for wave in (np.cos(turn), np.sin(turn)))
    z = height_mm * (1 - steps**4)[:, None] * (1 + 0.25 * np.outer(steps, noise(rng, (5, 60), (0.1, 5.0))[0]))
    mesh = closed(np.stack([x, y, z], -1)[:, ::-1])
    return _grey(mesh.vertices[:-1], mesh.faces[:-60])


def coloured(rng: np.random.Generator, mesh: Mesh, lab: FloatArray, spread: FloatArray) -> Mesh:
    """The mesh in one colour (3,), uneven from vertex to vertex by (3,) standard deviations, all going one way."""
    uneven = gaussian_filter(rng.standard_normal(len(mesh.vertices)), 2.0)
    uneven /= uneven.std() + 1e-9
    return Mesh(vertices=mesh.vertices, faces=mesh.faces, lab=lab + uneven[:, None] * spread)


def moved(mesh: Mesh, at_mm: FloatArray, yaw: float, slope: float = 0.0) -> Mesh:
    """The mesh raised by its slope along x, turned about the upright and put at a place (3,)."""
    x, y, z = mesh.vertices.T
    c, s = np.cos(yaw), np.sin(yaw)
    return Mesh(
        vertices=np.stack([c * x - s * y, s * x + c * y, z + slope * x], -1) + at_mm, faces=mesh.faces, lab=mesh.lab
    )


def together(*meshes: Mesh) -> Mesh:
    """Several meshes as one."""
    starts = np.cumsum([0, *(len(mesh.vertices) for mesh in meshes)])
    return Mesh(
        vertices=np.concatenate([mesh.vertices for mesh in meshes]),
        faces=np.concatenate([mesh.faces + start for mesh, start in zip(meshes, starts, strict=False)]),
        lab=np.concatenate([mesh.lab for mesh in meshes]),
    )


def noise(rng: np.random.Generator, shape: tuple[int, int], sigma: tuple[float, float]) -> FloatArray:
    """Smooth noise of unit standard deviation, going round along its second axis."""
    smooth: FloatArray = gaussian_filter(rng.standard_normal(shape), sigma, mode=["nearest", "wrap"])
    return np.asarray(smooth / (smooth.std() + 1e-9))


def rounded(places_mm: FloatArray, radius_mm: float) -> FloatArray:
    """How much of its width a bar has at places along it, if its ends are rounded with a radius."""
    inside = np.clip(np.minimum(places_mm - places_mm[0], places_mm[-1] - places_mm) / radius_mm, 0, 1)
    return np.asarray(np.sqrt(np.maximum(1 - (1 - inside) ** 2, 0.01)))


def _two_triangles(a: IntArray, b: IntArray, c: IntArray, d: IntArray) -> IntArray:
    return np.concatenate([np.stack([a, b, d], -1).reshape(-1, 3), np.stack([a, d, c], -1).reshape(-1, 3)])


def _grey(vertices: FloatArray, faces: IntArray) -> Mesh:
    return Mesh(vertices=vertices, faces=faces, lab=np.full(vertices.shape, [50.0, 0.0, 0.0]))
