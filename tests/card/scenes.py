"""Sheets photographed by a pinhole camera of our own: drawn, projected, blurred and encoded; the truth is exact.

Written without the code under test, but for the drawing of the sheet itself: the camera is three perpendicular unit
vectors and an eye, points are divided by their depth.
"""

from dataclasses import dataclass

import cv2
import numpy as np

from grader.arrays import ByteArray, Float32Array, FloatArray
from grader.card import load_layouts
from grader.card.model import Layout
from grader.card.printing import draw_sheet_png
from grader.colour.cie import lab_to_srgb8
from grader.photo.srgb import linear_light, linear_to_srgb

PX_PER_MM = 8  # every tag of the shipped layouts begins on a whole pixel then
SUPERSAMPLED = 2
FULL_FRAME_DIAGONAL_MM = 43.267


def layout_of(key: str) -> Layout:
    return next(layout for layout in load_layouts() if layout.key == key)


@dataclass(frozen=True, kw_only=True)
class Pinhole:
    """Eye and axes in sheet mm; `focal` in px; the middle of the picture is its principal point."""

    eye: FloatArray
    right: FloatArray
    down: FloatArray
    forward: FloatArray
    focal: float
    size: tuple[int, int]
    k1: float = 0.0

    @classmethod
    def over(
        cls,
        layout: Layout,
        *,
        tilt_deg: float = 0.0,
        towards_deg: float = 0.0,
        turned_deg: float = 0.0,
        height_mm: float = 0.0,
        focal_35mm: float = 26.0,
        size: tuple[int, int] = (1200, 900),
        k1: float = 0.0,
        off_mm: tuple[float, float] = (0.0, 0.0),
    ) -> "Pinhole":
        """Looks at the sheet's middle (or `off_mm` from it), tilted towards an azimuth, the picture turned."""
        focal = focal_35mm * np.hypot(*size) / FULL_FRAME_DIAGONAL_MM
        diagonal = np.hypot(layout.width_mm, layout.height_mm)
        distance = height_mm / np.cos(np.radians(tilt_deg)) if height_mm else diagonal * 1.15 * focal / min(size)
        tilt, towards, turned = np.radians([tilt_deg, towards_deg, turned_deg])
        forward = np.array([np.sin(tilt) * np.cos(towards), np.sin(tilt) * np.sin(towards), -np.cos(tilt)])
        right = np.array([1.0, 0.0, 0.0]) - forward[0] * forward
        right /= np.linalg.norm(right)
        down = -np.cross(forward, right)  # x right, y down, z up is a left-handed frame
        right, down = np.cos(turned) * right + np.sin(turned) * down, np.cos(turned) * down - np.sin(turned) * right
        target = np.array([layout.width_mm / 2 + off_mm[0], layout.height_mm / 2 + off_mm[1], 0.0])
        return cls(
            eye=target - distance * forward, right=right, down=down, forward=forward, focal=focal, size=size, k1=k1
        )

    def straight(self, points_mm: FloatArray) -> FloatArray:
        """Px of sheet points (n, 3) without lens distortion."""
        rays = np.asarray(points_mm, float) - self.eye
        depth = rays @ self.forward
        centre = (np.array(self.size) - 1) / 2
        return centre + self.focal * np.stack([rays @ self.right, rays @ self.down], axis=-1) / depth[..., None]

    def px(self, points_mm: FloatArray) -> FloatArray:
        """Px of sheet points (n, 3): distorted = the d for which d (1 + k1 d^2) is the straight one, by bisection."""
        centre, unit = (np.array(self.size) - 1) / 2, np.hypot(*self.size) / 2
        straight = (self.straight(points_mm) - centre) / unit
        wanted = np.linalg.norm(straight, axis=-1)
        low, high = np.zeros_like(wanted), 2 * wanted + 1e-9
        for _ in range(80):
            middle = (low + high) / 2
            short = middle * (1 + self.k1 * middle**2) < wanted
            low, high = np.where(short, middle, low), np.where(short, high, middle)
        return np.asarray(centre + unit * straight * (low / np.maximum(wanted, 1e-12))[..., None])

    def flat_px(self, points_mm: FloatArray) -> FloatArray:
        """Px of points (n, 2) of the sheet's plane."""
        points_mm = np.asarray(points_mm, float)
        return self.px(np.concatenate([points_mm, np.zeros((*points_mm.shape[:-1], 1))], axis=-1))


def picture_of(layout: Layout) -> ByteArray:
    """The sheet at PX_PER_MM, to be drawn upon before it is photographed."""
    return draw_sheet_png(layout, lab_to_srgb8, px_per_mm=PX_PER_MM).copy()


def blot(picture: ByteArray, area_mm: tuple[float, float, float, float], rgb: tuple[int, int, int]) -> None:
    """Something that lies on the sheet: x, y, width, height."""
    x, y, w, h = (round(v * PX_PER_MM) for v in area_mm)
    picture[y : y + h, x : x + w] = rgb


def photograph(
    picture: ByteArray,
    camera: Pinhole,
    *,
    exposure: float = 0.85,
    blur_px: float = 0.6,
    noise: float = 0.002,
    table: float = 0.12,
    veil: FloatArray | None = None,
    grain_number: int = 7,
) -> ByteArray:
    """The picture of a sheet, lying on a plain table, through a camera; `veil` (rows, columns) adds light."""
    light = linear_light(picture) * np.float32(exposure)
    if veil is not None:
        light = (
            light + cv2.resize(veil.astype(np.float32), light.shape[1::-1], interpolation=cv2.INTER_CUBIC)[..., None]
        )
    x, y = (mm * PX_PER_MM - np.float32(0.5) for mm in _where_on_sheet(camera))
    border = (table, table, table)
    inside = cv2.remap(light, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=border)
    taken = cv2.resize(inside, camera.size, interpolation=cv2.INTER_AREA)
    taken = cv2.GaussianBlur(taken, (0, 0), blur_px)
    grain = np.random.default_rng(grain_number).standard_normal(taken.shape, dtype=np.float32) * np.float32(noise)
    levels = linear_to_srgb(np.arange(4096) / 4095) * 255
    return np.asarray(np.rint(levels).astype(np.uint8)[np.rint(np.clip(taken + grain, 0, 1) * 4095).astype(np.int32)])


def _where_on_sheet(camera: Pinhole) -> tuple[Float32Array, Float32Array]:
    """Sheet mm that each pixel of the supersampled picture looks at."""
    width, height = camera.size
    u = ((np.arange(width * SUPERSAMPLED) + 0.5) / SUPERSAMPLED - 0.5).astype(np.float32)
    v = ((np.arange(height * SUPERSAMPLED) + 0.5) / SUPERSAMPLED - 0.5).astype(np.float32)
    x, y = np.meshgrid(u - np.float32((width - 1) / 2), v - np.float32((height - 1) / 2))
    stretch = (1 + np.float32(4 * camera.k1 / (width**2 + height**2)) * (x**2 + y**2)) / np.float32(camera.focal)
    x, y = x * stretch, y * stretch
    axes = np.stack([camera.forward, camera.right, camera.down]).astype(np.float32)
    rays = [axes[0, k] + x * axes[1, k] + y * axes[2, k] for k in range(3)]
    eye = camera.eye.astype(np.float32)
    reach = -eye[2] / rays[2]
    return eye[0] + reach * rays[0], eye[1] + reach * rays[1]


def corners_mm(layout: Layout) -> FloatArray:
    """(4, 2) the sheet's corners: top left, top right, bottom right, bottom left."""
    return np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * [layout.width_mm, layout.height_mm]
