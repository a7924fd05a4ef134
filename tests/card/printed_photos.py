"""Photographs of printed sheets for the QR code: a drawn sheet warped by a homography, blurred, noisy, as a JPEG.

As hard as a phone makes it: a blur of one pixel's standard deviation, noise, compression at quality 88; edges are
averaged over each pixel by taking the picture twice as large and halving it.
"""

import cv2
import numpy as np

from grader.arrays import ByteArray
from grader.card import Imprint
from grader.card.model import Layout
from grader.card.printing import draw_sheet_png
from grader.colour.cie import lab_to_srgb8

DRAWN_PX_PER_MM = 20
"""Two pixels to a tenth of a millimetre: a module of a code and of a tag begin on whole pixels."""
_TABLE = 90


def drawn(layout: Layout, imprint: Imprint | None) -> ByteArray:
    return draw_sheet_png(layout, lab_to_srgb8, px_per_mm=DRAWN_PX_PER_MM, imprint=imprint)


def photographed(
    picture: ByteArray,
    *,
    px_per_mm: float,
    turned_deg: float = 0.0,
    perspective: float = 0.06,
    exposure: float = 0.8,
    grain_number: int = 1,
) -> ByteArray:
    """(h, w, 3) RGB. `perspective`: how much the far side is shorter than the near one, as a share."""
    height, width = picture.shape[:2]
    scale = px_per_mm / DRAWN_PX_PER_MM
    half = np.array([width, height]) * scale / 2
    narrow = np.array([[1 - perspective, 1], [1 - perspective, 1], [1, 1], [1, 1]])
    corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * half * narrow
    angle = np.radians(turned_deg)
    turned = corners @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    low, high = turned.min(axis=0) - 40.3, turned.max(axis=0) + 40.3
    size = np.ceil(high - low).astype(int)
    source = np.array([[0, 0], [width, 0], [width, height], [0, height]]) - 0.5
    target = (turned - low) * 2 - 0.5
    matrix = cv2.getPerspectiveTransform(source.astype(np.float32), target.astype(np.float32))
    fitting = cv2.resize(picture, None, fx=min(4 * scale, 1), fy=min(4 * scale, 1), interpolation=cv2.INTER_AREA)
    shrunk = fitting.shape[1] / width
    to_full = np.array([[1 / shrunk, 0, 0.5 / shrunk - 0.5], [0, 1 / shrunk, 0.5 / shrunk - 0.5], [0, 0, 1]])
    warped = cv2.warpPerspective(
        fitting, matrix @ to_full, (int(size[0] * 2), int(size[1] * 2)), borderValue=(_TABLE, _TABLE, _TABLE)
    )
    sharp = np.asarray(cv2.resize(warped, (int(size[0]), int(size[1])), interpolation=cv2.INTER_AREA), float)
    blurred = np.asarray(cv2.GaussianBlur(sharp * exposure, (0, 0), 1.0))
    taken = blurred + np.random.default_rng(grain_number).normal(0, 4, blurred.shape)
    _, packed = cv2.imencode(".jpg", np.clip(taken[..., ::-1], 0, 255).astype(np.uint8), [cv2.IMWRITE_JPEG_QUALITY, 88])
    decoded = cv2.imdecode(packed, cv2.IMREAD_COLOR)
    assert decoded is not None
    return np.ascontiguousarray(np.asarray(decoded, np.uint8)[..., ::-1])
