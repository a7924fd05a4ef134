"""Each fry straightened to a small upright strip, so that many can stand side by side, sorted."""

from dataclasses import dataclass

import cv2
import numpy as np

from grader.arrays import ByteArray, FloatArray, PixelArray, frozen
from grader.decision import is_crumb, length_as_meant
from grader.drawing.ink import along, line_length
from grader.fries.model import Fry
from grader.records.scale_words import fry_places
from grader.standard.model import Standard

PX_PER_MM = 2.0
ACROSS_PX = 24
"""A strip shows 12 mm across: a fry of the usual cut with a little of what lies beside it."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FryStrip:
    """One fry for the sorted strip: which it is, what it measured (None where it has none), its picture (h, 24, 3) RGB.

    `length_mm` is length as the standard means it, `place` its place on the house scale.
    """

    plate: int
    number: int
    length_mm: float | None
    place: float | None
    pixels: ByteArray


def fry_strips(pixels: PixelArray, fries: tuple[Fry, ...], standard: Standard, *, plate: int) -> tuple[FryStrip, ...]:
    """All fries of a plate that count; crumbs, and fries whose width isn't known, have none."""
    strips = []
    for fry, place in zip(fries, fry_places(fries, standard.scale), strict=True):
        length = length_as_meant(fry, standard)
        if is_crumb(fry, standard) or fry.width_mm is None or length is None or len(fry.centreline_px) < 2:
            continue
        strips.append(
            FryStrip(
                plate=plate,
                number=fry.number,
                length_mm=length.value,
                place=None if place is None else place.steps,
                pixels=_straightened(pixels, fry.centreline_px, length.value),
            )
        )
    return tuple(strips)


def _straightened(pixels: PixelArray, centreline_px: FloatArray, length_mm: float) -> ByteArray:
    """(h, 24, 3) the photo along a line, its darker end down."""
    whole = line_length(centreline_px)
    rows = max(round(length_mm * PX_PER_MM), 2)
    spine = along(centreline_px, np.linspace(0, whole, rows))
    way = np.gradient(spine, axis=0)
    across = np.stack([-way[:, 1], way[:, 0]], axis=-1) / np.maximum(np.hypot(*way.T), 1e-9)[:, None]
    step_px = whole / length_mm / PX_PER_MM
    aside = (np.arange(ACROSS_PX) - (ACROSS_PX - 1) / 2) * step_px
    at = (spine[:, None] + aside[None, :, None] * across[:, None]).astype(np.float32)
    eight = pixels // 257 if pixels.dtype == np.uint16 else pixels
    x, y = (np.ascontiguousarray(at[..., axis]) for axis in (0, 1))
    shown = cv2.remap(np.asarray(eight, np.uint8), x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    quarter = max(rows // 8, 1)
    if shown[:quarter].mean() < shown[-quarter:].mean():
        shown = shown[::-1]
    return frozen(np.ascontiguousarray(shown))
