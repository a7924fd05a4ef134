"""Batches of photos while a run is under way: which photos they are, what came of each so far, the decision at last."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from grader.grading import GradedPhoto, judge_photos
from grader.records.database.importing import BatchKeeper
from grader.records.summary import BatchEntry, PhotoEntry
from grader.running.one_photo import Grading
from grader.running.photo_batch import PhotoBatch

KeeperOf = Callable[[PhotoBatch], BatchKeeper]
"""Gives what keeps a batch in the records."""


def changed_at(path: Path) -> datetime | None:
    """When a file was last changed, UTC; None where that can't be asked."""
    try:
        return datetime.fromtimestamp(path.stat().st_mtime, UTC)
    except OSError:
        return None


@dataclass(slots=True, kw_only=True)
class OpenBatch:
    """A batch of which photos are still missing, and what keeps it in the records, if anything does."""

    batch: PhotoBatch
    keeper: BatchKeeper | None
    entries: list[PhotoEntry] = field(default_factory=list)

    @property
    def records(self) -> str:
        """Where its plates are kept; empty where nowhere."""
        return "" if self.keeper is None else self.keeper.house.place

    @property
    def whole(self) -> bool:
        """Its last photo has ended."""
        return len(self.entries) == len(self.batch.photos)

    def add(self, path: Path, stem: str, graded: GradedPhoto) -> None:
        """Take in a photo that has ended, without its pixels."""
        self.entries.append(PhotoEntry(stem=stem, source=str(path), graded=graded))

    def judged(self, grading: Grading) -> BatchEntry:
        """The whole batch with its verdict, kept where it is to be kept."""
        verdict = judge_photos([entry.graded for entry in self.entries], grading.standard, grading.terms)
        if self.keeper is not None:
            self.keeper.decide(verdict)
        return BatchEntry(name=self.batch.name, photos=tuple(self.entries), verdict=verdict)
