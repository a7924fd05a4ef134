"""What plates, tables, cloths and sheets look like: textures in linear sRGB, materials as Mitsuba describes them."""

from typing import Any

import cv2
import mitsuba as mi
import numpy as np
from scipy.ndimage import gaussian_filter

from calibration.network.camera import WAVELENGTHS_NM
from grader.arrays import FloatArray
from grader.card.model import Layout, Rectangle
from grader.colour.cie import lab_to_xyz, xyz_to_linear_srgb

Material = dict[str, Any]

_INK_LAB = [19, 0.2, 0.2]
_CLOTH_LAB = np.array(
    [
        *([90, 0, 3], [84, 1, 12], [72, 5, 26], [60, 8, 32], [45, 48, 26]),
        *([35, 10, -36], [50, -28, 14], [30, 2, 0], [66, 4, 40], [55, 0, 0]),
    ],
    float,
)


def linear(lab: Any, low: float = 0.002, high: float = 0.98) -> FloatArray:
    """Linear sRGB (..., 3) of CIELAB, kept within what a surface can reflect."""
    return np.clip(xyz_to_linear_srgb(lab_to_xyz(np.asarray(lab, float))), low, high)


def spectrum(values: FloatArray, scale: float = 1.0) -> Material:
    """A spectrum at the wavelengths of `camera`."""
    return {
        "type": "regular",
        "wavelength_min": float(WAVELENGTHS_NM[0]),
        "wavelength_max": float(WAVELENGTHS_NM[-1]),
        "values": ", ".join(f"{value * scale:.6g}" for value in values),
    }


def matt(lab: Any) -> Material:
    """A matt surface of one colour."""
    return {"type": "diffuse", "reflectance": {"type": "rgb", "value": [float(v) for v in linear(lab)]}}


def textured(picture: FloatArray) -> Material:
    """A matt surface with a picture (h, w, 3) in linear sRGB."""
    bitmap = mi.Bitmap(np.ascontiguousarray(picture, np.float32))
    return {
        "type": "diffuse",
        "reflectance": {"type": "bitmap", "bitmap": bitmap, "raw": False, "filter_type": "bilinear"},
    }


def vertex_coloured() -> Material:
    """A matt surface in the colours of its mesh."""
    return {"type": "diffuse", "reflectance": {"type": "mesh_attribute", "name": "vertex_color"}}


def metal(roughness: float, grey: float) -> Material:
    """Brushed steel."""
    return {
        "type": "roughconductor",
        "material": "none",
        "alpha": roughness,
        "specular_reflectance": {"type": "rgb", "value": [grey, grey, grey + 0.01]},
    }


def glossy(below: Material, weight: float, roughness: float = 0.25) -> Material:
    """A material under a share of mirror."""
    mirror = {"type": "roughconductor", "material": "none", "alpha": float(roughness)}
    return {"type": "blendbsdf", "weight": float(weight), "a": below, "b": mirror}


def grained(rng: np.random.Generator, lab: Any) -> Material:
    """Wood, its grain along the width."""
    fine = gaussian_filter(rng.standard_normal((700, 900)), [1.2, 28])
    broad = gaussian_filter(rng.standard_normal((700, 900)), [14, 120])
    grain = np.multiply.outer(fine / fine.std(), [3.5, 0.6, 1.5]) + np.multiply.outer(broad / broad.std(), [4, 1, 2])
    return textured(linear(np.asarray(lab) + grain, 0.004, 0.95))


def woven(rng: np.random.Generator) -> Material:
    """Stripes or checks in two to four colours, 540 x 400 mm."""
    height, width = 1050, 1400
    own, ends = _bands(rng)
    lab = np.broadcast_to(_along(width, own, ends)[None], (height, width, 3))
    if rng.random() < 0.5:
        if rng.random() < 0.5:
            own, ends = _bands(rng)
        weft = _along(height, own, ends)[:, None]
        y, x = np.mgrid[:height, :width]
        lab = np.where(((x + y) // 2 % 2)[..., None] == 0, lab, weft)
    threads = 1.2 * np.sin(np.arange(width) * 2.1) + 1.2 * np.sin(np.arange(height) * 2.1)[:, None]
    uneven = rng.normal(0, 1.5, (height, width)) + threads
    return textured(linear(lab + uneven[..., None], 0.004, 0.95))


def _bands(rng: np.random.Generator) -> tuple[FloatArray, FloatArray]:
    count = int(rng.integers(2, 5))
    own = _CLOTH_LAB[rng.choice(len(_CLOTH_LAB), count, replace=False)]
    return own, np.cumsum(rng.uniform(2, 18, count))


def _along(pixels: int, own: FloatArray, ends: FloatArray) -> FloatArray:
    place = (np.arange(pixels) / 2.6) % ends[-1]
    return np.asarray(own[np.minimum(np.searchsorted(ends, place), len(ends) - 1)])


def printed(layout: Layout, px_per_mm: int) -> FloatArray:
    """A sheet's picture (h, w, 3), linear sRGB: paper, field, patches and tags; its top row first."""
    paper = linear(layout.base_lab)
    picture = np.empty((round(layout.height_mm * px_per_mm), round(layout.width_mm * px_per_mm), 3))
    picture[:] = paper
    fields = [(layout.field, layout.field_lab)] if layout.field else []
    for area, lab in [*fields, *((patch.area, patch.lab) for patch in layout.patches)]:
        picture[_pixels(area, px_per_mm)] = linear(lab)
    tags = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    size = round(layout.tag_size_mm * px_per_mm)
    for tag in layout.tags:
        black = cv2.aruco.generateImageMarker(tags, tag.number, size) < 128
        area = Rectangle(x_mm=tag.x_mm, y_mm=tag.y_mm, width_mm=layout.tag_size_mm, height_mm=layout.tag_size_mm)
        picture[_pixels(area, px_per_mm)] = np.where(black[..., None], linear(_INK_LAB), paper)
    return picture


def _pixels(area: Rectangle | None, px_per_mm: int) -> tuple[slice, slice]:
    if area is None:
        return slice(0), slice(0)
    x, y = round(area.x_mm * px_per_mm), round(area.y_mm * px_per_mm)
    return slice(y, y + round(area.height_mm * px_per_mm)), slice(x, x + round(area.width_mm * px_per_mm))
