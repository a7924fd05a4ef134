"""Whole folders into the records: photos of batch after batch graded by a crew, each batch decided as it ends."""

import hashlib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

from grader.records.database.house import House
from grader.records.database.importing import BatchImport, BatchKeeper, Imported, PhotoToImport, photos_to_import
from grader.records.database.setting import Setting
from grader.running.batches import changed_at
from grader.running.crew import Crew, Pending, Ready, in_order
from grader.running.handing import Handing, Tell
from grader.running.one_photo import Grading, NotHere, PhotoDone
from grader.running.photo_batch import PhotoBatch

SettingOf = Callable[[PhotoBatch], Setting]
"""Gives where the plates of a batch come from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Turn:
    """A photo whose turn has come, and the batch that ends with it; or a batch of which nothing is to be graded."""

    batch: "_OpenImport"
    photo: PhotoToImport | None = None
    path: Path = field(default_factory=Path)
    last: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class _OpenImport:
    """A batch under way: photos whose file can't be read, and what becomes of the others or is known of it already."""

    unread: tuple[tuple[str, str], ...]
    under_way: BatchImport | Imported

    def ended(self) -> Imported:
        done = self.under_way if isinstance(self.under_way, Imported) else self.under_way.ended()
        return replace(done, problems=(*self.unread, *done.problems))


def import_folders(
    house: House, batches: Iterable[PhotoBatch], *, grading: Grading, setting_of: SettingOf, crew: Crew, tell: Tell
) -> Iterator[Imported]:
    """Bring in batch after batch; tells of each as soon as it is kept. Batches that are kept already are passed over.

    Raises
    ------
    RecordsUnusable
        The database can't be asked.
    """
    handing = Handing(crew=crew, grading=replace(grading, files=False, keep=True), tell=tell)

    def begin(turn: _Turn) -> Pending[PhotoDone | NotHere]:
        return Ready(NotHere()) if turn.photo is None else handing.begin(turn.path, turn.photo.sha256)

    for turn, pending in in_order(_turns(house, batches, grading, setting_of), begin, at_once=crew.at_once):
        if turn.photo is not None:
            _take(turn.batch, turn.photo, handing.come_of(turn.path, turn.photo.sha256, pending))
            tell(turn.path, 1.0, "")
        if turn.last:
            yield turn.batch.ended()


def _take(batch: _OpenImport, photo: PhotoToImport, done: PhotoDone) -> None:
    if isinstance(batch.under_way, Imported):
        raise TypeError(f"{photo.name} was graded for a batch that is kept already")
    if done.plate is None:
        (reason, *_) = done.graded.reasons
        batch.under_way.without(photo, f"{reason.message} {reason.hint}")
    else:
        batch.under_way.photo(done.plate, photo)


def _turns(house: House, batches: Iterable[PhotoBatch], grading: Grading, setting_of: SettingOf) -> Iterator[_Turn]:
    for batch in batches:
        told: list[tuple[str, str]] = []
        paths: dict[str, Path] = {}
        photos = []
        for photo, path in _readable(batch.photos, told):
            paths.setdefault(photo.sha256, path)
            photos.append(photo)
        setting = setting_of(batch)
        once = photos_to_import(house, photos, standard=grading.standard, setting=setting)
        if isinstance(once, Imported):
            yield _Turn(batch=_OpenImport(unread=tuple(told), under_way=once))
            continue
        keeper = BatchKeeper(house=house, standard=grading.standard, setting=setting)
        opened = _OpenImport(unread=tuple(told), under_way=BatchImport(keeper=keeper))
        if not once:
            yield _Turn(batch=opened)
        for turn, photo in enumerate(once, 1):
            yield _Turn(batch=opened, photo=photo, path=paths[photo.sha256], last=turn == len(once))


def _readable(paths: Iterable[Path], told: list[tuple[str, str]]) -> Iterator[tuple[PhotoToImport, Path]]:
    for path in paths:
        try:
            with path.open("rb") as file:
                sha256 = hashlib.file_digest(file, "sha256").hexdigest()
        except OSError as error:
            told.append((path.name, f"The file can't be read ({error.strerror})."))
            continue
        yield PhotoToImport(name=path.name, sha256=sha256, read=path.read_bytes, changed_at=changed_at(path)), path
