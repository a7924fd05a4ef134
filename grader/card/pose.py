"""Where the camera stood, and points mapped through it at any height over the sheet.

The sheet's frame (x right, y down, z towards the camera) is left-handed, a camera's own (x right, y down, z away) is
right-handed: so `Camera.rotation` is orthogonal with determinant -1. Nothing else needs to know.
"""

import math

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import least_squares, minimize_scalar
from scipy.spatial.transform import Rotation

from grader.arrays import FloatArray, frozen
from grader.card.homography import fit_homography
from grader.card.lens import bend, centre_px, straighten
from grader.card.model import Camera

_FULL_FRAME_DIAGONAL_MM = 43.267
"""Diagonal of 36 mm x 24 mm: EXIF's equivalent focal length is read on the diagonal (CIPA DCG-001)."""
_USUAL_FOCAL_35MM = 26.0
_USUAL_FOCAL_SPREAD = 0.15
"""A phone's main camera: about 24 to 28 mm equivalent; relative standard deviation. Common practice, no source."""
_FOCAL_RANGE_35MM = (13.0, 120.0)
_CORNER_NOISE_PX = 0.3
"""Standard deviation of a corner about the pinhole's: measuring it, and a sheet that doesn't lie quite flat."""

_TOWARDS_CAMERA = np.diag([1.0, 1.0, -1.0])


def focal_px(focal_35mm: float, size_px: tuple[int, int]) -> float:
    """Focal length in pixels of a 35 mm equivalent one (mm), for a photo of this width and height."""
    return float(focal_35mm * np.hypot(*size_px) / _FULL_FRAME_DIAGONAL_MM)


def estimate_camera(
    points_mm: ArrayLike,
    points_px: ArrayLike,
    *,
    size_px: tuple[int, int],
    focal_35mm: float | None,
    radial: float = 0.0,
    scale_u: float = 0.008,
) -> Camera:
    """The camera's pose from points of the sheet's plane and where they are seen.

    Parameters
    ----------
    points_mm, points_px
        (n, 2) each, n >= 4: on the sheet, and in the photo (lens distortion and all).
    focal_35mm
        None: taken from the perspective, as far as the tilt shows it, drawn towards a phone's usual 26 mm.
    radial
        Lens distortion as in `grader.card.lens`.
    scale_u
        Relative standard uncertainty of lengths in the sheet's plane; carried along.
    """
    flat = np.asarray(points_mm, float)
    straight = straighten(points_px, radial, size_px)
    known = focal_35mm is not None
    focal = focal_px(focal_35mm, size_px) if focal_35mm is not None else _likely_focal_px(flat, straight, size_px)
    rotation, translation, _ = _pose(flat, straight, _intrinsics(focal, size_px))
    return Camera(
        intrinsics=frozen(_intrinsics(focal, size_px)),
        rotation=frozen(rotation @ _TOWARDS_CAMERA),
        translation=frozen(translation),
        radial=radial,
        size_px=size_px,
        focal_known=known,
        scale_u=scale_u,
    )


def to_pixels(camera: Camera, points_mm: ArrayLike) -> FloatArray:
    """(n, 2) photo px of (n, 3) sheet mm."""
    points = np.asarray(points_mm, float)
    return level_to_pixels(camera, points[:, :2], points[:, 2])


def level_to_pixels(camera: Camera, xy_mm: ArrayLike, height_mm: ArrayLike) -> FloatArray:
    """(n, 2) photo px of (n, 2) sheet mm that lie `height_mm` (one, or (n,)) over the sheet: `to_plane` backwards."""
    to_picture = camera.intrinsics @ camera.rotation
    shift = np.multiply.outer(to_picture[:, 2], height_mm).reshape(3, -1)
    shift = shift + (camera.intrinsics @ camera.translation)[:, None]
    x, y, depth = np.ascontiguousarray(to_picture[:, :2]) @ np.asarray(xy_mm, float).T + shift
    return bend(np.stack([x / depth, y / depth]).T, camera.radial, camera.size_px)


def to_plane(camera: Camera, points_px: ArrayLike, height_mm: ArrayLike) -> FloatArray:
    """(n, 2) sheet mm of (n, 2) photo px that lie `height_mm` (one, or (n,)) over it: `level_to_pixels` backwards."""
    return at_height(camera, sight_lines(camera, points_px), height_mm)


