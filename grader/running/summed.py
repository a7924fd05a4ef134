"""What is kept of a photo once its results are written: all that its batch's decision, tables and words need."""

from dataclasses import replace

import numpy as np

from grader.arrays import FloatArray, frozen
from grader.fries import Fry
from grader.grading import GradedPhoto

_NO_PLACES: FloatArray = frozen(np.zeros((0, 2)))


def summed(graded: GradedPhoto) -> GradedPhoto:
    """The same without pixels, labels, card and outlines: some 80 kB instead of 60 MB.

    What a batch is decided by stays: each fry's sizes, colour and its doubt, dark end, spots and flags.
    """
    plate = graded.plate
    if plate is not None:
        fries = tuple(_without_places(fry) for fry in plate.fries)
        plate = replace(plate, fries=fries, labels=frozen(np.zeros((0, 0), np.uint16)), no_fries=())
    return replace(graded, photo=None, sheet=None, colour=None, colour_quality=None, plate=plate)


def _without_places(fry: Fry) -> Fry:
    return replace(fry, outline_px=_NO_PLACES, centreline_px=_NO_PLACES, body_lab=None, end_labs=None)
