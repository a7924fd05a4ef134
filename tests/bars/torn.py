"""Photographs in which ends of fries were torn afterwards, along lines whose gaps are known, graded again."""

import io
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from PIL import Image

from grader.arrays import FloatArray, MaskArray, PixelArray
from grader.fries.model import Fry, Measured
from grader.grading import GradedPhoto, grade_photo
from grader.standard.model import Standard
from tests.fries.torn import Tear, ragged

GAPS_MM = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0)
_LEAST_LENGTH_MM = 45.0
_REACH_MM = 20.0
_CUT_MM, _BEYOND_MM, _BESIDE_MM = 2.0, 6.0, 4.0
"""The tear begins so far behind the tip; so far beyond and beside it shadow goes as well."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TornEnd:
    """One end torn, its true gap, and what was read of it afterwards; None where it was not read."""

    photo: str
    fry: int
    gap_mm: float
    read: Measured | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Place:
    """An end in the photo: its tip and the unit vector out of it, px; the photo's scale there."""

    tip: FloatArray
    way: FloatArray
    px_per_mm: float


def sound_gaps(graded: GradedPhoto) -> list[float]:
    """Of every end of a photo's fries that can be seen; nobody tore any."""
    fries = () if graded.plate is None else graded.plate.fries
    return [gap.value for fry in fries for gap in fry.end_gaps_mm or () if gap is not None]


def tear_and_grade(
    file: Path, graded: GradedPhoto, standard: Standard, rng: np.random.Generator
) -> tuple[TornEnd, ...]:
    """Tear one end of each fry of a graded photo that lies free and is sound, grade again, read the gaps."""
    if graded.photo is None or graded.plate is None:
        return ()
    gone, torn = np.zeros(graded.plate.labels.shape, bool), []
    for fry in graded.plate.fries:
        end = int(rng.integers(2))
        gap, place = float(rng.choice(GAPS_MM)), _place(fry, end)
        if place is None or fry.width_mm is None:
            continue
        tear, box = ragged(rng, fry.width_mm.value, gap), _around(place, gone.shape)
        free = np.isin(graded.plate.labels[box], (0, fry.number))
        gone[box] |= _beyond(tear, place, fry.width_mm.value, box) & free
        torn.append((fry, place, tear.gap_mm))
    again = grade_photo(_without(file, graded.photo.pixels, graded.plate.labels > 0, gone), name="", standard=standard)
    return tuple(_read(file.stem, fry, place, gap, again) for fry, place, gap in torn)


def _place(fry: Fry, end: int) -> _Place | None:
    free = fry.end_gaps_mm is not None and None not in fry.end_gaps_mm
    if fry.length_mm is None or fry.length_mm.value < _LEAST_LENGTH_MM or not free:
        return None
    line = fry.centreline_px if end else fry.centreline_px[::-1]
    scale = float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum()) / fry.length_mm.value
    way = line[-1] - line[-2]
    return _Place(tip=line[-1], way=way / np.linalg.norm(way), px_per_mm=scale)


def _around(place: _Place, shape: tuple[int, ...]) -> tuple[slice, slice]:
    """The box of the photo in which all of an end lies."""
    reach = _REACH_MM * place.px_per_mm
    columns, rows = (slice(max(0, int(at - reach)), int(at + reach)) for at in place.tip)
    return slice(rows.start, min(rows.stop, shape[0])), slice(columns.start, min(columns.stop, shape[1]))


def _beyond(tear: Tear, place: _Place, width_mm: float, box: tuple[slice, slice]) -> MaskArray:
    """What of the end lies beyond the tear, and its shadow, at each pixel of the box."""
    rows, columns = np.ogrid[box]
    off = (columns - place.tip[0]) / place.px_per_mm, (rows - place.tip[1]) / place.px_per_mm
    outward = off[0] * place.way[0] + off[1] * place.way[1]
    across = off[1] * place.way[0] - off[0] * place.way[1]
    edge = -_CUT_MM - np.interp(across, tear.across_mm, tear.depth_mm)
    return np.asarray((outward > edge) & (outward < _BEYOND_MM) & (np.abs(across) < width_mm / 2 + _BESIDE_MM))


def _without(file: Path, pixels: PixelArray, fries: MaskArray, gone: MaskArray) -> bytes:
    """The photo as a JPEG with plate where something is gone, a little soft as a lens has it; EXIF kept."""
    quarter = (pixels.shape[1] // 4, pixels.shape[0] // 4)
    hole = cv2.dilate(cv2.resize((gone | fries).astype(np.uint8), quarter), np.ones((9, 9), np.uint8))
    small = cv2.resize(pixels, quarter, interpolation=cv2.INTER_AREA)
    plate = cv2.resize(cv2.inpaint(small, hole, 5, cv2.INPAINT_TELEA), pixels.shape[1::-1]).astype(float)
    plate += np.random.default_rng(1).normal(0, 2, plate.shape)
    share = cv2.GaussianBlur(gone.astype(np.float32), (0, 0), 0.7)[..., None]
    mixed = np.clip(np.rint(pixels * (1 - share) + plate * share), 0, 255).astype(np.uint8)
    packed = io.BytesIO()
    with Image.open(file) as source:
        Image.fromarray(mixed).save(packed, "JPEG", quality=93, exif=source.getexif().tobytes())
    return packed.getvalue()


def _read(photo: str, fry: Fry, place: _Place, gap_mm: float, again: GradedPhoto) -> TornEnd:
    """What is read of the end that now lies nearest to where the old one lay."""
    middle = fry.centreline_px[len(fry.centreline_px) // 2]
    found = () if again.plate is None else again.plate.fries
    number = 0 if again.plate is None else int(again.plate.labels[round(middle[1]), round(middle[0])])
    same = next((one for one in found if one.number == number), None)
    read = None
    if same is not None and same.end_gaps_mm is not None:
        far = np.linalg.norm(same.centreline_px[[0, -1]] - place.tip, axis=1)
        read = same.end_gaps_mm[int(np.argmin(far))]
    return TornEnd(photo=photo, fry=fry.number, gap_mm=gap_mm, read=read)
