"""What a worker does with one photo: its results as files and rows, and what its batch needs of it; no pixels."""

import hashlib
import logging
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from grader.arrays import frozen
from grader.card_values import KnownValues
from grader.decision import USUAL, Terms, judge_plate
from grader.drawing import draw_plate, picture_jpeg
from grader.errors import GraderError
from grader.fault_log import log_fault
from grader.grading import METHOD_VERSION, GradedPhoto, Progress
from grader.reasons import Reason
from grader.records.database.keeping import PlateToKeep, plate_to_keep
from grader.records.guarded import grade_guarded, of_fault, of_unreadable, refusal
from grader.records.naming import PICTURE
from grader.records.readings import readings_files
from grader.running.crew import WorkerEnded
from grader.running.summed import summed
from grader.standard.model import Standard
from grader.trueness import Study

log = logging.getLogger(__name__)

TRY_AGAIN = frozenset({"photo_unreadable", "program_fault", "program_ended"})
"""Refusals for which a photo isn't to blame: a run that begins again tries them again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grading:
    """By what the photos of a run are graded, and what is made of each; the rest as for `grade_photo`."""

    standard: Standard
    known: KnownValues | None = None
    studies: tuple[Study, ...] = ()
    terms: Terms = USUAL
    files: bool = True
    keep: bool = False
    method_version: str = METHOD_VERSION


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoTask:
    """A photo to grade: the file and the hash of its bytes; the bytes too where workers can't read the file."""

    path: Path
    sha256: str
    data: bytes | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PhotoDone:
    """What came of a photo.

    Attributes
    ----------
    graded
        As `summed` leaves it.
    files
        Endings and bytes of its files, the readings last; none where none are wanted.
    plate
        Worked out for the records; None where it isn't to be kept.
    """

    graded: GradedPhoto
    files: tuple[tuple[str, bytes], ...] = ()
    plate: PlateToKeep | None = None


class NotHere:
    """A worker's answer where the file isn't there, or is another: it asks for the bytes."""


class OtherEdition(GraderError, RuntimeError):
    """A worker grades by another edition of this program."""


def grade_task(task: PhotoTask, grading: Grading, progress: Progress | None = None) -> PhotoDone | NotHere:
    """Grade one photo and make its results; whatever goes wrong with it comes back as its refusal.

    Raises
    ------
    OtherEdition
        This process has another edition of the program than the run.
    """
    if grading.method_version != METHOD_VERSION:
        raise OtherEdition(
            f"A worker grades by method {METHOD_VERSION}, this run by method {grading.method_version}.",
            hint="Install the same edition of the program on all machines of the cluster, and run again.",
        )
    try:
        data = task.path.read_bytes() if task.data is None else task.data
    except OSError:
        return NotHere()
    except MemoryError as error:
        return unread(task.path, error, grading)
    if task.data is None and hashlib.sha256(data).hexdigest() != task.sha256:
        return NotHere()
    graded = grade_guarded(
        data,
        name=task.path.name,
        standard=grading.standard,
        known=grading.known,
        studies=grading.studies,
        progress=progress,
    )
    try:
        return finish(graded, data, grading)
    except Exception as error:  # noqa: BLE001 - logged, and the rest goes on
        log_fault(log, "writing", error, photo=graded.sha256)
        return finish(refusal(task.path.name, data, of_fault(error, doing="writing")), data, grading)


def finish(graded: GradedPhoto, data: bytes, grading: Grading) -> PhotoDone:
    """The results of a photo that was graded or refused, as far as they are wanted."""
    judged = _judged_on(graded, grading.standard, grading.terms)
    return PhotoDone(
        graded=summed(judged),
        files=_files(judged, grading.standard) if grading.files else (),
        plate=_plate(judged, data, grading.standard) if grading.keep else None,
    )


def unread(path: Path, error: OSError | MemoryError, grading: Grading) -> PhotoDone:
    """What comes of a photo whose file can't be read."""
    return finish(refusal(path.name, b"", of_unreadable(error)), b"", replace(grading, keep=False))


def ended(path: Path, error: WorkerEnded, grading: Grading) -> PhotoDone:
    """What comes of a photo on which the program ended: nothing for the records, because it isn't to blame."""
    reason = Reason(code="program_ended", message=error.message, hint=error.hint)
    try:
        data = path.read_bytes()
    except OSError as gone:
        return unread(path, gone, grading)
    return finish(refusal(path.name, data, reason), data, replace(grading, keep=False))


def _judged_on(photo: GradedPhoto, standard: Standard, terms: Terms) -> GradedPhoto:
    """The photo with its plate judged on these terms, where it was graded on others."""
    if photo.plate is None or (photo.verdict is not None and photo.verdict.terms == terms):
        return photo
    return replace(photo, verdict=judge_plate(photo.plate.fries, standard, terms))


def _files(graded: GradedPhoto, standard: Standard) -> tuple[tuple[str, bytes], ...]:
    picture = draw_plate(graded, standard)
    drawn = () if picture is None else ((PICTURE, picture_jpeg(picture)),)
    return (*drawn, *readings_files(graded, standard=standard))


def _plate(graded: GradedPhoto, data: bytes, standard: Standard) -> PlateToKeep:
    """With what the photo's file said of itself, but without its pixels."""
    photo = graded.photo and replace(graded.photo, pixels=frozen(np.zeros((0, 0, 3), np.uint8)))
    return replace(plate_to_keep(graded, data, standard=standard), graded=replace(summed(graded), photo=photo))
