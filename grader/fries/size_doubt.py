"""How sure a fry's length and width are: standard uncertainties of what its edges, its height and the lens leave open.

Independent sources, added in squares: ISO/IEC Guide 98-3:2008 (GUM), 5.1.2. What all fries of one plate share (the
sheet's scale, the lens, how high the plate stands) is told apart from what is each fry's own: it doesn't average out.
"""

import math

import numpy as np

from grader.arrays import FloatArray, MaskArray
from grader.card.model import Camera
from grader.card.pose import camera_height_mm, to_plane

_END_U_MM, _SIDE_U_MM, _EDGE_U_PX = 0.3, 0.18, 0.6
"""Where an end's edge lies, and a side's, along which it is averaged: rounding, a crooked cut; and by how much of a
pixel it is misread. From rendered plates."""
_MET_U_MM = 1.0
"""Where all of an end meets another fry: how far up it is seen, and whether the seam between the two is its end."""
_THICKNESS_U = 0.2
"""A fry may be thinner or thicker than wide by this share (a sliver): that shifts its middle and its far edges."""
_UNKNOWN_FOCAL_U = 0.15
_WAVE_WIDTHS, _SMOOTH_MM, _OF_A_WAVE = 0.75, 0.2, 0.8
"""Over so much of the length, in widths, a side that is no wave strays by so much (root mean square), and this share of
what it strays by beyond that is doubt: seen at a slant, the troughs of crinkle cut are partly filled by the crests
before them, and 60 rendered fries read 0.1 to 1.4 mm too wide."""
_MOST_WINDOWS = 100
_WEDGE_U = 0.05
"""Of a wedge's width: how high its edges lie depends on which way it fell, and a tall face may hide its foot (rendered
wedges, 0.66 mm off on average at 17 mm)."""


def shared_doubt(
    camera: Camera, ends_mm: FloatArray, ends_px: FloatArray, *, height_mm: float, height_u_mm: float
) -> float:
    """Relative, of a length between two points (2, 2) of the sheet's frame: what all fries of the plate share.

    The sheet's scale, the lens, and how high the plate stands and the fries lie, against the camera's height.
    `ends_px` is where the photo shows the two.
    """
    eye_mm = camera_height_mm(camera)
    focal = 0.0 if camera.focal_known else _UNKNOWN_FOCAL_U * height_mm / eye_mm
    return math.hypot(camera.scale_u, height_u_mm / eye_mm, focal, _lens_doubt(camera, ends_mm, ends_px, height_mm))


def thickness_doubt(camera: Camera, *, width: float) -> float:
    """Relative, of a fry's sizes: its own thickness, unseen, raises its middle towards the camera or lowers it."""
    return _THICKNESS_U * width / 2 / camera_height_mm(camera)


def _lens_doubt(camera: Camera, ends_mm: FloatArray, ends_px: FloatArray, height_mm: float) -> float:
    """Relative: by how much the length changes if the lens bends by one standard uncertainty more."""
    if camera.bent_more is None:
        return 0.0
    length, other = (math.dist(*ends) for ends in (ends_mm, to_plane(camera.bent_more, ends_px, height_mm)))
    return abs(other / max(length, 1.0) - 1)


def ends_doubt(lean: FloatArray, ends: tuple[MaskArray, MaskArray], *, pixel_mm: float, width: float) -> float:
    """Mm, of the distance between both ends: where each lies, how far a wrong thickness moves the outer one.

    `lean` (k,): mm that a point of the outline moves outward in the photo for each mm that it rises.
    """
    return _edges_doubt(lean, ends, math.hypot(_END_U_MM, _EDGE_U_PX * pixel_mm), width)


def sides_doubt(lean: FloatArray, sides: tuple[MaskArray, MaskArray], *, pixel_mm: float, width: float) -> float:
    """Mm, of the distance between both sides, as `ends_doubt`."""
    return _edges_doubt(lean, sides, math.hypot(_SIDE_U_MM, _EDGE_U_PX * pixel_mm), width)


def waves_doubt(along: FloatArray, across: FloatArray, sides: tuple[MaskArray, MaskArray], *, width: float) -> float:
    """Mm, of the distance between two sides that run in waves; points (k,) at mm along and across the fry."""
    step = max(_WAVE_WIDTHS * width, float(np.ptp(along)) / _MOST_WINDOWS, 1e-9)
    window = np.floor((along - along.min()) / step).astype(int)
    strays = []
    for side in sides:
        count = np.maximum(np.bincount(window[side], minlength=1), 1)
        off = across[side] - (np.bincount(window[side], across[side], minlength=1) / count)[window[side]]
        strays.append(max(float(np.mean(off**2)) - _SMOOTH_MM**2, 0.0) if len(off) else 0.0)
    return _OF_A_WAVE * math.sqrt(sum(strays))


def wedge_doubt(width: float) -> float:
    """Mm, of a wedge's width (mm)."""
    return _WEDGE_U * width


def _edges_doubt(lean: FloatArray, edges: tuple[MaskArray, MaskArray], edge_u_mm: float, width: float) -> float:
    outer = sum(max(0.0, float(np.mean(lean[edge]))) for edge in edges if edge.any())
    return math.hypot(math.sqrt(2) * edge_u_mm, _THICKNESS_U * width * outer)


def meeting_doubt(met: MaskArray, ends: tuple[MaskArray, MaskArray]) -> float:
    """Mm, of a length whose ends meet other fries where `met` (k,) is True along the outline."""
    first, last = (float(np.mean(met[end])) if end.any() else 0.0 for end in ends)
    return _MET_U_MM * math.hypot(first, last)
