"""Hooks and wedges as exact solids, beside the bars of `solids`; nothing here uses the code under test."""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, LabelArray
from tests.card.scenes import Pinhole
from tests.fries.solids import silhouette

_FINE = 2001
_RINGS = 120
_MIDDLE_OF_THE_SHEET = np.array([74.0, 52.0])


@dataclass(frozen=True, kw_only=True)
class Hook:
    """A square bar that is straight up to `straight_share` of its length and then turns evenly by `turn_deg`."""

    length: float = 95.0
    width: float = 8.0
    straight_share: float = 0.4
    turn_deg: float = 180.0
    heading_deg: float = 25.0

    def line(self) -> tuple[FloatArray, FloatArray]:
        """(n, 2) points along its middle, and (n,) the direction there, radians."""
        u = np.linspace(0, 1, _FINE)
        bent = np.clip((u - self.straight_share) / (1 - self.straight_share), 0, 1)
        angle = np.radians(self.heading_deg) + np.radians(self.turn_deg) * bent
        steps = np.column_stack([np.cos(angle), np.sin(angle)])[:-1] * self.length / (_FINE - 1)
        points = np.concatenate([[[0.0, 0.0]], np.cumsum(steps, axis=0)])
        return points - (points.min(axis=0) + points.max(axis=0)) / 2 + _MIDDLE_OF_THE_SHEET, angle

    @property
    def straight_mm(self) -> float:
        """From end to end."""
        points, _ = self.line()
        return float(np.linalg.norm(points[-1] - points[0]))

    def rings(self) -> FloatArray:
        """(n, k, 3) as `Bar.rings`."""
        points, angle = self.line()
        chosen = np.linspace(0, _FINE - 1, _RINGS).astype(int)
        half = self.width / 2
        section = np.array([[-half, 0], [half, 0], [half, self.width], [-half, self.width]])
        return _swept(points[chosen], angle[chosen], np.broadcast_to(section, (_RINGS, 4, 2)))


@dataclass(frozen=True, kw_only=True)
class Wedge:
    """A wedge cut of an ellipsoid, on a cut face: a sector of a circle that narrows towards both ends."""

    length: float = 88.0
    widest: float = 19.0
    apex_deg: float = 70.0
    heading_deg: float = 20.0
    middle: tuple[float, float] = (74.0, 52.0)

    def _scale(self) -> FloatArray:
        return np.sqrt(np.clip(1 - np.linspace(-1, 1, _RINGS) ** 2, 1e-4, 1))

    @property
    def width_mm(self) -> float:
        """The median over its length."""
        return float(np.median(self._scale())) * self.widest

    def rings(self) -> FloatArray:
        """(n, k, 3) as `Bar.rings`."""
        turn = np.linspace(0, np.radians(self.apex_deg), 20)
        arc = self.widest * np.column_stack([np.cos(turn), np.sin(turn)])
        section = np.concatenate([[[0.0, 0.0]], arc]) - [self.widest / 2, 0]
        heading = np.radians(self.heading_deg)
        along = np.linspace(-self.length / 2, self.length / 2, _RINGS)
        points = along[:, None] * [np.cos(heading), np.sin(heading)] + np.array(self.middle)
        return _swept(points, np.full(_RINGS, heading), self._scale()[:, None, None] * section)


def _swept(points: FloatArray, angle: FloatArray, sections: FloatArray) -> FloatArray:
    """(n, k, 3) sections (n, k, 2), across and up, carried along points (n, 2) at directions (n,)."""
    left = np.column_stack([-np.sin(angle), np.cos(angle)])
    flat = points[:, None] + sections[..., :1] * left[:, None]
    return np.concatenate([flat, sections[..., 1:]], axis=-1)


def label_of_shapes(shapes: list[Hook | Wedge], camera: Pinhole) -> LabelArray:
    """(h, w) the number of the shape at each pixel, 1, 2, ...; the later lies on top."""
    labels = np.zeros(camera.size[::-1], np.uint16)
    for number, shape in enumerate(shapes, start=1):
        labels[silhouette(shape.rings(), camera)] = number
    return labels
