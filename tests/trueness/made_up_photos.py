"""Graded photos of a kit, made up: every piece found where the worksheet has it, and read with a known error."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from grader.arrays import FloatArray, frozen
from grader.card import estimate_camera, load_layouts, to_pixels
from grader.card.model import FoundSheet
from grader.card.serial import Serial
from grader.fries.model import Colour, Fry, Measured, Plate
from grader.grading import GradedPhoto
from grader.photo.model import Photo
from grader.trueness.model import Kit, Piece, PlannedPhoto
from tests.records import made_up as graded_up
from tests.trueness.made_up import values

SIZE_PX = (1200, 900)
_PX_PER_MM = 2.4
_BESIDE_MM = np.array((170.0, 10.0))
_PITCH_MM = np.array((95.0, 85.0))


def sheet(key: str) -> FoundSheet:
    """The sheet, looked at from straight above."""
    layout = next(one for one in load_layouts() if one.key == key)
    corners = np.array([(0, 0), (1, 0), (1, 1), (0, 1)]) * (layout.width_mm, layout.height_mm)
    corners_px = corners * _PX_PER_MM + (40.0, 60.0)
    camera = estimate_camera(corners, corners_px, size_px=SIZE_PX, focal_35mm=26.0)
    return FoundSheet(
        layout=layout,
        homography=frozen(np.array([[_PX_PER_MM, 0, 40.0], [0, _PX_PER_MM, 60.0], [0, 0, 1]])),
        corners_px=frozen(corners_px),
        camera=camera,
        hidden_tags=(),
        tag_rms_px=0.1,
    )


def graded_photo(
    kit: Kit,
    planned: PlannedPhoto,
    rng: np.random.Generator,
    *,
    off_mm: float = 0.2,
    off_lab: float = 0.3,
    without: Sequence[str] = (),
) -> GradedPhoto:
    """The photo as the grader might have it; lengths are off by `off_mm`, every channel of colours by `off_lab`."""
    found = sheet(kit.sheet)
    by_name = {piece.name: piece for piece in kit.pieces}
    fries: list[Fry] = []
    for laid in planned.laid:
        row, column = divmod(laid.place - 1, 3)
        for order, name in enumerate(laid.pieces):
            middle = _BESIDE_MM + _PITCH_MM * (column, row) + (0, (order - (len(laid.pieces) - 1) / 2) * 18)
            if name not in without:
                middle_px = to_pixels(found.camera, np.array([[*middle, planned.raised_mm]]))[0]
                fries.append(_fry(len(fries) + 1, by_name[name], middle_px, rng, off_mm, off_lab))
    return GradedPhoto(
        name=planned.file,
        sha256=f"{abs(hash(planned.name)):064x}"[:64],
        method_version="1",
        photo=Photo(
            name=planned.file,
            sha256="ab" * 32,
            pixels=frozen(np.full((*SIZE_PX[::-1], 3), 120, np.uint8)),
            file_format="JPEG",
            source_profile="sRGB (untagged)",
            focal_35mm=26.0,
            taken_at=None,
        ),
        sheet=found,
        colour_quality=None,
        plate=Plate(fries=tuple(fries), labels=frozen(np.zeros(SIZE_PX[::-1], np.uint16)), heaped=False),
        verdict=graded_up.verdict(),
        reasons=(),
        serial=Serial(kit.print_run, 7),
        values=values(sheet=kit.sheet),
    )


def _fry(
    number: int, piece: Piece, middle_px: FloatArray, rng: np.random.Generator, off_mm: float, off_lab: float
) -> Fry:
    length, width = piece.length_mm or Measured(value=60.0, u=0.0), piece.width_mm or Measured(value=10.0, u=0.0)
    lab = (60.0, 8.0, 33.0) if piece.lab is None else tuple(channel.value for channel in piece.lab)
    half = np.array((length.value, width.value)) / 2 * _PX_PER_MM
    outline = middle_px + np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * half
    read = Measured(value=length.value + off_mm + rng.normal(0, 0.3), u=0.5)
    return replace(
        graded_up.fry(number, y=100),
        outline_px=frozen(outline),
        centreline_px=frozen(middle_px + np.array([(-1, 0), (1, 0)]) * half),
        length_mm=read,
        straight_mm=read,
        width_mm=Measured(value=width.value + off_mm / 2 + rng.normal(0, 0.15), u=0.3),
        colour=Colour(
            lab=frozen(np.array(lab) + off_lab + rng.normal(0, 0.4, 3)),
            shared=frozen(0.8 * np.eye(3)),
            own_u=frozen(np.full(3, 0.4)),
        ),
    )
