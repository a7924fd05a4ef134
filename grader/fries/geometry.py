"""Length and width of a fry in its own plane, from its outline.

A fry stands up from the sheet, so its outline is not that of one plane: the edge that faces away from the point below
the camera is seen near its top, the edge that faces it near its foot. Each point of the outline is put back to the
height at which it is seen, the fry taken for a bar with rounded edges, as thick as it is wide.
"""

from dataclasses import dataclass, replace

import numpy as np

from grader.arrays import FloatArray, MaskArray
from grader.card.model import Camera
from grader.card.pose import camera_height_mm, foot_mm, px_per_mm_at, to_pixels, to_plane
from grader.fries.frame import Frame
from grader.fries.medians import medians_of
from grader.fries.outline import Outline
from grader.fries.size_doubt import ends_doubt, meeting_doubt, relative_doubt, sides_doubt

_ROUNDNESS = 6.0
"""A cut bar's cross-section: |y / a| ** (n + 1) + |z / b| ** (n + 1) = 1 with n = 6: flat faces, rounded edges."""
_THICKNESS_RANGE = 0.4, 1.6
_SIDE = 0.5
"""A point belongs to a side where its normal leans more across than along (sine of 30 degrees), else to an end."""
_END_MIDDLE = 0.3
_ROUNDS = 3
_SLICES = 40
_CENTRE_POINTS = 25


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StripGeometry:
    """One fry's measures, mm on the sheet's scale, and each with its standard uncertainty.

    `ends` are masks (k,) over the outline: the middle part of either end. `frame` has its origin at the first end.
    `bow_mm` is how far the centreline leaves the straight line between its ends.
    """

    length_mm: float
    straight_mm: float
    width_mm: float
    length_u_mm: float
    straight_u_mm: float
    width_u_mm: float
    bow_mm: float
    area_mm2: float
    centreline_px: FloatArray
    ends: tuple[MaskArray, MaskArray]
    middle_height_mm: float
    frame: Frame


def measure_strip(
    outline: Outline, camera: Camera, *, ground_mm: float, ground_u_mm: float, width_mm: float
) -> StripGeometry:
    """Measure one fry.

    Parameters
    ----------
    outline
        In the photo.
    camera
        Pose over the sheet.
    ground_mm, ground_u_mm
        How high over the sheet the fry lies, and how sure that is.
    width_mm
        A first guess of its width: the cut.

    Uncertainties include the sheet's scale, the lens, the fry's height, the ground's, the edges' and ends that meet
    other fries; not that the outline may be another fry's in part (`FryFlag` says so).
    """
    thickness = width_mm
    allowed = width_mm * _THICKNESS_RANGE[0], width_mm * _THICKNESS_RANGE[1]
    for _ in range(_ROUNDS):
        xy, normals = _on_their_heights(outline, camera, ground_mm, thickness)
        frame, sides = _frame(xy, normals)
        width = _width(frame, xy, sides)
        thickness = float(np.clip(width, *allowed))
    height = ground_mm + thickness / 2, ground_u_mm
    return _conclude(camera, (xy, normals), frame, width=width, height=height, met=outline.other > 0)


def _on_their_heights(
    outline: Outline, camera: Camera, ground_mm: float, thickness: float
) -> tuple[FloatArray, FloatArray]:
    """(k, 2) how far out the fry reaches at each point of its outline, and (k, 2) the normals there.

    A rounded edge has narrowed a little where it is seen; that is added again.
    """
    middle = ground_mm + thickness / 2
    level = to_plane(camera, outline.points_px, middle)
    step = to_plane(camera, outline.points_px + outline.outward, middle) - level
    normals = step / np.maximum(np.linalg.norm(step, axis=1, keepdims=True), 1e-12)
    lean = _lean(camera, level, normals)
    steepness = np.maximum(np.abs(lean), 1e-6) ** (-1 / _ROUNDNESS)
    reach = np.sign(lean) * (1 + steepness ** (_ROUNDNESS + 1)) ** (-1 / (_ROUNDNESS + 1))
    seen = to_plane(camera, outline.points_px, middle + reach * thickness / 2)
    narrowed = 1 - (1 - np.abs(reach) ** (_ROUNDNESS + 1)) ** (1 / (_ROUNDNESS + 1))
    return seen + normals * (narrowed * thickness / 2)[:, None], normals


def _lean(camera: Camera, xy: FloatArray, normals: FloatArray) -> FloatArray:
    """(k,) mm that a point moves outward in the photo for each mm that it rises; below 0 on edges facing the camera."""
    return np.asarray(((xy - foot_mm(camera)) * normals).sum(axis=1) / camera_height_mm(camera))


