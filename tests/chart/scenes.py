"""Photographs of one of our printed cards beside a chart: both laid on a table, lit, and seen by a camera made here.

The print's colours are drawn apart from the designed ones; the truth is exact. A light and a camera see every surface a
little off (metamerism), each in its own way.
"""

from dataclasses import dataclass
from datetime import date

import cv2
import numpy as np

from grader.arrays import Float32Array, FloatArray
from grader.card import load_layouts
from grader.card.imprint import Imprint
from grader.card.model import Layout
from grader.card.printing import draw_sheet_png
from grader.card.serial import Serial
from grader.colour import lab_to_srgb8, lab_to_xyz, xyz_to_lab
from grader.colour.cie import linear_srgb_to_xyz
from grader.photo.srgb import linear_light
from tests.chart.photographs import BOARD_MM, PX_PER_MM, Sensor, board_xyz, developed, jpeg_bytes

TABLE_MM = (170 + round(BOARD_MM[0]), 30 + round(BOARD_MM[1]))
CARD_AT_MM, CHART_AT_MM = (10, 45), (162, 15)
IMPRINT = Imprint(serial=Serial("K7Q2X", 14), printed=date(2026, 11, 2), renew_by=date(2027, 5, 2))
METAMERISM = 0.012
"""Relative standard deviation by which a camera under a light sees X, Y, Z of a surface."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Print:
    """A card as printed: its true colours, CIELAB, patches and paper."""

    layout: Layout
    patch_lab: FloatArray
    base_lab: FloatArray


def card_layout() -> Layout:
    return next(layout for layout in load_layouts() if layout.key == "card-148")


def random_print(rng: np.random.Generator) -> Print:
    """Every patch off its design by 3 to 5 CIELAB units, the paper by about one."""
    layout = card_layout()
    designed = np.array([patch.lab for patch in layout.patches])
    way = rng.standard_normal(designed.shape)
    off = way / np.linalg.norm(way, axis=1, keepdims=True) * rng.uniform(3, 5, (len(designed), 1))
    printed = designed + off
    printed[:, 0] = np.minimum(printed[:, 0], 94.0)
    return Print(layout=layout, patch_lab=printed, base_lab=np.array(layout.base_lab) + rng.normal(0, 0.6, 3))


def card_xyz(card: Print) -> Float32Array:
    """(h, w, 3) the printed sheet, PX_PER_MM: drawn by the project, then patches and paper in their exact colours."""
    picture = draw_sheet_png(card.layout, lab_to_srgb8, px_per_mm=PX_PER_MM, imprint=IMPRINT)
    xyz = linear_srgb_to_xyz(linear_light(picture)).astype(np.float32)
    xyz[(picture == lab_to_srgb8(card.layout.base_lab)).all(axis=2)] = lab_to_xyz(card.base_lab)
    for patch, lab in zip(card.layout.patches, card.patch_lab, strict=True):
        x, y = round(patch.area.x_mm * PX_PER_MM), round(patch.area.y_mm * PX_PER_MM)
        wide, high = round(patch.area.width_mm * PX_PER_MM), round(patch.area.height_mm * PX_PER_MM)
        xyz[y : y + high, x : x + wide] = lab_to_xyz(lab)
    return xyz


def photograph_beside(
    card: Print, chart_lab: FloatArray, sensor: Sensor, rng: np.random.Generator, *, metamerism: float = METAMERISM
) -> bytes:
    """The JPEG of card and chart side by side in one light."""
    table = np.full((TABLE_MM[1] * PX_PER_MM, TABLE_MM[0] * PX_PER_MM, 3), [0.30, 0.31, 0.27], np.float32)
    _lay(table, card_xyz(_as_seen(card, metamerism, rng)), CARD_AT_MM)
    _lay(table, board_xyz(_off(lab_to_xyz(chart_lab), metamerism, rng)), CHART_AT_MM)
    height, width = table.shape[:2]
    x, y = np.meshgrid(np.linspace(-0.5, 0.5, width), np.linspace(-0.5, 0.5, height))
    slope = rng.uniform(-0.25, 0.25, 2)
    table *= np.exp(slope[0] * x + slope[1] * y)[..., None].astype(np.float32)
    box = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float32)
    seen = (box + rng.normal(0, 0.008 * width, (4, 2))).astype(np.float32)
    to_px = cv2.getPerspectiveTransform(box, seen)
    scene = cv2.warpPerspective(table, to_px, (width, height), flags=cv2.INTER_AREA, borderMode=cv2.BORDER_REPLICATE)
    return jpeg_bytes(developed(np.asarray(scene, np.float32), sensor, rng))


def _lay(table: Float32Array, thing: Float32Array, at_mm: tuple[int, int]) -> None:
    x, y = (mm * PX_PER_MM for mm in at_mm)
    table[y : y + thing.shape[0], x : x + thing.shape[1]] = thing


def _off(xyz: FloatArray, metamerism: float, rng: np.random.Generator) -> FloatArray:
    return xyz * np.exp(rng.normal(0, metamerism, xyz.shape)) if metamerism else xyz


def _as_seen(card: Print, metamerism: float, rng: np.random.Generator) -> Print:
    return Print(
        layout=card.layout,
        patch_lab=xyz_to_lab(_off(lab_to_xyz(card.patch_lab), metamerism, rng)),
        base_lab=xyz_to_lab(_off(lab_to_xyz(card.base_lab), metamerism, rng)),
    )
