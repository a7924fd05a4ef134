"""Pieces of a kit painted on a mat and photographed by a pinhole: everything is known, and everything lies flat."""

import io

import numpy as np
from PIL import Image

from grader.arrays import ByteArray
from grader.colour import lab_to_srgb8
from grader.trueness.model import Kit, PlannedPhoto
from tests.card.scenes import Pinhole, blot, layout_of, photograph, picture_of

CHIP_MM = (60.0, 10.0)
_APART_MM = 18.0


def painted_photo(kit: Kit, planned: PlannedPhoto, *, size: tuple[int, int], without: tuple[str, ...] = ()) -> bytes:
    """The PNG of one photo of a kit on its mat, bars and chips lying across; `without` was forgotten."""
    layout = layout_of(kit.sheet)
    assert layout.field is not None
    picture = picture_of(layout)
    by_name = {piece.name: piece for piece in kit.pieces}
    field = layout.field
    for laid in planned.laid:
        row, column = divmod(laid.place - 1, 3)
        x = field.x_mm + field.width_mm * (column + 0.5) / 3
        y = field.y_mm + field.height_mm * (row + 0.5) / 3
        for order, name in enumerate(laid.pieces):
            if name in without:
                continue
            piece = by_name[name]
            middle = y + (order - (len(laid.pieces) - 1) / 2) * _APART_MM
            lab = (62.0, 7.0, 34.0) if piece.lab is None else tuple(channel.value for channel in piece.lab)
            length, width = CHIP_MM
            if piece.length_mm is not None and piece.width_mm is not None:
                length, width = piece.length_mm.value, piece.width_mm.value
            red, green, blue = lab_to_srgb8(np.array([lab]))[0].tolist()
            blot(picture, (x - length / 2, middle - width / 2, length, width), (red, green, blue))
    return _png(photograph(picture, Pinhole.over(layout, size=size, tilt_deg=3)))


def _png(pixels: ByteArray) -> bytes:
    data = io.BytesIO()
    Image.fromarray(pixels).save(data, "PNG")
    return data.getvalue()
