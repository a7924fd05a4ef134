"""Whole folders into the records, and plates graded anew: one call into the records for each batch."""

import hashlib
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

from grader.cli.photos import PhotoBatch
from grader.cli.records_setting import of_batch
from grader.grading import GradedPhoto
from grader.records.database.house import House
from grader.records.database.importing import Grade, Imported, PhotoToImport, import_batch
from grader.records.database.setting import Setting
from grader.records.guarded import grade_guarded
from grader.records.house import kept_studies, known_today
from grader.standard.model import Standard


def import_folders(
    house: House, batches: Sequence[PhotoBatch], *, standard: Standard, setting: Setting
) -> Iterator[Imported]:
    """Bring in batch after batch; tells of each as soon as it is kept."""
    grade = grade_as_house(standard)
    for batch in batches:
        told: list[tuple[str, str]] = []
        photos = list(_photos(batch.photos, told))
        here = of_batch(setting, batch.name, photos=batch.photos)
        done = import_batch(house, photos, grade=grade, standard=standard, setting=here)
        yield Imported(
            name=done.name,
            new=done.new,
            known=done.known,
            problems=(*told, *done.problems),
            outcome=done.outcome,
        )


def _photos(paths: Sequence[Path], told: list[tuple[str, str]]) -> Iterator[PhotoToImport]:
    for path in paths:
        try:
            with path.open("rb") as file:
                sha256 = hashlib.file_digest(file, "sha256").hexdigest()
            changed_at = datetime.fromtimestamp(path.stat().st_mtime, UTC)
        except OSError as error:
            told.append((path.name, f"The file can't be read ({error.strerror})."))
            continue
        yield PhotoToImport(name=path.name, sha256=sha256, read=path.read_bytes, changed_at=changed_at)


def grade_as_house(standard: Standard) -> Grade:
    """Grades by a standard, with what the house knows of its cards."""
    return partial(_grade, standard=standard, known=known_today(), studies=kept_studies())


def _grade(name: str, data: bytes, **given: object) -> GradedPhoto:
    return grade_guarded(data, name=name, **given)  # type: ignore[arg-type]
