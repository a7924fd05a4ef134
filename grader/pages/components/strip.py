"""All fries of a plate cut out and straightened, side by side: by colour or by length, each with its number.

Beneath each stands its own colour as measured, and beneath that the step of the house scale that it is nearest to; both
are for viewing only, because no screen shows them exactly.
"""

from collections.abc import Mapping, Sequence

import numpy as np
import streamlit as st

from grader.arrays import ByteArray, FloatArray
from grader.colour import lab_to_srgb8
from grader.drawing import picture_jpeg
from grader.drawing.ink import BLACK, text_size, write
from grader.evidence.fry_strips import FryStrip, fry_strips
from grader.fries.model import Fry
from grader.language import said, tr
from grader.pages.components.grading import SeenPhoto, grader
from grader.standard.model import ColourScale, Standard

_ORDERS = {"colour": said("By colour"), "length": said("By length")}
_CELL_PX, _GAP_PX, _SWATCH_PX, _LETTER_PX = 44, 6, 26, 18
_A_ROW = 20
_GROUND = 246


def show_strip(one: SeenPhoto, data: bytes, standard: Standard) -> None:
    """The strip of one plate; its order is chosen."""
    order = st.segmented_control(
        tr("Strip of all fries"),
        list(_ORDERS),
        format_func=lambda key: tr(_ORDERS[key]),
        default=None,
        key=f"strip_{one.key}",
    )
    if order is None:
        return
    whole = grader().whole(one, data, standard)
    if whole.photo is None or whole.plate is None:
        return
    strips = in_order(fry_strips(whole.photo.pixels, whole.plate.fries, standard, plate=1), order)
    if not strips:
        st.caption(tr("No fry lies free from end to end."))
        return
    picture = strip_board(strips, {fry.number: fry for fry in whole.plate.fries}, standard.scale)
    words = tr("{n} fries straightened, side by side, {order}", n=len(strips), order=tr(_ORDERS[order]).lower())
    st.image(picture_jpeg(picture), alt=words, width="stretch")
    st.caption(
        tr(
            "Beneath each fry its own measured colour, then the nearest step of the house scale. For viewing only: "
            "no screen shows colours exactly."
        )
    )


def in_order(strips: Sequence[FryStrip], order: str) -> list[FryStrip]:
    """Palest or shortest first; fries without a place on the scale last."""

    def by(one: FryStrip) -> tuple[float, int]:
        value = one.place if order == "colour" else one.length_mm
        return (np.inf if value is None else value, one.number)

    return sorted(strips, key=by)


def strip_board(strips: Sequence[FryStrip], fries: Mapping[int, Fry], scale: ColourScale) -> ByteArray:
    """(h, w, 3) RGB: rows of strips that stand on one line, with number and swatches beneath."""
    rows = [strips[start : start + _A_ROW] for start in range(0, len(strips), _A_ROW)]
    wide = _CELL_PX * min(len(strips), _A_ROW) + _GAP_PX
    return np.concatenate([_row(row, fries, scale, wide) for row in rows])


def _row(row: Sequence[FryStrip], fries: Mapping[int, Fry], scale: ColourScale, wide: int) -> ByteArray:
    tall = max(one.pixels.shape[0] for one in row)
    foot = 2 * _SWATCH_PX + _LETTER_PX + 5 * _GAP_PX
    board = np.full((tall + _GAP_PX + foot, wide, 3), _GROUND, np.uint8)
    for k, one in enumerate(row):
        left, (high, across) = _GAP_PX + k * _CELL_PX, one.pixels.shape[:2]
        x = left + (_CELL_PX - _GAP_PX - across) // 2
        board[_GAP_PX + tall - high : _GAP_PX + tall, x : x + across] = one.pixels
        at = _GAP_PX + tall + _LETTER_PX + _GAP_PX
        words = str(one.number)
        middle = left + (_CELL_PX - _GAP_PX - text_size(words, _LETTER_PX)[0]) // 2
        write(board, words, (middle, at - 3), BLACK, _LETTER_PX)
        for lab in _swatches(fries[one.number], one, scale):
            board[at : at + _SWATCH_PX, left : left + _CELL_PX - _GAP_PX] = lab_to_srgb8(lab)
            at += _SWATCH_PX + _GAP_PX // 2
    return board


def _swatches(fry: Fry, strip: FryStrip, scale: ColourScale) -> list[FloatArray]:
    """Its own colour and that of the nearest step; none where it has no colour."""
    if fry.colour is None or strip.place is None:
        return []
    step = scale.steps[min(max(round(strip.place), 1), len(scale.steps)) - 1]
    return [np.asarray(fry.colour.lab, float), np.array(step.lab)]
