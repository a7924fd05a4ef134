"""At which height over the plate each point of a fry's outline is seen, and where it lies then.

A fry stands up from the sheet, so its outline is not that of one plane. Of a bar the edge that faces away from the
point below the camera is seen near its top, the edge that faces it near its foot. What is no bar lying flat has its
edges at a height of their own, which whoever knows its shape hands in.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray
from grader.card.model import Camera
from grader.card.pose import at_height, camera_height_mm, foot_mm, sight_lines
from grader.fries.outline import Outline
from grader.fries.together import Together, laid_together

_ROUNDNESS = 6.0
"""A cut bar's cross-section: |y / a| ** (n + 1) + |z / b| ** (n + 1) = 1 with n = 6: flat faces, rounded edges."""
_FEW = 16
"""The outlines of so many fries fit into a processor's cache; passes over those of a whole plate wait for memory."""


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
    """The ways on which the outlines of n fries are seen, k points in all, whatever their height.

    Attributes
    ----------
    camera
        Pose over the sheet.
    together
        Which point is which fry's.
    at, beyond
        (k, 3) sight lines of the points, and of points a pixel outside them.
    """

    camera: Camera
    together: Together
    at: FloatArray
    beyond: FloatArray


def lines_of(outlines: Sequence[Outline], camera: Camera) -> list[OutlineLines]:
    """The ways on which outlines are seen; those of a few fries in each, in the same order."""
    return [_lines_of_few(outlines[first : first + _FEW], camera) for first in range(0, len(outlines), _FEW)]


def _lines_of_few(outlines: Sequence[Outline], camera: Camera) -> OutlineLines:
    points = np.concatenate([outline.points_px for outline in outlines])
    outward = np.concatenate([outline.outward for outline in outlines])
    return OutlineLines(
        camera=camera,
        together=laid_together([len(outline.points_px) for outline in outlines]),
        at=sight_lines(camera, points),
        beyond=sight_lines(camera, points + outward),
    )


def on_their_heights(
    lines: OutlineLines, ground_mm: float, thickness_mm: FloatArray, edges_mm: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """(k, 2) how far out the fries reach at each point of their outlines, mm, and (k, 2) the normals there.

    Parameters
    ----------
    lines
        Of the outlines.
    ground_mm
        How high over the sheet the fries lie.
    thickness_mm, edges_mm
        (k,) each, of the fry; and as in `Section`, nan where it is a bar that lies flat.
    """
    camera = lines.camera
    flat = np.isnan(edges_mm)
    level_mm = ground_mm + np.where(flat, thickness_mm / 2, edges_mm)
    level = at_height(camera, lines.at, level_mm)
    normals = _unit(at_height(camera, lines.beyond, level_mm) - level)
    lean = leaning(camera, level, normals)
    steepness = np.maximum(np.abs(lean), 1e-6) ** (-(_ROUNDNESS + 1) / _ROUNDNESS)
    reach = np.where(flat, np.sign(lean) * (1 + steepness) ** (-1 / (_ROUNDNESS + 1)), 0.0)
    seen = at_height(camera, lines.at, level_mm + reach * thickness_mm / 2)
    # A rounded edge is narrower where it is seen.
    narrowed = np.where(flat, 1 - (steepness / (1 + steepness)) ** (1 / (_ROUNDNESS + 1)), 0.0)
    return seen + normals * (narrowed * thickness_mm / 2)[:, None], normals


def leaning(camera: Camera, xy: FloatArray, normals: FloatArray) -> FloatArray:
    """(k,) mm that a point moves outward in the photo for each mm that it rises; below 0 on edges facing the camera."""
    foot_x, foot_y = foot_mm(camera)
    outward = (xy[:, 0] - foot_x) * normals[:, 0] + (xy[:, 1] - foot_y) * normals[:, 1]
    return np.asarray(outward / camera_height_mm(camera))


def _unit(steps: FloatArray) -> FloatArray:
    x, y = steps.T
    length = np.maximum(np.sqrt(x * x + y * y), 1e-12)
    return np.stack([x / length, y / length]).T
