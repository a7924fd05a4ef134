"""Fries made up as exact solids, photographed by a pinhole camera of our own; every measure is known exactly.

Nothing here uses the code under test, but for the pose that `camera_of` estimates from exact points of the sheet.
"""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import cv2
import numpy as np
from skimage.draw import polygon

from grader.arrays import ByteArray, FloatArray, LabelArray, MaskArray
from grader.card.model import Camera
from grader.card.pose import estimate_camera
from grader.colour.cie import lab_to_srgb8
from grader.photo.srgb import linear_light, linear_to_srgb
from tests.card.scenes import Pinhole, layout_of

CARD = layout_of("card-a6")
SIZE = (2000, 1500)
FOCAL_35MM = 26.0
_SEGMENTS = 40
_TOP_LEVEL, _SHINE = 1.05, 0.06
"""A top face is nearer to the lamp than the card, and its oil mirrors some of the white light."""
_INTO_THE_END = 1 - np.linspace(0, 1, 24) ** (1 / 7)
_ROUND = np.linspace(0, 2 * np.pi, 97)[:-1]
_SHEET_POINTS = np.stack(np.meshgrid([4.0, 60.0, 144.0], [4.0, 50.0, 101.0]), axis=-1).reshape(-1, 2)

GOLDEN = (62.0, 7.0, 35.0)
PALE = (74.0, 1.0, 28.0)
BROWN = (45.0, 13.0, 30.0)


@dataclass(frozen=True, kw_only=True)
class Bar:
    """A cut bar, straight or bent along a parabola by `sag_mm`, rolled about its own length.

    `power`: its cross-section is |y| ** power + |z| ** power = 1, and its ends are rounded alike; so infinite is a
    sharp-edged box.
    """

    middle: tuple[float, float] = (74.0, 52.0)
    heading_deg: float = 0.0
    length: float = 80.0
    width: float = 9.5
    thickness: float = 9.5
    sag_mm: float = 0.0
    ground_mm: float = 0.0
    rolled_deg: float = 0.0
    power: float = 7.0

    @property
    def axis(self) -> FloatArray:
        """(2,) unit vector along it."""
        return np.array([np.cos(np.radians(self.heading_deg)), np.sin(np.radians(self.heading_deg))])

    def centreline(self) -> tuple[FloatArray, FloatArray]:
        """(n, 2) points and (n, 2) directions along it, end to end, mm on the sheet."""
        curve = 4 * self.sag_mm / self.length**2
        fine = np.linspace(-self.length / 2, self.length / 2, 4001)
        steps = np.hypot(np.diff(fine), np.diff(curve * fine**2))
        arc = np.concatenate([[0], np.cumsum(steps)]) - steps.sum() / 2
        x = np.interp(self._stations(), arc, fine)
        direction = np.column_stack([np.ones_like(x), 2 * curve * x])
        direction /= np.linalg.norm(direction, axis=1, keepdims=True)
        turn = np.array([self.axis, [-self.axis[1], self.axis[0]]])
        return np.column_stack([x, curve * x**2]) @ turn + np.array(self.middle), direction @ turn

    def outline_across(self) -> FloatArray:
        """(k, 2) its cross-section: across, and height over the sheet, mm."""
        c, s = np.cos(_ROUND), np.sin(_ROUND)
        size = np.maximum(np.abs(c), np.abs(s))
        if np.isfinite(self.power):
            size = (np.abs(c) ** self.power + np.abs(s) ** self.power) ** (1 / self.power)
        y, z = c / size * self.width / 2, s / size * self.thickness / 2
        turn = np.radians(self.rolled_deg)
        y, z = np.cos(turn) * y - np.sin(turn) * z, np.sin(turn) * y + np.cos(turn) * z
        return np.column_stack([y, z - z.min() + self.ground_mm])

    def _stations(self) -> FloatArray:
        """(n,) mm from its middle, closer together where it rounds off."""
        inner = np.linspace(-self.length / 2, self.length / 2, _SEGMENTS + 1)
        end = self.length / 2 - self._rounding_mm * _INTO_THE_END
        return np.unique(np.concatenate([inner, end, -end]))

    @property
    def _rounding_mm(self) -> float:
        return min(self.thickness, self.length) / 2

    def rings(self) -> FloatArray:
        """(n, k, 3) its cross-sections in space, end to end."""
        points, direction = self.centreline()
        across, side = self.outline_across(), np.column_stack([-direction[:, 1], direction[:, 0]])
        axis_mm = (across[:, 1].min() + across[:, 1].max()) / 2
        size = np.ones(len(points))
        if np.isfinite(self.power):
            inwards = (self.length / 2 - np.abs(self._stations())) / self._rounding_mm
            size = (1 - np.clip(1 - inwards, 0, 1) ** self.power) ** (1 / self.power)
        flat = points[:, None] + (size[:, None] * across[:, 0])[..., None] * side[:, None]
        height = axis_mm + size[:, None] * (across[:, 1] - axis_mm)
        return np.concatenate([flat, height[..., None]], axis=-1)

    def covers(self, camera: Pinhole) -> MaskArray:
        """(h, w) True where its silhouette covers the middle of a pixel."""
        return silhouette(self.rings(), camera)


def silhouette(rings: FloatArray, camera: Pinhole) -> MaskArray:
    """(h, w) True where a solid of cross-sections in space (n, k, 3), end to end, covers the middle of a pixel."""
    mask = np.zeros(camera.size[::-1], bool)
    for near, far in pairwise(camera.px(ring) for ring in rings):
        hull = cv2.convexHull(np.concatenate([near, far]).astype(np.float32)).reshape(-1, 2)
        mask[polygon(hull[:, 1], hull[:, 0], mask.shape)] = True
    return mask


