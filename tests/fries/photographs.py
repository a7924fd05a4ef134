"""A card with fries beside it, photographed: a file as a phone would send it, of which everything is known."""

from io import BytesIO

import cv2
import numpy as np
from PIL import Image

from grader.arrays import ByteArray
from grader.photo.srgb import linear_light
from tests.card.scenes import blot, photograph, picture_of
from tests.fries.solids import BROWN, CARD, GOLDEN, PALE, Bar, Paint, camera_over, encoded, fry_paint, paint

EXPOSURE = 0.85
SEEN_BY = camera_over(tilt_deg=4, towards_deg=15, off_mm=(60.0, 0.0))
LABS = (GOLDEN, PALE, BROWN, GOLDEN, GOLDEN, PALE)
BARS = (
    Bar(middle=(222, -30), length=90),
    Bar(middle=(215, -8), length=75, heading_deg=8),
    Bar(middle=(220, 20), length=60, heading_deg=-12),
    Bar(middle=(200, 75), length=82, heading_deg=80),
    Bar(middle=(225, 80), length=50, heading_deg=110),
    Bar(middle=(260, 75), length=66, heading_deg=95, width=8, thickness=8),
)
A_CORNER = (0.0, 0.0, 26.0, 26.0)
HALF_OF_THE_CARD = (0.0, 0.0, CARD.width_mm * 0.55, CARD.height_mm)
"""x, y, width and height on it, mm."""
_FOCAL_35MM, _EXIF = 0xA405, 0x8769


def _lit(colour: Paint, lamp: float) -> Paint:
    return lambda along, across: colour(along, across) * EXPOSURE * lamp


def picture(
    *,
    bars: tuple[Bar, ...] = BARS,
    labs: tuple[tuple[float, float, float], ...] = LABS,
    covered_mm: tuple[float, float, float, float] | None = None,
    lamp: float = 1.0,
) -> ByteArray:
    """(h, w, 3) the card on a grey table, fries beside it.

    `covered_mm` of the card lies under a napkin; `lamp` is how much more light falls on the fries than on the card.
    """
    sheet = picture_of(CARD)
    if covered_mm is not None:
        blot(sheet, covered_mm, (120, 118, 115))
    light = np.array(linear_light(photograph(sheet, SEEN_BY, exposure=EXPOSURE, noise=0.0, table=0.3)), float)
    for number, (bar, lab) in enumerate(zip(bars, labs, strict=False)):
        paint(light, bar, SEEN_BY, _lit(fry_paint(lab, number=number), lamp))
    return encoded(light)


def file_of(pixels: ByteArray, *, focal_35mm: int | None = 26, quality: int = 95) -> bytes:
    """The bytes of a JPEG with its focal length in EXIF."""
    image, exif = Image.fromarray(pixels), Image.Exif()
    if focal_35mm is not None:
        exif.get_ifd(_EXIF)[_FOCAL_35MM] = focal_35mm
    place = BytesIO()
    image.save(place, "JPEG", quality=quality, subsampling=0, exif=exif)
    return place.getvalue()


def blurred(pixels: ByteArray, sigma_px: float) -> ByteArray:
    """Out of focus."""
    return np.asarray(cv2.GaussianBlur(pixels, (0, 0), sigma_px), np.uint8)


def darkened(pixels: ByteArray, share: float) -> ByteArray:
    """With so little light left."""
    return encoded(np.array(linear_light(pixels), float) * share, noise=0.0)
