"""Are the records whole: the database's own checks, rows that must belong together, every photo against its hash.

What can be mended without guessing is mended; the rest is told, with what would help.
"""

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import Connection, exists, func, select, text

from grader.errors import DocumentFaulty
from grader.records.database.errors import RecordsUnusable
from grader.records.database.guards import guards_missing, set_guards
from grader.records.database.house import House
from grader.records.database.photos import PhotoFolder, hash_of_file, is_whole
from grader.records.database.plate_tables import Fry, Grading, GradingRecord, HouseStandard, Photo, PhotoForgotten
from grader.records.database.tables import METADATA
from grader.standard import read_standard, standard_sha256

STALE_S = 3600.0
"""An unfinished file that is older was left by a writer that died."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """Something that isn't as it should be: what, whether it is mended now, else what would help."""

    about: str
    words: str
    mended: bool
    remedy: str = ""


def examine(house: House, *, mend: bool, photos_from: Path | None = None) -> Iterator[Finding]:
    """Look at everything, and mend what can be mended where that is asked for.

    Parameters
    ----------
    photos_from
        A folder (the original photos, or a backup) in which lost or damaged photos are looked for, by their hash.
    """
    try:
        yield from _everything(house, mend=mend, photos_from=photos_from)
    except RecordsUnusable as error:  # so damaged that it can't be read on
        yield Finding(about="database", words=error.message, mended=False, remedy=_FROM_BACKUP)


def _everything(house: House, *, mend: bool, photos_from: Path | None) -> Iterator[Finding]:
    with house.reading() as connection:
        yield from _database(connection)
        yield from _rows(connection)
        unguarded = guards_missing(connection)
    if unguarded:
        if mend:
            house.write(set_guards)
        yield Finding(
            about="database",
            words=f"The guard against change is missing on {', '.join(unguarded)}.",
            mended=mend,
            remedy="" if mend else _RUN_MEND,
        )
    yield from _photos(house, _Search(photos_from), mend=mend)


_RUN_MEND = "Run it with --mend."
_FROM_BACKUP = "Restore from a backup: python -m grader records restore."


def _database(connection: Connection) -> Iterator[Finding]:
    if connection.dialect.name == "sqlite":
        for (told,) in connection.execute(text("PRAGMA integrity_check")):
            if told != "ok":
                yield Finding(about="database", words=f"SQLite says: {told}.", mended=False, remedy=_FROM_BACKUP)
        for row in connection.execute(text("PRAGMA foreign_key_check")):
            words = f"A row of {row[0]} refers to one of {row[2]} that isn't there."
            yield Finding(about="database", words=words, mended=False, remedy=_FROM_BACKUP)
    for difference in compare_metadata(MigrationContext.configure(connection), METADATA):
        words = f"The tables aren't this edition's: {difference}."
        yield Finding(about="database", words=words, mended=False, remedy="Report this, please.")


def _rows(connection: Connection) -> Iterator[Finding]:
    counted = select(func.count()).where(Fry.grading_id == Grading.id).scalar_subquery()
    unlike = select(Grading.id, Grading.fries, counted.label("there")).where(counted != Grading.fries)
    for row in connection.execute(unlike):
        words = f"Grading {row.id} has {row.there} fries of {row.fries}."
        yield Finding(about="rows", words=words, mended=False, remedy=_FROM_BACKUP)
    bare = select(Grading.id).where(~exists().where(GradingRecord.grading_id == Grading.id))
    for grading in connection.scalars(bare):
        yield Finding(about="rows", words=f"Grading {grading} has no record.", mended=False, remedy=_FROM_BACKUP)
    for row in connection.execute(select(HouseStandard.id, HouseStandard.sha256, HouseStandard.text)):
        if not _is_standard(row.text, row.sha256):
            words = f"Standard {row.id} isn't what its hash says."
            yield Finding(about="rows", words=words, mended=False, remedy=_FROM_BACKUP)


def _is_standard(text: str, sha256: str) -> bool:
    try:
        return standard_sha256(read_standard(text, name="The kept standard")) == sha256
    except DocumentFaulty:
        return False


def _photos(house: House, search: "_Search", *, mend: bool) -> Iterator[Finding]:
    with house.reading() as connection:
        forgotten = set(connection.scalars(select(PhotoForgotten.sha256)))
        named = dict(connection.execute(select(Photo.sha256, Photo.name).order_by(Photo.sha256)).all())
    for sha256, name in named.items():
        if sha256 not in forgotten:
            yield from _photo(house, sha256, name, search, mend=mend)
    for sha256 in list(house.photos.names()):
        if sha256 in forgotten:
            if mend:
                house.photos.drop(sha256)
            yield Finding(
                about="photos",
                words=f"{sha256} was forgotten and is still in the store.",
                mended=mend,
                remedy="" if mend else _RUN_MEND,
            )
        elif sha256 not in named:
            words = f"{sha256} is in the store and in no record: its import was cut short."
            yield Finding(about="photos", words=words, mended=False, remedy="Import its folder again.")
    yield from _unfinished(house, mend=mend)


def _photo(house: House, sha256: str, name: str, search: "_Search", *, mend: bool) -> Iterator[Finding]:
    try:
        whole = is_whole(sha256, house.photos.get(sha256))
        wrong = "is damaged"
    except OSError:
        whole, wrong = False, "is missing"
    if whole:
        return
    found = search.find(sha256) if mend else None
    if found is not None:
        house.photos.drop(sha256)  # one of the right size would pass for whole
        house.photos.put(sha256, found)
    remedy = "" if found is not None else "Run it with --mend --photos-from FOLDER, naming where the original lies."
    words = f"The photo {name} ({sha256}) {wrong}."
    yield Finding(about="photos", words=words, mended=found is not None, remedy=remedy)


def _unfinished(house: House, *, mend: bool) -> Iterator[Finding]:
    if not isinstance(house.photos, PhotoFolder):
        return
    for path in house.photos.unfinished():
        if time.time() - path.stat().st_mtime > STALE_S:
            if mend:
                path.unlink(missing_ok=True)
            words = f"{path.name} was left by a writer that was cut short."
            yield Finding(about="photos", words=words, mended=mend, remedy="" if mend else _RUN_MEND)


class _Search:
    """Photos in a folder by their hash; the folder is read once, and only if something is looked for."""

    def __init__(self, folder: Path | None) -> None:
        self._folder = folder
        self._by_hash: dict[str, Callable[[], bytes]] | None = None

    def find(self, sha256: str) -> bytes | None:
        """The bytes, None where they aren't there."""
        if self._by_hash is None:
            self._by_hash = dict(self._read())
        read = self._by_hash.get(sha256)
        return None if read is None else read()

    def _read(self) -> Iterator[tuple[str, Callable[[], bytes]]]:
        for path in [] if self._folder is None else sorted(self._folder.rglob("*")):
            if path.is_file():
                yield hash_of_file(path), path.read_bytes
