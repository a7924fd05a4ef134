"""One run over batches of photos: grade each, write its results, let go of its pixels, judge the batch, sum up."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

from grader.card_values import KnownValues
from grader.cli.photos import PhotoBatch, changed_at
from grader.decision import USUAL, Terms, judge_plate
from grader.drawing import draw_plate, picture_jpeg
from grader.grading import GradedPhoto, Progress, judge_photos
from grader.records.database.importing import BatchKeeper
from grader.records.guarded import grade_guarded, of_unreadable, refusal, without_pixels
from grader.records.naming import PICTURE, ResultNames
from grader.records.readings import write_readings
from grader.records.summary import BatchEntry, PhotoEntry, write_summary
from grader.records.whole_files import write_whole
from grader.standard.model import Standard
from grader.trueness import Study

OnPhoto = Callable[[Path], Progress]
"""Called as a photo's turn comes; gives what to tell of its progress."""
KeeperOf = Callable[[PhotoBatch], BatchKeeper]
"""Gives what keeps a batch in the records."""


def grade_file(
    path: Path,
    *,
    standard: Standard,
    known: KnownValues | None = None,
    studies: Sequence[Study] = (),
    progress: Progress | None = None,
) -> GradedPhoto:
    """Grade one file; whatever goes wrong comes back as a refusal, so that the rest of a run goes on."""
    try:
        data = path.read_bytes()
    except (OSError, MemoryError) as error:
        return refusal(path.name, b"", of_unreadable(error))
    return grade_guarded(data, name=path.name, standard=standard, known=known, studies=studies, progress=progress)


def run(
    batches: Sequence[PhotoBatch],
    *,
    standard: Standard,
    out: Path,
    known: KnownValues | None = None,
    studies: Sequence[Study] = (),
    terms: Terms = USUAL,
    on_photo: OnPhoto | None = None,
    keeper_of: KeeperOf | None = None,
) -> tuple[BatchEntry, ...]:
    """Grade all batches into `out`, which is made where it isn't there; the rest is as for `grade_photo`.

    With `keeper_of` each plate is kept in the records too, as soon as it is graded.

    Raises
    ------
    OSError
        The results can't be written.
    """
    out.mkdir(parents=True, exist_ok=True)
    names = ResultNames()
    grade = partial(grade_file, standard=standard, known=known, studies=studies)
    entries = tuple(
        _run_batch(
            batch,
            names,
            grade,
            standard=standard,
            terms=terms,
            out=out,
            on_photo=on_photo,
            keeper=None if keeper_of is None else keeper_of(batch),
        )
        for batch in batches
    )
    write_summary(out, entries, standard=standard)
    return entries


def _run_batch(
    batch: PhotoBatch,
    names: ResultNames,
    grade: Callable[..., GradedPhoto],
    *,
    standard: Standard,
    terms: Terms,
    out: Path,
    on_photo: OnPhoto | None,
    keeper: BatchKeeper | None,
) -> BatchEntry:
    photos: list[PhotoEntry] = []
    for path in batch.photos:
        progress = None if on_photo is None else on_photo(path)
        graded = _judged_on(grade(path, progress=progress), standard, terms)
        stem = names.give(path.name)
        write_readings(out, stem, graded, standard=standard)
        _write_picture(out, stem, graded, standard=standard)
        if keeper is not None:
            keeper.photo(graded, path.read_bytes, changed_at=changed_at(path))
        photos.append(PhotoEntry(stem=stem, source=str(path), graded=without_pixels(graded)))
    verdict = judge_photos([entry.graded for entry in photos], standard, terms)
    if keeper is not None:
        keeper.decide(verdict)
    return BatchEntry(name=batch.name, photos=tuple(photos), verdict=verdict)


def _judged_on(photo: GradedPhoto, standard: Standard, terms: Terms) -> GradedPhoto:
    """The photo with its plate judged on these terms, where it was graded on others."""
    if photo.plate is None or (photo.verdict is not None and photo.verdict.terms == terms):
        return photo
    return replace(photo, verdict=judge_plate(photo.plate.fries, standard, terms))


def _write_picture(out: Path, stem: str, graded: GradedPhoto, *, standard: Standard) -> None:
    picture = draw_plate(graded, standard)
    if picture is not None:
        write_whole(out / f"{stem}{PICTURE}", picture_jpeg(picture))