def _frame(xy: FloatArray, normals: FloatArray) -> tuple[Frame, tuple[MaskArray, MaskArray]]:
    """The bent bar's frame, and which points of the outline lie on either side of it."""
    origin = (xy.min(axis=0) + xy.max(axis=0)) / 2
    first = np.linalg.eigh(np.cov((xy - origin).T))[1][:, ::-1].T
    x, y = first @ (xy - origin).T
    lean = normals @ first[1]
    upper, lower = lean > _SIDE, lean < -_SIDE
    edges = np.linspace(x.min(), x.max(), _SLICES + 1)
    place = np.clip(np.digitize(x, edges) - 1, 0, _SLICES - 1)
    middle = (medians_of(y[upper], place[upper], _SLICES) + medians_of(y[lower], place[lower], _SLICES)) / 2
    both = np.isfinite(middle)
    degree = 2 if both.sum() >= 8 else 1 if both.sum() >= 3 else 0
    bend = np.polyfit((edges[:-1] + edges[1:])[both] / 2, middle[both], degree) if both.any() else np.zeros(1)
    bend = np.concatenate([np.zeros(3 - len(bend)), bend])
    return Frame(origin=origin, axes=first, bend=bend, start=0.0), (upper, lower)


def _width(frame: Frame, xy: FloatArray, sides: tuple[MaskArray, MaskArray]) -> float:
    """Median distance between the two sides over the middle four fifths."""
    along, across = frame.along_across(xy)
    low, high = along.min(), along.max()
    inner = (along > low + 0.1 * (high - low)) & (along < high - 0.1 * (high - low))
    upper, lower = across[sides[0] & inner], across[sides[1] & inner]
    if not (len(upper) and len(lower)):
        return float(across.max() - across.min())
    return float(np.median(upper) - np.median(lower))


def _conclude(
    camera: Camera,
    points: tuple[FloatArray, FloatArray],
    frame: Frame,
    *,
    width: float,
    height: tuple[float, float],
    met: MaskArray,
) -> StripGeometry:
    xy, normals = points
    along, across = frame.along_across(xy)
    ends = _ends(along, across, normals @ frame.axes[0], width)
    start, stop = float(np.mean(along[ends[0]])), float(np.mean(along[ends[1]]))
    length = max(stop - start, 0.0)
    frame = replace(frame, start=start)
    centre = frame.place(np.linspace(0, length, _CENTRE_POINTS), np.zeros(_CENTRE_POINTS))
    straight = float(np.linalg.norm(centre[-1] - centre[0]))
    relative = relative_doubt(camera, centre[[0, -1]], height_mm=height[0], height_u_mm=height[1], width=width)
    lean = _lean(camera, xy, normals)
    facing = normals @ frame.axes[1]
    pixel_mm = 1 / px_per_mm_at(camera, frame.origin, height[0])
    edges_u = np.hypot(ends_doubt(lean, ends, pixel_mm=pixel_mm, width=width), meeting_doubt(met, ends))
    sides_u = sides_doubt(lean, (facing > _SIDE, facing < -_SIDE), pixel_mm=pixel_mm, width=width)
    return StripGeometry(
        length_mm=length,
        straight_mm=straight,
        width_mm=width,
        length_u_mm=float(np.hypot(relative * length, edges_u)),
        straight_u_mm=float(np.hypot(relative * straight, edges_u)),
        width_u_mm=float(np.hypot(relative * width, sides_u)),
        bow_mm=_bow(centre),
        area_mm2=_area(xy),
        centreline_px=to_pixels(camera, np.column_stack([centre, np.full(len(centre), height[0])])),
        ends=ends,
        middle_height_mm=height[0],
        frame=frame,
    )


def _ends(along: FloatArray, across: FloatArray, facing_along: FloatArray, width: float) -> tuple[MaskArray, MaskArray]:
    """The points of the outline at the middle of either end."""
    inner = np.abs(across) < _END_MIDDLE * width
    facing = np.abs(facing_along) > _SIDE
    middle = (along.min() + along.max()) / 2

    def of(half: MaskArray) -> MaskArray:
        return next((end for end in (half & facing & inner, half & inner) if end.any()), half)

    return of(along < middle), of(along >= middle)


def _bow(centre: FloatArray) -> float:
    chord = centre[-1] - centre[0]
    off = centre - centre[0]
    return float(np.max(np.abs(chord[0] * off[:, 1] - chord[1] * off[:, 0])) / max(float(np.linalg.norm(chord)), 1.0))


def _area(xy: FloatArray) -> float:
    """Of the polygon."""
    x, y = xy.T
    return float(abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2)
