"""The room's front door: the fries of a photo, each found and measured."""

from dataclasses import dataclass

import cv2
import numpy as np

from grader.arrays import MaskArray, PixelArray
from grader.card.model import FoundSheet
from grader.card.plane import px_per_mm
from grader.colour.plain import plain_matrix
from grader.colour.sheet import SheetColour, SheetSamples
from grader.fries.charred_ends import charred_ends, with_ends
from grader.fries.foreground import find_foreground
from grader.fries.grouping import group_pieces
from grader.fries.hooks import rejoin_hooks
from grader.fries.labels import full_labels, tidy_labels
from grader.fries.measuring import Ground, measure_fries
from grader.fries.model import Plate
from grader.fries.no_fries import without_things
from grader.fries.pieces import cut_into_pieces
from grader.fries.view import MM_PER_PX, look
from grader.fries.whole_outline import trace_whole_outlines

_HEAP_RADIUS_MM = 30.0
"""Where a disc of this radius finds no plate between the fries they lie on each other, not beside each other. Four bars
side by side hold one of 20 mm, a heap of 70 one of 45 mm (rendered plates)."""
_CARD_HEIGHT_U_MM = 3.0
"""Beside a card, how high the plate's inside stands over the card is only as well known as the house says it; plates
differ by some 8 mm. Common practice, no source."""
_MAT_HEIGHT_U_MM = 0.2
TOUCHING_MM = 0.6
LEAST_FRY_MM2 = 45.0
"""Less shows of a crumb. What counts as a piece the house standard says, by length."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """What the house says of the fries that lie there.

    Attributes
    ----------
    cut_width_mm
        The width that they were cut to.
    plate_height_mm
        How high the plate's inside stands over a card that lies beside it; a mat lies under the fries, and needs none.
    matt
        They were not fried: nothing on them shines.
    """

    cut_width_mm: float
    plate_height_mm: float
    matt: bool


def find_fries(
    pixels: PixelArray,
    sheet: FoundSheet,
    samples: SheetSamples,
    colour: SheetColour,
    laid: Laid,
) -> Plate:
    """Find and measure the fries of a photo.

    Parameters
    ----------
    pixels
        (h, w, 3) as `Photo` has them.
    sheet, samples, colour
        The card or mat in it, its patches, and what they say of the colours.
    laid
        What the house says of the fries.
    """
    usable = samples.patch_usable
    view = look(pixels, sheet, plain_matrix(samples.patch_rgb[usable], samples.patch_lab[usable]))
    foreground = find_foreground(view, cut_width_mm=laid.cut_width_mm)
    heaped = _heaped(foreground)
    grouped = group_pieces(cut_into_pieces(view, foreground), cut_width_mm=laid.cut_width_mm)
    small = grouped if heaped else rejoin_hooks(view, grouped)
    scale = px_per_mm(sheet)
    whole = with_ends(full_labels(pixels, view, small), charred_ends(view, small))
    labels = tidy_labels(whole, least_px=LEAST_FRY_MM2 * scale**2)
    ground = ground_of(sheet, laid, heaped=heaped)
    outlines = trace_whole_outlines(labels, reach_px=TOUCHING_MM * scale)
    fries = measure_fries(pixels, labels, outlines, sheet.camera, colour, ground=ground)
    return without_things(Plate(fries=fries, labels=labels, heaped=heaped))


def ground_of(sheet: FoundSheet, laid: Laid, *, heaped: bool) -> Ground:
    """Where and how the fries beside a card, or on a mat, lie."""
    mat = sheet.layout.kind == "mat"
    return Ground(
        height_mm=0.0 if mat else laid.plate_height_mm,
        height_u_mm=_MAT_HEIGHT_U_MM if mat else _CARD_HEIGHT_U_MM,
        heaped=heaped,
        cut_width_mm=laid.cut_width_mm,
        matt=laid.matt,
    )


def _heaped(foreground: MaskArray) -> bool:
    depth_mm = cv2.distanceTransform(foreground.astype(np.uint8), cv2.DIST_L2, 5) * MM_PER_PX
    return bool(depth_mm.max() > _HEAP_RADIUS_MM)