def sight_lines(camera: Camera, points_px: ArrayLike) -> FloatArray:
    """(n, 3) the ways on which (n, 2) photo px are seen, in the sheet's frame; their length means nothing."""
    straight = straighten(points_px, camera.radial, camera.size_px)
    to_sheet = np.linalg.solve(camera.intrinsics.T, camera.rotation)
    return np.asarray((to_sheet[:2].T @ straight.T + to_sheet[2][:, None]).T)


def at_height(camera: Camera, lines: FloatArray, height_mm: ArrayLike) -> FloatArray:
    """(n, 2) sheet mm at which sight lines (n, 3) are `height_mm` (one, or (n,)) over the sheet."""
    eye_x, eye_y, eye_z = _eye_mm(camera)
    x, y, z = lines.T
    reach = (np.asarray(height_mm, float) - eye_z) / z
    return np.stack([eye_x + reach * x, eye_y + reach * y]).T


def px_per_mm_at(camera: Camera, xy_mm: FloatArray, height_mm: float) -> float:
    """Pixels per mm at a point (2,) of the sheet's frame and a height over it (geometric mean over directions)."""
    steps = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]])
    here, right, down = level_to_pixels(camera, xy_mm + steps, height_mm)
    (along_x, along_y), (across_x, across_y) = right - here, down - here
    return math.sqrt(abs(along_x * across_y - along_y * across_x))


def camera_height_mm(camera: Camera) -> float:
    """How high the camera stood over the sheet's plane."""
    return float(_eye_mm(camera)[2])


def foot_mm(camera: Camera) -> FloatArray:
    """(2,) the point of the sheet's plane straight below the camera."""
    return _eye_mm(camera)[:2]


def tilt_deg(camera: Camera) -> float:
    """Angle between the camera's axis and straight down on the sheet."""
    return float(np.degrees(np.arccos(np.clip(-camera.rotation[2, 2], -1, 1))))


def _eye_mm(camera: Camera) -> FloatArray:
    """(3,) the camera's own place in the sheet's frame."""
    return -camera.rotation.T @ camera.translation


def _intrinsics(focal: float, size_px: tuple[int, int]) -> FloatArray:
    x, y = centre_px(size_px)
    return np.array([[focal, 0, x], [0, focal, y], [0, 0, 1]])


def _pose(flat: FloatArray, straight: FloatArray, intrinsics: FloatArray) -> tuple[FloatArray, FloatArray, float]:
    """Rotation and translation into the camera's frame of points with z away from it, and the squared misfit, px^2.

    Begun from the homography (Zhang, "A flexible new technique for camera calibration", 2000, section 3.1), refined to
    the least misfit. Not OpenCV's: in 5.0 SOLVEPNP_IPPE gives nan for a sheet tilted about one axis only, and
    solvePnPRefineLM can leave a start that is right already.
    """
    start = np.linalg.solve(intrinsics, fit_homography(flat, straight))
    start *= np.sign(start[2] @ [*flat.mean(axis=0), 1]) * 2 / np.sum(np.linalg.norm(start[:, :2], axis=0))
    across, down, shift = start.T
    left, _, right = np.linalg.svd(np.column_stack([across, down, np.cross(across, down)]))
    turned, unit = left @ right, np.array([1.0, 1.0, 1.0, *np.full(3, np.linalg.norm(shift))])

    def moved(step: FloatArray) -> tuple[FloatArray, FloatArray]:
        turn = Rotation.from_rotvec((step * unit)[:3]).as_matrix()
        return turn @ turned, shift + (step * unit)[3:]

    def misfit(step: FloatArray) -> FloatArray:
        rotation, translation = moved(step)
        seen = (flat @ rotation[:, :2].T + translation) @ intrinsics.T
        return np.asarray(seen[:, :2] / seen[:, 2:] - straight).ravel()

    best = least_squares(misfit, np.zeros(6), method="lm")
    return *moved(np.asarray(best.x)), 2 * float(best.cost)


def _likely_focal_px(flat: FloatArray, straight: FloatArray, size_px: tuple[int, int]) -> float:
    """The focal length that weighs what the perspective shows against what phones usually have."""

    def unlikeliness(log_focal_35mm: float) -> float:
        intrinsics = _intrinsics(focal_px(np.exp(log_focal_35mm), size_px), size_px)
        misfit = _pose(flat, straight, intrinsics)[2] / _CORNER_NOISE_PX**2
        return float(misfit + ((log_focal_35mm - np.log(_USUAL_FOCAL_35MM)) / _USUAL_FOCAL_SPREAD) ** 2)

    best = minimize_scalar(unlikeliness, bounds=tuple(np.log(_FOCAL_RANGE_35MM)), method="bounded")
    return focal_px(float(np.exp(best.x)), size_px)
