"""Photos to be timed: a sample picture at any size of phone, and with any number of fries on its plate."""

import io
from dataclasses import dataclass

import cv2
import numpy as np
from PIL import Image

from grader.arrays import ByteArray, IntArray, LabelArray
from grader.places import sample_folder
from tests.scoring.readings import TruePlate, read_truth

_SAMPLE = sample_folder() / "b1" / "b1-plate2.jpg"
_QUALITY = 92
MEGAPIXELS_OF_A_PHONE = 12.2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TimedPhoto:
    """A photo's bytes; (h, w) which fry of the truth is where in it."""

    data: bytes
    mask: IntArray
    megapixels: float


def sample_truth() -> TruePlate:
    """What lies on the sample picture's plate."""
    return read_truth(_SAMPLE.parent / "truth" / f"{_SAMPLE.stem}.json")


def photo_of(megapixels: float = MEGAPIXELS_OF_A_PHONE, *, fries: int | None = None) -> TimedPhoto:
    """The sample picture at so many million pixels, its EXIF kept; with so many fries where a number is given."""
    with Image.open(_SAMPLE) as picture:
        exif, pixels = picture.getexif(), np.asarray(picture.convert("RGB"))
    mask: LabelArray = sample_truth().mask.astype(np.uint16)
    if fries is not None:
        pixels, mask = _laid_anew(pixels, mask, fries)
    scale = float(np.sqrt(megapixels * 1e6 / mask.size))
    size = round(mask.shape[1] * scale), round(mask.shape[0] * scale)
    packed = io.BytesIO()
    large = Image.fromarray(pixels).resize(size, Image.Resampling.LANCZOS)
    large.save(packed, "JPEG", quality=_QUALITY, subsampling=0, exif=exif)
    large_mask = cv2.resize(mask, size, interpolation=cv2.INTER_NEAREST)
    return TimedPhoto(data=packed.getvalue(), mask=np.asarray(large_mask, np.int64), megapixels=size[0] * size[1] / 1e6)


def _laid_anew(pixels: ByteArray, mask: LabelArray, fries: int) -> tuple[ByteArray, LabelArray]:
    """The plate cleared, and so many copies of one of its fries laid on it in rows, small enough to fit."""
    rows, columns = np.nonzero(mask)
    top, bottom, left, right = rows.min(), rows.max(), columns.min(), columns.max()
    near = cv2.dilate((mask > 0).astype(np.uint8), np.ones((25, 25), np.uint8))
    bare = cv2.inpaint(cv2.resize(pixels, None, fx=0.25, fy=0.25), cv2.resize(near, None, fx=0.25, fy=0.25), 3, 1)
    empty = np.where(near[..., None] > 0, cv2.resize(bare, pixels.shape[1::-1]), pixels).astype(np.uint8)
    piece, shape = _one_fry(pixels, mask)
    across = int(np.ceil(np.sqrt(fries * (bottom - top) / (right - left) * piece.shape[0] / piece.shape[1])))
    down = int(np.ceil(fries / across))
    cell = (right - left) // across, (bottom - top) // down
    scale = min(0.9 * cell[0] / piece.shape[1], 0.7 * cell[1] / piece.shape[0], 1.0)
    small = cv2.resize(piece, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    there = cv2.resize(shape, small.shape[1::-1], interpolation=cv2.INTER_NEAREST) > 0
    laid = np.zeros_like(mask)
    for number in range(fries):
        y, x = top + number // across * cell[1], left + number % across * cell[0]
        box = np.s_[y : y + small.shape[0], x : x + small.shape[1]]
        empty[box][there] = small[there]
        laid[box][there] = number + 1
    return empty, laid


def _one_fry(pixels: ByteArray, mask: LabelArray) -> tuple[ByteArray, ByteArray]:
    """The fry that fills its own box best, lying along the rows: pixels and where it is."""
    best = (0.0, pixels, mask.astype(np.uint8))
    for number in np.unique(mask[mask > 0]).tolist():
        rows, columns = np.nonzero(mask == number)
        box = np.s_[rows.min() : rows.max() + 1, columns.min() : columns.max() + 1]
        shape = (mask[box] == number).astype(np.uint8)
        if shape.mean() > best[0]:
            best = (float(shape.mean()), pixels[box], shape)
    _, piece, shape = best
    if piece.shape[0] > piece.shape[1]:
        piece, shape = np.rot90(piece), np.rot90(shape)
    return np.ascontiguousarray(piece), np.ascontiguousarray(shape)
