"""Photos graded for a case, several at once where the machine can; what stays of each is small."""

import multiprocessing
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from functools import partial

from grader.card_values import KnownValues
from grader.drawing import draw_plate, picture_jpeg
from grader.errors import GraderError
from grader.evidence.fry_strips import FryStrip, fry_strips
from grader.grading import GradedPhoto
from grader.records.guarded import grade_guarded, without_pixels
from grader.records.readings import json_bytes, labels_png, photo_record
from grader.running.processes import cores
from grader.standard.model import Standard
from grader.trueness import Study

Done = Callable[[int, int], None]
"""Called with how many photos are done, and of how many."""


class LookingEnded(GraderError, RuntimeError):
    """A process that graded photos ended: nothing can be said of them."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Looked:
    """One photo graded: findings without pixels, NAME.json, labels as PNG, a picture as JPEG, fries for the strip.

    `labels` is empty where the photo couldn't be judged, `picture` where it couldn't be read; `camera_time` is when the
    file says that it was taken.
    """

    graded: GradedPhoto
    readings: bytes
    camera_time: str | None
    labels: bytes
    picture: bytes
    strips: tuple[FryStrip, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class By:
    """By what photos are graded."""

    standard: Standard
    known: KnownValues | None
    studies: tuple[Study, ...]


def look_at(photo: tuple[int, str, bytes], by: By, *, pictures: bool = True) -> Looked:
    """Grade the photo of one plate (its turn from 1, its name, its bytes)."""
    turn, name, data = photo
    graded = grade_guarded(data, name=name, standard=by.standard, known=by.known, studies=by.studies)
    # The picture bears no verdict: what is claimed is claimed of all plates together.
    picture = draw_plate(graded, by.standard, head=False) if pictures else None
    strips: tuple[FryStrip, ...] = ()
    if pictures and graded.plate is not None and graded.photo is not None:
        strips = fry_strips(graded.photo.pixels, graded.plate.fries, by.standard, plate=turn)
    return Looked(
        graded=without_pixels(graded),
        readings=json_bytes(photo_record(graded, standard=by.standard)),
        camera_time=None if graded.photo is None else graded.photo.taken_at,
        labels=b"" if graded.plate is None else labels_png(graded.plate.labels),
        picture=b"" if picture is None else picture_jpeg(picture),
        strips=strips,
    )


def look_at_all(
    photos: Sequence[tuple[str, bytes]],
    by: By,
    *,
    pictures: bool = True,
    workers: int | None = None,
    done: Done | None = None,
) -> tuple[Looked, ...]:
    """Grade all photos in their order, each by its name and bytes; by as many processes as there are cores.

    Raises
    ------
    LookingEnded
        One of those processes ended.
    """
    turns = [(turn, name, data) for turn, (name, data) in enumerate(photos, 1)]
    look = partial(look_at, by=by, pictures=pictures)
    count = min(workers or cores(), len(turns))
    if count <= 1:
        return tuple(_told(map(look, turns), len(turns), done))
    # A fresh interpreter each: OpenCV's threads don't survive a fork.
    try:
        with ProcessPoolExecutor(count, mp_context=multiprocessing.get_context("spawn")) as pool:
            return tuple(_told(pool.map(look, turns), len(turns), done))
    except BrokenProcessPool as error:
        hint = "It may need more memory than there is: close other programs, and try again."
        raise LookingEnded("The program ended while it graded the photos.", hint=hint) from error


def _told(looked: Iterable[Looked], of: int, done: Done | None) -> list[Looked]:
    found: list[Looked] = []
    for one in looked:
        found.append(one)
        if done is not None:
            done(len(found), of)
    return found