def camera_over(
    *, tilt_deg: float = 0.0, towards_deg: float = 0.0, turned_deg: float = 0.0, off_mm: tuple[float, float] = (0, 0)
) -> Pinhole:
    """A phone some 30 cm over the table, looking at the middle of the card or `off_mm` from it."""
    return Pinhole.over(
        CARD,
        tilt_deg=tilt_deg,
        towards_deg=towards_deg,
        turned_deg=turned_deg,
        height_mm=300.0,
        focal_35mm=FOCAL_35MM,
        size=SIZE,
        off_mm=off_mm,
    )


def camera_of(truth: Pinhole, *, focal_35mm: float | None = FOCAL_35MM, scale_u: float = 0.002) -> Camera:
    """The camera as the program knows it, from exact points of the sheet."""
    seen = truth.flat_px(_SHEET_POINTS)
    return estimate_camera(_SHEET_POINTS, seen, size_px=truth.size, focal_35mm=focal_35mm, scale_u=scale_u)


def on_plane(camera: Pinhole, px: FloatArray, height_mm: float) -> FloatArray:
    """(n, 2) sheet mm of px (n, 2) that lie at this height: `Pinhole.straight` backwards."""
    x, y = ((px - (np.array(camera.size) - 1) / 2) / camera.focal).T
    rays = camera.forward + x[:, None] * camera.right + y[:, None] * camera.down
    reach = (height_mm - camera.eye[2]) / rays[:, 2]
    return np.asarray(camera.eye[:2] + reach[:, None] * rays[:, :2])


def label_of(bars: list[Bar], camera: Pinhole) -> LabelArray:
    """(h, w) the number of the bar at each pixel, 1, 2, ...; where two cover each other the later lies on top."""
    labels = np.zeros(camera.size[::-1], np.uint16)
    for number, bar in enumerate(bars, start=1):
        labels[bar.covers(camera)] = number
    return labels


def light_of(lab: tuple[float, float, float]) -> FloatArray:
    """(3,) linear sRGB of a CIELAB."""
    return np.array(linear_light(lab_to_srgb8(np.array([[lab]])))[0, 0], float)


Paint = Callable[[FloatArray, FloatArray], FloatArray]
"""Linear rgb (k, 3) of the top face at mm along from the first end and mm across from the middle (k,) each."""


def plain(lab: tuple[float, float, float]) -> Paint:
    """One colour all over."""
    return lambda along, _across: np.broadcast_to(light_of(lab), (len(along), 3))


def paint(light: FloatArray, bar: Bar, camera: Pinhole, colour: Paint, *, over: MaskArray | None = None) -> None:
    """Draw a straight bar into linear rgb (h, w, 3): its top face in full light and shiny, its flanks in half of it."""
    covered = bar.covers(camera) if over is None else over
    rows, columns = np.nonzero(covered)
    xy = on_plane(camera, np.column_stack([columns, rows]).astype(float), bar.ground_mm + bar.thickness)
    off = xy - np.array(bar.middle)
    along, across = off @ bar.axis + bar.length / 2, off @ np.array([-bar.axis[1], bar.axis[0]])
    top = (np.abs(across) <= bar.width / 2) & (along >= 0) & (along <= bar.length)
    body = colour(np.clip(along, 0, bar.length), np.clip(across, -bar.width / 2, bar.width / 2))
    light[rows, columns] = np.where(top[:, None], _TOP_LEVEL * body + _SHINE, _TOP_LEVEL / 2 * body)


def encoded(light: FloatArray, *, noise: float = 0.004, number: int = 3) -> ByteArray:
    """Linear light as a camera writes it: a little blur, grain, sRGB, 8 bit."""
    blurred = cv2.GaussianBlur(np.asarray(light, np.float32), (0, 0), 0.6)
    grain = np.random.default_rng(number).standard_normal(blurred.shape, dtype=np.float32) * np.float32(noise)
    return np.asarray(
        np.rint(255 * linear_to_srgb(np.clip(blurred + grain * np.sqrt(np.maximum(blurred, 0.01)), 0, 1))), np.uint8
    )


def fry_paint(
    lab: tuple[float, float, float] = GOLDEN,
    *,
    dark_mm: float = 0.0,
    end_lab: tuple[float, float, float] = (38.0, 12.0, 22.0),
    spots: tuple[tuple[float, float, float], ...] = (),
    skin_mm: float = 0.0,
    skin_lab: tuple[float, float, float] = (33.0, 8.0, 13.0),
    uneven: float = 0.02,
    number: int = 11,
) -> Paint:
    """A fried top face: its first end dark over `dark_mm`, `spots` (along, across, diameter), skin along its middle."""

    def colour(along: FloatArray, across: FloatArray) -> FloatArray:
        grain = np.random.default_rng(number).normal(1, uneven, (len(along), 1))
        light = light_of(lab) * grain
        if dark_mm:
            share = 1 / (1 + np.exp((along - dark_mm) / 1.0))[:, None]
            light = (1 - share) * light + share * light_of(end_lab) * grain
        for spot_along, spot_across, diameter in spots:
            light[np.hypot(along - spot_along, across - spot_across) < diameter / 2] = light_of((36.0, 12.0, 20.0))
        if skin_mm:
            light[np.abs(across) < skin_mm / 2] = light_of(skin_lab) * grain[np.abs(across) < skin_mm / 2]
        return light

    return colour


def photo_of(bars: list[Bar], paints: list[Paint], camera: Pinhole, *, ground: float = 0.75) -> ByteArray:
    """Straight bars on a plain neutral plate, as a phone has them; later ones lie on top."""
    light = np.full((*camera.size[::-1], 3), ground)
    for bar, one in zip(bars, paints, strict=True):
        paint(light, bar, camera, one)
    return encoded(light)
