"""What a small network says of a picture, place by place: is this a fry, does another begin here, how high does it lie.

It learned from rendered plates alone (`calibration/network`), runs on the processor, and says the same
whenever it is asked the same. What it says is one sign among others: shapes and colours have their say as well.
"""

from dataclasses import dataclass

import cv2
import numpy as np

from grader.arrays import Box, Float32Array, MaskArray
from grader.fries.morphology import box_around
from grader.fries.network import DEEPEST, run_network
from grader.fries.view import View

_FOLD = 2
"""Two by two pixels go into the network as one of twelve channels."""
_YELLOW_COUNTS, _RED_COUNTS = 2.0, 4.0
_HEIGHT_MM = 10.0
_GLANCE = 2
_MARGIN_MM = 10.0
_ALL: Box = np.s_[:, :]
_NOTHING = -12.0
"""Log odds where nobody looked."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sight:
    """What it says, of a view's size.

    Attributes
    ----------
    fry_logit, seam_logit
        (h, w) log odds that the pixel shows a fry; that it lies where one fry ends and another begins.
    direction
        (h, w, 2) cosine and sine of twice the angle at which the fry runs there.
    height_mm
        (h, w) of the fry that shows, over what the plate's fries lie on; means nothing where there is none.
    box
        Rows and columns outside which no fries are; all of them where there was nothing to look closely at.
    """

    fry_logit: Float32Array
    seam_logit: Float32Array
    direction: Float32Array
    height_mm: Float32Array
    box: Box

    def within(self, box: Box) -> "Sight":
        """The part of it in these rows and columns."""
        return Sight(
            fry_logit=self.fry_logit[box],
            seam_logit=self.seam_logit[box],
            direction=self.direction[box],
            height_mm=self.height_mm[box],
            box=_ALL,
        )


def see(view: View, yellow: MaskArray) -> Sight:
    """What the network says of a view: at a glance, of half its size, where fries may be; then closely of that part.

    At a glance it overlooks some fries, so the box around what it sees holds all that is yellow and no table as well:
    `yellow_fries`, (h, w).
    """
    maybe = yellow | (_glanced(view) & ~view.barred)
    shape = view.barred.shape
    box = box_around(maybe, _MARGIN_MM) if maybe.any() else _ALL
    said = _said_of(view, box) if maybe.any() else None
    sight = Sight(
        fry_logit=np.full(shape, _NOTHING, np.float32),
        seam_logit=np.full(shape, _NOTHING, np.float32),
        direction=np.zeros((*shape, 2), np.float32),
        height_mm=np.zeros(shape, np.float32),
        box=box,
    )
    if said is not None:
        sight.fry_logit[box], sight.seam_logit[box], sight.direction[box], sight.height_mm[box] = said
    return sight


def _glanced(view: View) -> MaskArray:
    fry = _said_of(view, np.s_[::_GLANCE, ::_GLANCE])[0]
    return cv2.resize((fry > 0).astype(np.uint8), view.barred.shape[::-1], interpolation=cv2.INTER_NEAREST) > 0


def _said_of(view: View, where: Box) -> tuple[Float32Array, Float32Array, Float32Array, Float32Array]:
    """Log odds of fry and of seam (h, w), direction (h, w, 2) and height (h, w), mm, at these rows and columns."""
    height, width = view.barred[where].shape
    said = run_network(_folded(view, where))

    def doubled(channels: slice) -> Float32Array:
        whole = cv2.resize(said[channels].transpose(1, 2, 0), None, fx=_FOLD, fy=_FOLD)
        return np.asarray(whole[:height, :width], np.float32)

    fry, seam = (_unfolded(said[first : first + 4])[:height, :width] for first in (0, 4))
    return fry, seam, doubled(slice(8, 10)), _HEIGHT_MM * doubled(slice(12, 13))


def _folded(view: View, where: Box) -> Float32Array:
    """(12, h / 2, w / 2) of these rows and columns as it learned them, filled up to a size that it takes."""
    planes = (view.luminance_log, 1.0), (view.yellowness_log, _YELLOW_COUNTS), (view.redness_log, _RED_COUNTS)
    more = [(0, -size % (_FOLD * DEEPEST)) for size in view.barred[where].shape]
    folded = []
    for plane, counts in planes:
        whole = np.pad(np.float32(counts) * plane[where], more, mode="edge")
        folds = whole.reshape(len(whole) // _FOLD, _FOLD, -1, _FOLD).transpose(1, 3, 0, 2)
        folded.append(folds.reshape(_FOLD**2, *folds.shape[2:]))
    return np.concatenate(folded)


def _unfolded(folds: Float32Array) -> Float32Array:
    """(4, h, w) to (2 h, 2 w)."""
    _, height, width = folds.shape
    return np.asarray(folds.reshape(_FOLD, _FOLD, height, width).transpose(2, 0, 3, 1).reshape(2 * height, 2 * width))
