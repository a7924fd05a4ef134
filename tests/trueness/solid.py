"""Pieces of a kit as exact solids beside a card, seen by a pinhole: bars at two heights, chips flat and matt."""

import numpy as np

from grader.arrays import FloatArray
from grader.photo.srgb import linear_light
from grader.trueness.model import Kit, Piece, PlannedPhoto
from tests.card.scenes import Pinhole, photograph, picture_of
from tests.fries.photographs import file_of
from tests.fries.solids import CARD, GOLDEN, Bar, Paint, encoded, fry_paint, light_of, on_plane, paint

CHIP_MM = (60.0, 10.0)
_EXPOSURE = 0.85
_BESIDE_MM, _PITCH_MM, _APART_MM = np.array((215.0, -35.0)), np.array((95.0, 80.0)), 20.0


def solid_photo(kit: Kit, planned: PlannedPhoto, rng: np.random.Generator, *, size: tuple[int, int]) -> bytes:
    """The JPEG of one photo of a kit, from a camera that is a little elsewhere each time.

    Bars have their known sizes, and the shine of oil; chips are flat and matt.
    """
    camera = Pinhole.over(
        CARD,
        tilt_deg=float(rng.uniform(0, 7)),
        towards_deg=float(rng.uniform(0, 360)),
        turned_deg=float(rng.uniform(-4, 4)),
        height_mm=float(rng.uniform(430, 460)),
        focal_35mm=26.0,
        size=size,
        off_mm=(115.0, 0.0),
    )
    light = np.array(
        linear_light(photograph(picture_of(CARD), camera, exposure=_EXPOSURE, noise=0.0, table=0.3)), float
    )
    by_name = {piece.name: piece for piece in kit.pieces}
    number = 0
    for laid in planned.laid:
        row, column = divmod(laid.place - 1, 3)
        for order, name in enumerate(laid.pieces):
            number += 1
            x, y = _BESIDE_MM + _PITCH_MM * (column, row)
            middle = (float(x), float(y + (order - (len(laid.pieces) - 1) / 2) * _APART_MM))
            _draw(light, camera, by_name[name], middle, planned.raised_mm, number)
    return file_of(encoded(light))


def _draw(
    light: FloatArray,
    camera: Pinhole,
    piece: Piece,
    middle: tuple[float, float],
    raised_mm: float,
    number: int,
) -> None:
    if piece.length_mm is not None and piece.width_mm is not None:
        length, width = piece.length_mm.value, piece.width_mm.value
        bar = Bar(middle=middle, length=length, width=width, thickness=9.5, ground_mm=raised_mm)
        paint(light, bar, camera, _lit(fry_paint(GOLDEN, number=number)))
    elif piece.lab is not None:
        L, a, b = (channel.value for channel in piece.lab)
        chip = Bar(
            middle=middle, length=CHIP_MM[0], width=CHIP_MM[1], thickness=0.3, ground_mm=raised_mm, power=float("inf")
        )
        rows, columns = np.nonzero(chip.covers(camera))
        on_chip = on_plane(camera, np.column_stack([columns, rows]).astype(float), raised_mm + chip.thickness)
        light[rows, columns] = light_of((L, a, b)) * _EXPOSURE * np.ones((len(on_chip), 1))


def _lit(colour: Paint) -> Paint:
    return lambda along, across: colour(along, across) * _EXPOSURE
