"""Finding a 24-patch chart in a photo."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import ArrayLike

from grader.arrays import ByteArray, FloatArray, PixelArray
from grader.card.homography import fit_homography
from grader.chart.detector import detected
from grader.chart.grid import grids, refined
from grader.chart.model import COLUMNS, ROWS, FoundBy, FoundChart
from grader.chart.turning import misfit, turned_by_colour
from grader.errors import CardUnusable
from grader.photo import linear_light, linear_to_srgb

LOOK_PX = 1400
"""Charts are looked for in a copy whose longer side is at most this."""
MISFIT_LIMIT_DE = 9.0
"""Median CIE 2000 difference after a plain matrix beyond which it is no such chart. Charts reach 0.5 to 5, the upper
end under lamps of few narrow lines; another grid of colours has 13 and more."""
_CLEAR_DE, _WORSE_DE = 4.0, 0.5
"""So good, nothing better is looked for; and by so much a more exact place may agree less well."""
_BRIGHT = 0.9
_HALF_GAP = 0.05
"""From the outer edge of an outer patch to the grid's own corner, pitches: a patch fills nine tenths of its pitch."""
_GREY = 118
_LEAST_TURN = 0.05
"""Sine of the angle at a corner: a chart seen so much aslant can't be read."""

_WAYS: tuple[tuple[FoundBy, Callable[[ByteArray], Iterable[FloatArray]]], ...] = (
    ("detector", detected),
    ("grid", grids),
)


def find_chart(pixels: PixelArray, reference_lab: FloatArray, *, leave_out_px: ArrayLike | None = None) -> FoundChart:
    """The 24-patch chart in a photo, whichever way it lies, mirrored too.

    Parameters
    ----------
    pixels
        (h, w, 3) RGB, sRGB-encoded, uint8 or uint16.
    reference_lab
        (24, 3) what its patches are known to be: CIELAB, D65.
    leave_out_px
        (k, 2) corners of an area where no chart is, because a card of ours lies there.

    Raises
    ------
    CardUnusable
        `chart_not_found`.
    """
    small, scale = _reduced(pixels)
    if leave_out_px is not None:
        hidden = np.rint(np.asarray(leave_out_px) * scale).astype(np.int32)
        small = np.asarray(cv2.fillPoly(small.copy(), [hidden], (_GREY,) * 3), np.uint8)
    best = _best(small, reference_lab)
    if best is not None and best.misfit_de <= MISFIT_LIMIT_DE:
        found = _refined(small, best, reference_lab)
        return replace(found, homography=_scaled_up(1 / scale) @ found.homography)
    raise CardUnusable(
        "There is no 24-patch chart in this photo that can be found.",
        hint="Take it so that all 24 patches show, evenly lit, in focus and neither burnt out nor black; or say where"
        " they are: NAME.corners.json beside the photo.",
        code="chart_not_found",
    )


def _best(small: ByteArray, reference_lab: FloatArray) -> FoundChart | None:
    """Whatever agrees best with the known colours; looked for until something agrees well."""
    best: FoundChart | None = None
    for way, look in _WAYS:
        for picture in _exposures(small):
            found = [turned_by_colour(small, one, reference_lab, found_by=way) for one in look(picture)]
            best = min([*found, *([] if best is None else [best])], key=lambda one: one.misfit_de, default=None)
            if best is not None and best.misfit_de <= _CLEAR_DE:
                return best
    return best


def _refined(small: ByteArray, found: FoundChart, reference_lab: FloatArray) -> FoundChart:
    """The chart in a more exact place, by its own patches, where that agrees as well with the known colours."""
    *_, brightest = _exposures(small)
    homography = refined(brightest, found.homography)
    again = replace(found, homography=homography, misfit_de=misfit(small, homography, reference_lab))
    return again if again.misfit_de <= found.misfit_de + _WORSE_DE else found


def chart_at(pixels: PixelArray, corners_px: ArrayLike, reference_lab: FloatArray) -> FoundChart:
    """The chart between given corners: the outer ones of its four outer patches, in turn around it, from any of them.

    Raises
    ------
    CardUnusable
        `chart_not_found`: the colours between these corners are those of no such chart.
    """
    corners = np.asarray(corners_px, float)
    low, right, foot = _HALF_GAP, COLUMNS - _HALF_GAP, ROWS - _HALF_GAP
    places = np.array([[low, low], [right, low], [right, foot], [low, foot]])
    turns = (0, 1) if _in_turn_around(corners, pixels.shape[:2]) else ()
    ways = [fit_homography(places, np.roll(corners, turn, axis=0)) for turn in turns]
    found = [turned_by_colour(pixels, one, reference_lab, found_by="corners") for one in ways]
    best = min(found, key=lambda one: one.misfit_de, default=None)
    if best is None or best.misfit_de > MISFIT_LIMIT_DE:
        raise CardUnusable(
            "What lies between the given corners has not the colours of a 24-patch chart.",
            hint="Give the outer corners of the four outer patches, [x, y] in px of the upright photo, in turn around.",
            code="chart_not_found",
        )
    return best


def _in_turn_around(corners: FloatArray, shape: tuple[int, ...]) -> bool:
    """Whether corners (4, 2) are those of a quadrangle, each turned the same way, in or near a photo of that shape."""
    if np.abs(corners).max() > 2 * max(shape):
        return False
    sides = np.roll(corners, -1, axis=0) - corners
    lengths = np.linalg.norm(sides, axis=1)
    if lengths.min() < 1:
        return False
    ways = sides / lengths[:, None]
    turned = ways[:, 0] * np.roll(ways[:, 1], -1) - ways[:, 1] * np.roll(ways[:, 0], -1)
    return bool(np.abs(turned).min() > _LEAST_TURN and abs(np.sign(turned).sum()) == len(corners))


def _reduced(pixels: PixelArray) -> tuple[ByteArray, float]:
    """An 8-bit copy of a size to look in, and how much smaller it is."""
    eight_bit = pixels if pixels.dtype == np.uint8 else (pixels >> 8).astype(np.uint8)
    scale = min(1.0, LOOK_PX / max(pixels.shape[:2]))
    size = (round(pixels.shape[1] * scale), round(pixels.shape[0] * scale))
    return np.asarray(cv2.resize(eight_bit, size, interpolation=cv2.INTER_AREA), np.uint8), scale


def _exposures(picture: ByteArray) -> Iterator[ByteArray]:
    """The picture, and where it is dark (as pictures of linear values are) a brighter copy."""
    yield picture
    light = linear_light(picture)
    bright = float(np.percentile(light, 99))
    if 0 < bright < _BRIGHT / 2:
        lifted = linear_to_srgb(np.minimum(light * (_BRIGHT / bright), 1.0))
        yield np.rint(lifted * 255).astype(np.uint8)


def _scaled_up(factor: float) -> FloatArray:
    """(3, 3) px of the small copy to px of the photo; pixel centres are whole numbers in both."""
    shift = (factor - 1) / 2
    return np.array([[factor, 0.0, shift], [0.0, factor, shift], [0.0, 0.0, 1.0]])
