"""How a fry's colour runs along it: its body, its ends, dark ends, spots, spread."""

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from grader.arrays import FloatArray, MaskArray
from grader.colour.difference import ciede2000

_SLICE_MM = 1.0
_LEAST_IN_SLICE = 4
_BODY = 0.25, 0.75
_END_SHARE = 0.125

_DARK_END_MM = 2.0, 6.0
"""Where a dark end must show: every fry browns a little within 2 mm of its tip. Common practice, no source."""
_DARK_END_DL = 6.0
_LONGEST_DARK_END = 0.6
_REACH_U_MM = 2.0

_SPOT_DL = 9.0
_SPOT_CELL_MM = 0.4
_LEAST_SPOT_MM = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class DarkEnd:
    """How far it reaches from its tip, mm, and how much darker (L*) than the body it is there."""

    reach_mm: float
    reach_u_mm: float
    darker: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Appearance:
    """`body_lab` (3,) and `end_labs` (3,) each; None where too little shows."""

    body_lab: FloatArray | None
    end_labs: tuple[FloatArray, FloatArray] | None
    dark_end: DarkEnd | None
    spots_mm: tuple[float, ...]
    spread_de: float


def describe(lab: FloatArray, along_mm: FloatArray, across_mm: FloatArray, length_mm: float) -> Appearance:
    """From the pixels of a fry's top face: CIELAB (k, 3), mm along and across (k,) each."""
    body = _mean(lab, (along_mm > _BODY[0] * length_mm) & (along_mm < _BODY[1] * length_mm))
    first = _mean(lab, along_mm < _END_SHARE * length_mm)
    last = _mean(lab, along_mm > (1 - _END_SHARE) * length_mm)
    return Appearance(
        body_lab=body,
        end_labs=(first, last) if first is not None and last is not None else None,
        dark_end=_dark_end(lab[:, 0], along_mm, length_mm) if body is not None else None,
        spots_mm=_spots(lab[:, 0], along_mm, across_mm),
        spread_de=float(np.sqrt(np.mean(ciede2000(lab, lab.mean(axis=0)) ** 2))),
    )


def _mean(lab: FloatArray, where: MaskArray) -> FloatArray | None:
    return np.asarray(lab[where].mean(axis=0)) if where.sum() >= _LEAST_IN_SLICE else None


def _dark_end(lightness: FloatArray, along_mm: FloatArray, length_mm: float) -> DarkEnd | None:
    """The darker of the two ends, where it is dark enough: it reaches to where half of its darkness is left."""
    slices = max(1, int(length_mm / _SLICE_MM))
    place = np.floor(along_mm / _SLICE_MM).astype(int)
    profile = np.full(slices, np.nan)
    for k in range(slices):
        here = lightness[place == k]
        if len(here) >= _LEAST_IN_SLICE:
            profile[k] = np.median(here)
    middle = profile[int(_BODY[0] * slices) : int(np.ceil(_BODY[1] * slices))]
    if not np.isfinite(middle).any():
        return None
    found = [_dark_from_tip(run, float(np.nanmedian(middle))) for run in (profile, profile[::-1])]
    ends = [end for end in found if end is not None]
    return max(ends, key=lambda end: end.darker * end.reach_mm) if ends else None


def _dark_from_tip(profile: FloatArray, body: float) -> DarkEnd | None:
    darkness = body - profile
    at_end = darkness[int(_DARK_END_MM[0] / _SLICE_MM) : int(_DARK_END_MM[1] / _SLICE_MM)]
    if not np.isfinite(at_end).any() or np.nanmedian(at_end) < _DARK_END_DL:
        return None
    darker = float(np.nanmedian(at_end))
    lighter = np.nonzero(darkness < darker / 2)[0]
    beyond = lighter[lighter >= _DARK_END_MM[1] / _SLICE_MM / 2]
    reach = float(beyond[0] if len(beyond) else len(profile)) * _SLICE_MM
    if reach > _LONGEST_DARK_END * len(profile) * _SLICE_MM:
        return None
    return DarkEnd(reach_mm=reach, reach_u_mm=_REACH_U_MM, darker=darker)


def _spots(lightness: FloatArray, along_mm: FloatArray, across_mm: FloatArray) -> tuple[float, ...]:
    """Diameters of small dark islands, mm: darker than what lies around them along the fry."""
    row = np.floor((along_mm - along_mm.min()) / _SPOT_CELL_MM).astype(int)
    column = np.floor((across_mm - across_mm.min()) / _SPOT_CELL_MM).astype(int)
    field = np.full((row.max() + 1, column.max() + 1), np.nan)
    field[row, column] = lightness
    filled = np.where(np.isfinite(field), field, np.nanmedian(lightness))
    around = ndimage.median_filter(filled, size=(31, 5), mode="nearest")
    dark = np.isfinite(field) & (ndimage.gaussian_filter(filled, 0.8) < around - _SPOT_DL)
    parts, count = ndimage.label(dark)
    if count == 0:
        return ()
    areas = np.bincount(parts.ravel())[1:] * _SPOT_CELL_MM**2
    diameters = 2 * np.sqrt(areas / np.pi)
    return tuple(round(float(d), 2) for d in diameters if d >= _LEAST_SPOT_MM)
