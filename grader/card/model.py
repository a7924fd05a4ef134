"""The printed sheet, card or mat, and what was seen of it in a photo.

Sheet coordinates: mm, origin at its top left corner, x to the right, y down, z (a height) towards the camera.
Pixel coordinates: (x, y), pixel centres at whole numbers.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from grader.arrays import FloatArray, MaskArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Rectangle:
    """An upright rectangle on the sheet, mm."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float

    @property
    def middle_mm(self) -> tuple[float, float]:
        """Its middle (x, y)."""
        return self.x_mm + self.width_mm / 2, self.y_mm + self.height_mm / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Patch:
    """One printed patch and its colour: CIELAB, CIE 1931 2 degree observer, D65."""

    number: int
    area: Rectangle
    lab: tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tag:
    """One AprilTag 36h11: its id and the top left corner of its black square."""

    number: int
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """A sheet as designed (or as measured after printing): geometry and patch values.

    Attributes
    ----------
    field, field_lab
        The plain grey that fries lie on; None on a card.
    printable
        A printer can make it as designed: no patch is lighter than the paper, and it fits a paper with its margins.
        The others are still read in photos.
    qr
        The square of the QR code with the serial, without the white around it; None on sheets that carry none.
    """

    key: str
    name: str
    kind: Literal["card", "mat"]
    width_mm: float
    height_mm: float
    tag_size_mm: float
    tags: tuple[Tag, ...]
    patches: tuple[Patch, ...]
    base_lab: tuple[float, float, float]
    field: Rectangle | None
    field_lab: tuple[float, float, float] | None
    printable: bool = False
    qr: Rectangle | None = None

    @property
    def patch_middles_mm(self) -> FloatArray:
        """(n, 2) the middles of its patches."""
        return np.array([patch.area.middle_mm for patch in self.patches])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Camera:
    """Where the camera stood over the sheet: a pinhole, and one term of lens distortion.

    Attributes
    ----------
    intrinsics
        (3, 3), pixels.
    rotation, translation
        (3, 3) and (3,) mm: camera = rotation @ sheet + translation. The sheet's z counts towards the camera, the
        camera's own away from it, so the matrix is orthogonal with determinant -1.
    radial
        Lens distortion, `grader.card.lens`; 0 where the tags don't show it.
    size_px
        Width and height of the photo.
    focal_known
        False where the file gave no focal length and it was estimated; heights then weigh more in the doubt.
    scale_u
        Relative standard uncertainty of lengths in the sheet's own plane, but for the lens.
    bent_more
        The camera as the sheet shows it if `radial` is one standard uncertainty larger; what is measured through it
        and through this one differ by what the lens leaves in doubt. None where the lens is known.
    """

    intrinsics: FloatArray
    rotation: FloatArray
    translation: FloatArray
    radial: float
    size_px: tuple[int, int]
    focal_known: bool
    scale_u: float
    bent_more: "Camera | None" = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FoundSheet:
    """A sheet found in a photo.

    Attributes
    ----------
    homography
        (3, 3), sheet mm to px of the straightened picture for points in the sheet's plane;
        `grader.card.plane.sheet_to_pixels` goes on to the photo's own px.
    corners_px
        (4, 2), the sheet's own corners in the photo: top left, top right, bottom right, bottom left.
    camera
        Pose; `grader.card.pose` maps points through it.
    hidden_tags
        Tags of the layout that were not seen.
    tag_rms_px
        Root mean square distance between tag corners as seen and as the homography puts them, px.
    """

    layout: Layout
    homography: FloatArray
    corners_px: FloatArray
    camera: Camera
    hidden_tags: tuple[int, ...]
    tag_rms_px: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SheetReadings:
    """What the camera made of the patches and the bare sheet, in linear light (0 to 1, sRGB primaries).

    Attributes
    ----------
    patch_rgb
        (n, 3) trimmed mean of each patch, in the layout's order.
    patch_rgb_u
        (n, 3) standard uncertainty of that mean (pixel noise and unevenness over the patch).
    patch_clipped
        (n,) share of a patch's pixels with a channel at either end of the range.
    patch_hidden, patch_shiny
        (n,) something lies on the patch or it lies outside the picture; a reflection or a hard shadow lies on it.
    patch_usable
        (n,) False where a patch is clipped, hidden or shiny: leave it out.
    paper_clipped
        Share of the bare paper's spots with a channel full, 0 where none is in sight.
    ground_xy_mm, ground_rgb
        (m, 2) and (m, 3): spots of bare sheet (and of a mat's field where nothing lies on it: `ground_lab` tells
        them apart), for the way the light falls off. The camera's tone and haze shift field against paper: give each
        a level of its own.
    ground_lab
        (m, 3) the known colour at each spot.
    """

    patch_rgb: FloatArray
    patch_rgb_u: FloatArray
    patch_clipped: FloatArray
    patch_hidden: MaskArray
    patch_shiny: MaskArray
    patch_usable: MaskArray
    paper_clipped: float
    ground_xy_mm: FloatArray
    ground_rgb: FloatArray
    ground_lab: FloatArray
