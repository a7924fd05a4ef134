"""Photographs of a 24-patch chart, made here: drawn from its reference values, lit unevenly, seen by a camera of random
matrix, tone and noise through a perspective, and compressed. The truth is exact.
"""

from dataclasses import dataclass, field

import cv2
import numpy as np

from grader.arrays import ByteArray, Float32Array, FloatArray
from grader.colour.cie import D65, XYZ_TO_SRGB, lab_to_xyz
from grader.photo.srgb import linear_to_srgb

PX_PER_MM = 4
PATCH_MM, PITCH_MM, MARGIN_MM = 40.0, 45.0, 12.0
BOARD_MM = (2 * MARGIN_MM + 5 * PITCH_MM + PATCH_MM, 2 * MARGIN_MM + 3 * PITCH_MM + PATCH_MM)
FRAME_XYZ = 0.035
PALENESS = 0.12
"""Keeps the chart's strongest colours inside the picture's gamut, most of the time, as phones do."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Sensor:
    """A camera: sensor rgb = matrix @ XYZ, then the curve, then noise."""

    matrix: FloatArray
    tone: tuple[float, float] = (0.0, 0.0)
    haze: float = 0.0
    noise: float = 0.004


@dataclass(frozen=True, kw_only=True, eq=False)
class View:
    """Where the board's corners come to lie, px: top left, top right, bottom right, bottom left; and the light on it.

    `slope` is the change of log level across the board's width and height.
    """

    corners_px: FloatArray
    size: tuple[int, int] = (1600, 1200)
    slope: tuple[float, float] = (0.0, 0.0)
    table_xyz: FloatArray = field(default_factory=lambda: np.array([0.28, 0.29, 0.25]))


def random_sensor(rng: np.random.Generator) -> Sensor:
    """sRGB primaries stirred, channels unbalanced, an S-shaped tone and some haze: a phone, more or less."""
    stirred = XYZ_TO_SRGB @ (np.eye(3) + rng.normal(0, 0.04, (3, 3)))
    balanced = stirred / (stirred @ D65)[:, None]
    pale = (1 - PALENESS) * balanced + PALENESS * balanced.mean(axis=0)
    gains = rng.uniform(0.5, 0.75) * np.exp(rng.normal(0, 0.08, 3))
    return Sensor(
        matrix=pale * gains[:, None],
        tone=(rng.uniform(-0.05, 0.05), rng.uniform(0.0, 0.25)),
        haze=rng.uniform(0.0, 0.02),
        noise=rng.uniform(0.002, 0.006),
    )


def random_view(rng: np.random.Generator, *, size: tuple[int, int] = (1600, 1200), fill: float = 0.7) -> View:
    """The board in a perspective, turned by any angle within 25 degrees."""
    width = fill * size[0]
    box = np.array([[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]]) * [width, width * BOARD_MM[1] / BOARD_MM[0]]
    angle = np.radians(rng.uniform(-25, 25)) * (1 if fill < 0.6 else 0.3)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    corners = box @ turn.T + rng.normal(0, 0.015 * width, (4, 2)) + np.array(size) / 2
    return View(corners_px=corners, size=size, slope=(rng.uniform(-0.2, 0.2), rng.uniform(-0.2, 0.2)))


def board_xyz(patch_xyz: FloatArray) -> Float32Array:
    """(h, w, 3) the board with its 24 patches, PX_PER_MM."""
    width, height = (round(mm * PX_PER_MM) for mm in BOARD_MM)
    board = np.full((height, width, 3), FRAME_XYZ, np.float32) * D65.astype(np.float32)
    side = round(PATCH_MM * PX_PER_MM)
    for index, xyz in enumerate(patch_xyz):
        row, column = divmod(index, 6)
        x, y = (round((MARGIN_MM + k * PITCH_MM) * PX_PER_MM) for k in (column, row))
        board[y : y + side, x : x + side] = xyz
    return board


def photograph(patch_xyz: FloatArray, sensor: Sensor, view: View, rng: np.random.Generator) -> ByteArray:
    """(h, w, 3) uint8 sRGB-encoded picture of a chart whose patches have these XYZ (24, 3) in even light."""
    board = board_xyz(patch_xyz)
    height, width = board.shape[:2]
    x, y = np.meshgrid(np.linspace(-0.5, 0.5, width), np.linspace(-0.5, 0.5, height))
    board = board * np.exp(view.slope[0] * x + view.slope[1] * y)[..., None].astype(np.float32)
    corners = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float32)
    to_px = cv2.getPerspectiveTransform(corners, view.corners_px.astype(np.float32))
    scene = cv2.warpPerspective(
        board,
        to_px,
        view.size,
        flags=cv2.INTER_AREA,
        borderMode=cv2.BORDER_CONSTANT,
        borderValue=tuple(view.table_xyz.tolist()),
    )
    return decoded(jpeg_bytes(developed(np.asarray(scene, np.float32), sensor, rng)))


def developed(scene_xyz: Float32Array, sensor: Sensor, rng: np.random.Generator) -> ByteArray:
    """(h, w, 3) uint8: what a camera makes of a scene (h, w, 3) in XYZ: blur, tone, haze and noise."""
    seen = cv2.GaussianBlur(scene_xyz, (0, 0), 0.8) @ sensor.matrix.T.astype(np.float32)
    white = sensor.matrix @ lab_to_xyz([100.0, 0.0, 0.0])
    linear = seen + np.float32(sensor.haze) * white.astype(np.float32)
    linear += (
        rng.standard_normal(linear.shape, np.float32) * np.float32(sensor.noise) * np.sqrt(np.maximum(linear, 0.02))
    )
    encoded = linear_to_srgb(np.clip(linear, 0, 1))
    bent = encoded - encoded * (1 - encoded) * (sensor.tone[0] + sensor.tone[1] * (1 - 2 * encoded))
    return np.rint(np.clip(bent, 0, 1) * 255).astype(np.uint8)


def jpeg_bytes(picture: ByteArray) -> bytes:
    """A picture (h, w, 3), RGB, as a file."""
    _, packed = cv2.imencode(".jpg", picture[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, 92])
    return bytes(packed)


def decoded(data: bytes) -> ByteArray:
    """(h, w, 3) RGB of a file."""
    return np.asarray(cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR), np.uint8)[..., ::-1].copy()
