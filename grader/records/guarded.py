"""Grading that always leaves something to keep: what goes wrong with one photo becomes a refusal of that photo."""

import hashlib
import logging
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from grader.arrays import frozen
from grader.card_values import KnownValues
from grader.fault_log import log_fault
from grader.fries import Plate
from grader.grading import METHOD_VERSION, GradedPhoto, Progress, grade_photo
from grader.reasons import Reason
from grader.standard.model import Standard
from grader.trueness import Study

log = logging.getLogger(__name__)


def refusal(name: str, data: bytes, reason: Reason) -> GradedPhoto:
    """A photo refused before, or instead of, grading."""
    return GradedPhoto(
        name=name,
        sha256=hashlib.sha256(data).hexdigest(),
        method_version=METHOD_VERSION,
        photo=None,
        sheet=None,
        colour_quality=None,
        plate=None,
        verdict=None,
        reasons=(reason,),
    )


def of_fault(error: Exception, *, doing: str) -> Reason:
    """Why a photo is refused at which this program failed."""
    return Reason(
        code="program_fault",
        message=f"A fault of this program stopped the {doing} ({type(error).__name__}).",
        hint="Take another photo, and report this one with what the program logged.",
    )


def of_unreadable(error: OSError | MemoryError) -> Reason:
    """Why a photo is refused whose file can't be read."""
    return Reason(
        code="photo_unreadable",
        message=f"The file can't be read ({error}).",
        hint="Check that the file can be opened, and grade it again.",
    )


def grade_guarded(
    data: bytes,
    *,
    name: str,
    standard: Standard,
    known: KnownValues | None = None,
    studies: Sequence[Study] = (),
    progress: Progress | None = None,
) -> GradedPhoto:
    """Grade one photo; a fault of this program is logged and refuses the photo, so that the rest goes on."""
    try:
        return grade_photo(data, name=name, standard=standard, known=known, studies=studies, progress=progress)
    except Exception as error:  # noqa: BLE001 - logged, and the rest goes on
        gone = refusal(name, data, of_fault(error, doing="grading"))
        log_fault(log, "grading", error, photo=gone.sha256)
        return gone


def without_pixels(graded: GradedPhoto) -> GradedPhoto:
    """The same findings without photo and labels: what is kept of many photos must not hold 60 MB each."""
    mending = graded.mending
    return replace(
        graded,
        photo=None,
        plate=None if graded.plate is None else _without_labels(graded.plate),
        mending=None if mending is None else replace(mending, plate=_without_labels(mending.plate)),
    )


def _without_labels(plate: Plate) -> Plate:
    return replace(plate, labels=frozen(np.zeros((0, 0), np.uint16)))
