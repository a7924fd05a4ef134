"""At which height over the plate each point of a fry's outline is seen, and where it lies then.

A fry stands up from the sheet, so its outline is not that of one plane. Of a bar the edge that faces away from the
point below the camera is seen near its top, the edge that faces it near its foot. What is no bar lying flat has its
edges at a height of their own, which whoever knows its shape hands in.
"""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray
from grader.card.model import Camera
from grader.card.pose import at_height, camera_height_mm, foot_mm, sight_lines
from grader.fries.outline import Outline

_ROUNDNESS = 6.0
"""A cut bar's cross-section: |y / a| ** (n + 1) + |z / b| ** (n + 1) = 1 with n = 6: flat faces, rounded edges."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Section:
    """What is known of a fry's cross-section before it is measured.

    Attributes
    ----------
    thickness_mm
        None: as thick as wide.
    edges_mm
        (k,) how high over its ground the fry reaches out farthest, at each point of its outline; None: a bar that
        lies flat.
    pointed
        It narrows to a tip at either end.
    on_edge
        It lies on an edge: what is seen of its width is that across its corners.
    """

    thickness_mm: float | None = None
    edges_mm: FloatArray | None = None
    pointed: bool = False
    on_edge: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OutlineLines:
    """(k, 3) sight lines of an outline's points, and of points a pixel outside them."""

    camera: Camera
    at: FloatArray
    beyond: FloatArray


def lines_of(outline: Outline, camera: Camera) -> OutlineLines:
    """The ways on which an outline is seen, whatever its height."""
    return OutlineLines(
        camera=camera,
        at=sight_lines(camera, outline.points_px),
        beyond=sight_lines(camera, outline.points_px + outline.outward),
    )


def on_their_heights(
    lines: OutlineLines, ground_mm: float, thickness: float, edges_mm: FloatArray | None
) -> tuple[FloatArray, FloatArray]:
    """(k, 2) how far out the fry reaches at each point of its outline, mm, and (k, 2) the normals there."""
    camera, middle = lines.camera, ground_mm + thickness / 2
    if edges_mm is not None:
        heights = ground_mm + edges_mm
        seen = at_height(camera, lines.at, heights)
        step = at_height(camera, lines.beyond, heights) - seen
        return seen, _unit(step)
    level = at_height(camera, lines.at, middle)
    normals = _unit(at_height(camera, lines.beyond, middle) - level)
    lean = leaning(camera, level, normals)
    steepness = np.maximum(np.abs(lean), 1e-6) ** (-1 / _ROUNDNESS)
    reach = np.sign(lean) * (1 + steepness ** (_ROUNDNESS + 1)) ** (-1 / (_ROUNDNESS + 1))
    seen = at_height(camera, lines.at, middle + reach * thickness / 2)
    narrowed = 1 - (1 - np.abs(reach) ** (_ROUNDNESS + 1)) ** (1 / (_ROUNDNESS + 1))
    return seen + normals * (narrowed * thickness / 2)[:, None], normals  # a rounded edge is narrower where it is seen


def leaning(camera: Camera, xy: FloatArray, normals: FloatArray) -> FloatArray:
    """(k,) mm that a point moves outward in the photo for each mm that it rises; below 0 on edges facing the camera."""
    return np.asarray(((xy - foot_mm(camera)) * normals).sum(axis=1) / camera_height_mm(camera))


def _unit(steps: FloatArray) -> FloatArray:
    return np.asarray(steps / np.maximum(np.linalg.norm(steps, axis=1, keepdims=True), 1e-12))
