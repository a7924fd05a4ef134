"""One run over batches of photos: each graded by a crew, its results written, each batch judged as its last photo ends.

What is held of a photo is what its batch's decision needs (`summed`), and only until its batch has ended.
"""

import hashlib
from collections.abc import Iterable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from grader.grading import GradedPhoto
from grader.records.database.importing import BatchKeeper
from grader.records.database.keeping import Kept
from grader.records.naming import ResultNames
from grader.records.summary import BatchEntry, SummaryWriter
from grader.records.whole_files import write_whole
from grader.running.batches import KeeperOf, OpenBatch, changed_at
from grader.running.crew import Crew, Pending, Ready, in_order
from grader.running.handing import Handing, Tell
from grader.running.journal import Finished, Journal, follows_from, journal_of
from grader.running.one_photo import TRY_AGAIN, Grading, NotHere, PhotoDone, unread
from grader.running.photo_batch import PhotoBatch
from grader.running.tables import RunTables


def run(
    batches: Iterable[PhotoBatch],
    *,
    grading: Grading,
    out: Path,
    crew: Crew,
    tell: Tell,
    keeper_of: KeeperOf | None = None,
) -> Iterator[BatchEntry]:
    """Grade all batches into `out`, which is made where it isn't there; goes on from what is finished there.

    With `keeper_of` each plate is kept in the records too, as soon as it is graded. Without `grading.files` the results
    are the tables `plates/` and `fries/`, and photos have no files of their own.

    Yields
    ------
    BatchEntry
        Each batch as it ends, in order; to be let go of where there are many. The summary is written after the last.

    Raises
    ------
    OSError
        The results can't be written.
    FolderInUse
        Another run writes there.
    """
    out.mkdir(parents=True, exist_ok=True)
    values = () if grading.known is None else grading.known.values
    with ExitStack() as opened:
        under_way = _Run(
            handing=Handing(crew=crew, grading=grading, tell=tell),
            out=out,
            journal=opened.enter_context(journal_of(out, values)),
            follows_from=follows_from(grading.standard, grading.terms, values, grading.studies),
        )
        writers: list[SummaryWriter | RunTables] = []
        if not grading.files:
            writers.append(opened.enter_context(RunTables(out, standard=grading.standard)))
        writers.append(opened.enter_context(SummaryWriter(out, standard=grading.standard, table=grading.files)))
        for entry in under_way.ended(batches, keeper_of):
            for writer in writers:
                writer.add(entry)
            yield entry
        for writer in writers:
            writer.finish()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Turn:
    """A photo whose turn has come, with the hash of its bytes and the name of its results.

    `finished` where an earlier run finished it, with what it showed; `kept` where that is in the records. `done` where
    it is known already what comes of it.
    """

    batch: OpenBatch
    path: Path
    sha256: str
    stem: str
    finished: tuple[Finished, GradedPhoto] | None = None
    kept: Kept | None = None
    done: PhotoDone | None = None


@dataclass(slots=True, kw_only=True)
class _Run:
    handing: Handing
    out: Path
    journal: Journal
    follows_from: str
    names: ResultNames = field(default_factory=ResultNames)

    def ended(self, batches: Iterable[PhotoBatch], keeper_of: KeeperOf | None) -> Iterator[BatchEntry]:
        turns = self._turns(batches, keeper_of)
        for turn, pending in in_order(turns, self._begin, at_once=self.handing.crew.at_once):
            if turn.finished is None:
                self._write(turn, self.handing.come_of(turn.path, turn.sha256, pending))
            else:
                self._go_on_from(turn, *turn.finished)
            if turn.batch.whole:
                yield turn.batch.judged(self.handing.grading)

    def _turns(self, batches: Iterable[PhotoBatch], keeper_of: KeeperOf | None) -> Iterator[_Turn]:
        for batch in batches:
            opened = OpenBatch(batch=batch, keeper=None if keeper_of is None else keeper_of(batch))
            for path in batch.photos:
                yield self._turn(opened, path)

    def _turn(self, batch: OpenBatch, path: Path) -> _Turn:
        try:
            with path.open("rb") as file:
                sha256 = hashlib.file_digest(file, "sha256").hexdigest()
        except OSError as error:
            done = unread(path, error, self.handing.grading)
            return _Turn(batch=batch, path=path, sha256="", stem=self._new_stem(path), done=done)
        files = self.handing.grading.files
        finished = self.journal.take(path.name, sha256, self.follows_from, files=files, records=batch.records)
        kept = None if finished is None or batch.keeper is None else _kept_still(batch.keeper, finished[0])
        if finished is None or (batch.keeper is not None and kept is None):
            return _Turn(batch=batch, path=path, sha256=sha256, stem=self._new_stem(path))
        stem = finished[0].stem
        self.names.take(stem)
        return _Turn(batch=batch, path=path, sha256=sha256, stem=stem, finished=finished, kept=kept)

    def _new_stem(self, path: Path) -> str:
        held = partial(self.journal.held, source=str(path), follows_from=self.follows_from)
        return self.names.give(path.name, held=held)

    def _begin(self, turn: _Turn) -> Pending[PhotoDone | NotHere]:
        if turn.finished is not None:
            return Ready(NotHere())  # nobody asks for it
        return Ready(turn.done) if turn.done is not None else self.handing.begin(turn.path, turn.sha256)

    def _write(self, turn: _Turn, done: PhotoDone) -> None:
        for ending, data in done.files:
            write_whole(self.out / f"{turn.stem}{ending}", data)
        kept = self._keep(turn, done)
        turn.batch.add(turn.path, turn.stem, done.graded)
        self.handing.tell(turn.path, 1.0, "")
        if (turn.batch.keeper is not None and kept is None) or TRY_AGAIN & {
            reason.code for reason in done.graded.reasons
        }:
            return
        finished = Finished(
            stem=turn.stem,
            photo=turn.path.name,
            source=str(turn.path),
            sha256=done.graded.sha256,
            follows_from=self.follows_from,
            files=tuple(ending for ending, _ in done.files),
            records="" if kept is None else turn.batch.records,
            kept=() if kept is None else (kept.grading_id, kept.plate_id, kept.batch_id),
        )
        self.journal.add(finished, done.graded)

    def _keep(self, turn: _Turn, done: PhotoDone) -> Kept | None:
        if turn.batch.keeper is None or done.plate is None:
            return None
        return turn.batch.keeper.photo(done.plate, turn.path.read_bytes, changed_at=changed_at(turn.path))

    def _go_on_from(self, turn: _Turn, finished: Finished, graded: GradedPhoto) -> None:
        if turn.batch.keeper is not None and turn.kept is not None:
            turn.batch.keeper.again(turn.kept)
        turn.batch.add(turn.path, finished.stem, graded)
        self.handing.tell(turn.path, 1.0, "")


def _kept_still(keeper: BatchKeeper, finished: Finished) -> Kept | None:
    """What the records know of a finished photo now; None where they were made anew since."""
    grading_id, plate_id, batch_id = finished.kept
    kept = Kept(grading_id=grading_id, plate_id=plate_id, batch_id=batch_id, new=False)
    return keeper.still(kept, finished.sha256)
