"""The room's front door: the fries of a photo, each found and measured."""

from dataclasses import dataclass, replace

import cv2
import numpy as np

from grader.arrays import IntArray, MaskArray, PixelArray
from grader.card.model import FoundSheet
from grader.card.plane import px_per_mm
from grader.colour.plain import plain_matrix
from grader.colour.sheet import SheetColour, SheetSamples
from grader.fries.foreground import find_foreground
from grader.fries.grouping import group_pieces
from grader.fries.hooks import rejoin_hooks
from grader.fries.labels import full_labels, tidy_labels
from grader.fries.lone_strips import lone_strips
from grader.fries.lying import Relief
from grader.fries.measuring import Ground, measure_fries
from grader.fries.model import Plate
from grader.fries.morphology import closed
from grader.fries.no_fries import without_things
from grader.fries.pieces import cut_into_pieces
from grader.fries.sight import Sight, see
from grader.fries.view import MM_PER_PX, View, look
from grader.fries.whole_outline import trace_whole_outlines
from grader.fries.yellow import yellow_fries

_HEAP_RADIUS_MM = 42.0
"""Where a disc of this radius finds no plate between the fries, gaps closed, they lie on each other, not beside each
other. In 8 heaps it was 45 mm or more, on 53 plates of fries that cross or touch 39 mm at most (rendered plates)."""
_GAP_MM = 3.0
_MOST_LENGTHS = 1.4
"""What is so much longer than the usual fry is looked at for seams, though it is one strip."""
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
    yellow = yellow_fries(view)
    sight = see(view, yellow)
    close, seen = view.within(sight.box), sight.within(sight.box)
    foreground = find_foreground(close, seen, yellow[sight.box], cut_width_mm=laid.cut_width_mm)
    heaped = _heaped(foreground.fries)
    small = np.zeros(yellow.shape, np.uint16)
    small[sight.box] = _told_apart(close, seen, foreground.fries, laid, heaped=heaped)
    scale = px_per_mm(sheet)
    lying = tidy_labels(full_labels(pixels, view, sight, small), least_px=LEAST_FRY_MM2 * scale**2)
    labels = lying.labels
    relief = Relief(height_mm=sight.height_mm, reduction=view.reduction)
    ground = replace(ground_of(sheet, laid, heaped=heaped), relief=relief)
    outlines = trace_whole_outlines(lying, reach_px=TOUCHING_MM * scale)
    fries = measure_fries(pixels, labels, outlines, sheet.camera, colour, ground=ground)
    return without_things(Plate(fries=fries, labels=labels, heaped=heaped, unfamiliar=foreground.unfamiliar))


def _told_apart(view: View, sight: Sight, foreground: MaskArray, laid: Laid, *, heaped: bool) -> IntArray:
    """(h, w) the number of the fry at each pixel of the view, 0 where there is none."""
    lone = lone_strips(foreground, cut_width_mm=laid.cut_width_mm, most_lengths=_MOST_LENGTHS)
    pieces = cut_into_pieces(view, sight, foreground & (lone == 0))
    grouped = group_pieces(pieces, cut_width_mm=laid.cut_width_mm)
    joined = grouped if heaped else rejoin_hooks(view, grouped)
    return np.where(lone > 0, lone + joined.max(initial=0), joined)


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
    """Whether fries fill a wide disc, but for the dark gaps between them."""
    depth_mm = cv2.distanceTransform(closed(foreground, _GAP_MM).astype(np.uint8), cv2.DIST_L2, 5) * MM_PER_PX
    return bool(depth_mm.max() > _HEAP_RADIUS_MM)
