"""Whole folders into the records, and plates graded anew: one call into the records for each batch."""

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from rich.console import Console
from rich.markup import escape

from grader.cli.photos import PhotoBatch, changed_at
from grader.cli.records_setting import of_batch
from grader.grading import GradedPhoto
from grader.records.database.house import House, open_house
from grader.records.database.importing import BatchKeeper, Grade, Imported, PhotoToImport, import_batch
from grader.records.database.keeping import know_kitchen
from grader.records.database.setting import Setting
from grader.records.guarded import grade_guarded
from grader.records.house import kept_studies, known_today
from grader.standard.model import Standard


def import_folders(
    house: House, batches: Sequence[PhotoBatch], *, standard: Standard, setting: Setting
) -> Iterator[Imported]:
    """Bring in batch after batch; tells of each as soon as it is kept."""
    know_kitchen(house, setting)
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
        except OSError as error:
            told.append((path.name, f"The file can't be read ({error.strerror})."))
            continue
        yield PhotoToImport(name=path.name, sha256=sha256, read=path.read_bytes, changed_at=changed_at(path))


def grade_as_house(standard: Standard) -> Grade:
    """Grades by a standard, with what the house knows of its cards."""
    return partial(_grade, standard=standard, known=known_today(), studies=kept_studies())


def _grade(name: str, data: bytes, **given: object) -> GradedPhoto:
    return grade_guarded(data, name=name, **given)  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True, kw_only=True)
class Keepers:
    """What keeps the batches of one run of `grade` in the records, and what came of it."""

    house: House
    standard: Standard
    setting: Setting
    batches: list[BatchKeeper] = field(default_factory=list)

    @classmethod
    def told(
        cls, setting: Setting | None, *, standard: Standard, url: str | None, photos: str | None
    ) -> "Keepers | None":
        """None where nothing is to be kept; see `open_house` for what is raised."""
        if setting is None:
            return None
        house = open_house(url, photos=photos)
        know_kitchen(house, setting)
        return cls(house=house, standard=standard, setting=setting)

    def of(self, batch: PhotoBatch) -> BatchKeeper:
        """That of the next batch."""
        here = of_batch(self.setting, batch.name, photos=batch.photos)
        self.batches.append(BatchKeeper(house=self.house, standard=self.standard, setting=here))
        return self.batches[-1]

    def tell(self, console: Console) -> None:
        """How many plates were kept, and what couldn't be."""
        kept = [one for batch in self.batches for one in batch.kept]
        new = sum(one.new for one in kept)
        place = escape(self.house.place)
        console.print(f"Kept in the records: {new} plates new, {len(kept) - new} known ({place})", soft_wrap=True)
        for batch in self.batches:
            for name, words in batch.problems:
                console.print(f"[yellow]![/] {escape(name)} was not kept: {escape(words)}", soft_wrap=True)
