"""The reduced picture, painted by hand in XYZ over white: plates, tables and fries of known outline."""

from dataclasses import dataclass, field

import cv2
import numpy as np

from grader.arrays import Float32Array, FloatArray, MaskArray
from grader.colour.cie import D65, lab_to_xyz
from grader.fries.view import MM_PER_PX, View, view_of

Lab = tuple[float, float, float]

WHITE_PLATE, GREY_PLATE, BLACK_PLATE, BLUE_PLATE = (
    (90.0, 0.0, 2.0),
    (55.0, 0.0, 0.0),
    (14.0, 0.0, 0.0),
    (42.0, -4.0, -24.0),
)
BROWN_TABLE = (50.0, 13.0, 27.0)
GOLDEN, PALE, BROWN = (62.0, 7.0, 35.0), (74.0, 1.0, 28.0), (46.0, 13.0, 30.0)
PARSLEY, DARK_PARSLEY, TOMATO, KETCHUP = (
    (55.0, -28.0, 32.0),
    (42.0, -24.0, 26.0),
    (55.0, 48.0, 35.0),
    (36.0, 42.0, 26.0),
)
CHAR = (13.0, 2.0, 2.0)


def xyz_of(lab: Lab) -> FloatArray:
    """(3,) each channel 1 for white."""
    return np.asarray(lab_to_xyz(np.array(lab)) / D65, float)


@dataclass(kw_only=True)
class Scene:
    """A picture to paint on, `size` (h, w) in mm; `fries` is what was painted as fry."""

    size: tuple[float, float] = (150.0, 200.0)
    ground: Lab = WHITE_PLATE
    xyz: FloatArray = field(init=False)
    fries: MaskArray = field(init=False)
    barred: MaskArray = field(init=False)

    def __post_init__(self) -> None:
        shape = round(self.size[0] / MM_PER_PX), round(self.size[1] / MM_PER_PX)
        self.xyz = np.broadcast_to(xyz_of(self.ground), (*shape, 3)).copy()
        self.fries, self.barred = np.zeros(shape, bool), np.zeros(shape, bool)

    @property
    def mm(self) -> FloatArray:
        """(h, w, 2) x, y of each pixel's middle."""
        rows, columns = self.fries.shape
        return np.stack(np.meshgrid(np.arange(columns) + 0.5, np.arange(rows) + 0.5), axis=-1) * MM_PER_PX

    def disc(self, x: float, y: float, radius: float, lab: Lab) -> MaskArray:
        """Paint a disc; returns where."""
        where = np.hypot(*np.moveaxis(self.mm - [x, y], -1, 0)) < radius
        self.xyz[where] = xyz_of(lab)
        return np.asarray(where)

    def grain(self, where: MaskArray, *, depth: float = 0.12, wave_mm: float = 7.0) -> None:
        """Stripes of wood across what is there."""
        x, y = np.moveaxis(self.mm, -1, 0)
        stripes = 1 + depth * np.sin(2 * np.pi * (y + 3 * np.sin(x / 40)) / wave_mm)
        self.xyz[where] *= stripes[where][:, None]

    def fry(
        self,
        x: float,
        y: float,
        *,
        length: float = 70.0,
        width: float = 9.0,
        turned_deg: float = 0.0,
        lab: Lab = GOLDEN,
        charred_mm: float = 0.0,
        counts: bool = True,
    ) -> MaskArray:
        """Paint a fry, lighter along its middle than along its sides, with its shadow; returns where.

        Where it meets one that lies there already, little light gets between the two.
        """
        c, s = np.cos(np.radians(turned_deg)), np.sin(np.radians(turned_deg))
        along, across = np.moveaxis((self.mm - [x, y]) @ np.array([[c, -s], [s, c]]), -1, 0)
        where = (np.abs(along) < length / 2) & (np.abs(across) < width / 2)
        beside = (np.abs(along) < length / 2 + 1.5) & (np.abs(across) < width / 2 + 1.5) & ~where
        self.xyz[beside & ~self.fries] *= 0.55
        crevice = (np.abs(along) < length / 2 + 0.5) & (np.abs(across) < width / 2 + 0.7) & self.fries
        self.xyz[crevice] *= 0.5
        dome = 1 - 0.6 * (2 * np.abs(across) / width) ** 4
        charred = np.clip((along - length / 2 + charred_mm) / 4 + 0.5, 0, 1)[..., None] if charred_mm else 0.0
        colour = (1 - charred) * xyz_of(lab) + charred * xyz_of(CHAR)
        self.xyz[where] = (colour * dome[..., None])[where]
        if counts:
            self.fries |= where
        return np.asarray(where)

    def view(self, *, noise: float = 0.01, number: int = 4) -> View:
        """As a camera would have it: a little soft and grainy."""
        soft = cv2.GaussianBlur(self.xyz.astype(np.float32), (0, 0), 0.7)
        grain = np.random.default_rng(number).normal(1, noise, soft.shape)
        xyz: Float32Array = np.asarray(soft * grain, np.float32)
        return view_of(xyz, np.eye(3), self.barred, reduction=1.0)


def overlap(found: MaskArray, true: MaskArray) -> float:
    """Intersection over union."""
    return float((found & true).sum() / max(1, (found | true).sum()))
