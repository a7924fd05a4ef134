"""The QR code of a sheet: its modules as printed, and what it says in a photo."""

from collections.abc import Iterator
from contextlib import suppress
from typing import cast

import cv2
import numpy as np
import segno

from grader.arrays import ByteArray, PixelArray, frozen
from grader.card.model import FoundSheet, Rectangle
from grader.card.plane import sheet_to_pixels

QR_WHITE_SHARE = 4 / 21
"""White that the code needs around it, as a share of its side: four modules, of at least 21 along a side. Source:
ISO/IEC 18004, the quiet zone."""

_UPRIGHT_SIDE_PX = 252
"""Of the upright picture of the code alone: twelve pixels to each of 21 modules."""
_SHARPENED_PX, _SHARPENED = 2.0, 1.5
"""How far blur from one module into the next is taken back, and how much of it."""


def qr_modules(text: str) -> ByteArray:
    """(n, n) modules of a code: 1 black, 0 white; of the smallest version that holds the text at level M.

    Level M: up to about 15 % of the code may be lost, a stain or a crease, before it can't be read.
    """
    code = segno.make_qr(text, error="m", boost_error=False)
    return frozen(np.array([list(row) for row in code.matrix], np.uint8))


def code_texts(pixels: PixelArray, sheet: FoundSheet, area: Rectangle) -> Iterator[str]:
    """What the code at `area` of a sheet in a photo may say; nothing where it can't be read.

    Read first at the corners where the sheet has it, which bears the most blur, sharpened too, which bears still more;
    then wherever it shows near by, in case the sheet is curled.

    Parameters
    ----------
    pixels
        (h, w, 3) RGB, uint8 or uint16: the photo in which the sheet was found.
    """
    upright = _upright_code(pixels, sheet, area)
    white = len(upright) * QR_WHITE_SHARE / (1 + 2 * QR_WHITE_SHARE)
    low, high = white - 0.5, len(upright) - white - 0.5
    corners = np.array([[[low, low], [high, low], [high, high], [low, high]]], np.float32)
    detector = cv2.QRCodeDetector()
    soft = cv2.GaussianBlur(upright, (0, 0), _SHARPENED_PX)
    sharp = cv2.addWeighted(upright, 1 + _SHARPENED, soft, -_SHARPENED, 0)
    for read in (
        lambda: detector.decode(upright, corners),
        lambda: detector.decode(sharp, corners),
        lambda: detector.detectAndDecode(upright),
    ):
        # A stranger's code may hold any bytes.
        with suppress(cv2.error, UnicodeDecodeError):
            text, *_ = read()
            if text:
                yield text


def _upright_code(pixels: PixelArray, sheet: FoundSheet, area: Rectangle) -> ByteArray:
    """(n, n) grey picture of the code at `area` seen straight from above, with the white around it."""
    side, white = area.width_mm, area.width_mm * QR_WHITE_SHARE
    count = round(_UPRIGHT_SIDE_PX * (1 + 2 * QR_WHITE_SHARE))
    steps = (np.arange(count) + 0.5) / count * (side + 2 * white) - white
    grid = np.stack(np.meshgrid(area.x_mm + steps, area.y_mm + steps), axis=-1)
    x, y = np.moveaxis(sheet_to_pixels(sheet, grid).astype(np.float32), -1, 0)
    colour = cv2.remap(pixels, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    grey = cast("ByteArray", colour).mean(axis=-1) / (np.iinfo(pixels.dtype).max / 255)
    return np.asarray(np.rint(grey).astype(np.uint8))
