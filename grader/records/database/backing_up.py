"""A copy of the records while they are in use, and records made of such a copy.

The database is copied first, as it is at one moment; then the photos that it names. A photo lies in the store before
any row names it, so that none can be missing. The list of what it holds is written last: without it, it is no copy.
"""

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

from grader.records.database.errors import RecordsRefused, RecordsUnusable
from grader.records.database.house import FILE, PHOTOS, House
from grader.records.database.photos import PhotoFolder, hash_of_file, whole_photo
from grader.records.whole_files import write_whole

LIST = "backup.json"
_ENDINGS = ("", "-wal", "-shm", "-journal")
"""Of a database's file and of what SQLite keeps beside it: a log that is left of other records would be played into the
restored ones (SQLite, "How To Corrupt An SQLite Database File", on mispaired journals; from memory, tested)."""
_ALL = -1
"""Pages of the database copied at a time: all, as they are at one moment. Who writes meanwhile writes to the log and
waits for nobody; copied bit by bit, the copy would have to begin anew after each that wrote."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Backup:
    """What a copy holds: when it was begun, the database's hash, how many plates, photos; which photos it lacks.

    Those were missing in the store, or damaged: a copy that held a damaged one could not be restored.
    """

    made_at: str
    database_sha256: str
    plates: int
    photos: int
    missing: tuple[str, ...]


def back_up(house: House, folder: Path) -> Backup:
    """Copy the records into a folder that is new or empty.

    Raises
    ------
    RecordsRefused
        The folder holds something; or the database is PostgreSQL, which has a better way of its own.
    RecordsUnusable
        The database is damaged.
    OSError
        The copy can't be written; without its list it counts for nothing.
    """
    file = house.file
    if file is None:
        hint = (
            f"Use PostgreSQL's own: pg_dump --format=custom --file=records.dump {house.place}; after it has ended, "
            f"copy the photos in {house.photos.place} (photos are never changed, so any later copy holds all it names)."
        )
        raise RecordsRefused("Records in PostgreSQL aren't copied by this program.", hint=hint)
    if folder.exists() and any(folder.iterdir()):
        raise RecordsRefused(f"{folder} isn't empty.", hint="Give each backup a folder of its own.")
    folder.mkdir(parents=True, exist_ok=True)
    begun = datetime.now(UTC)
    copy = folder / FILE
    with _readable(file), closing(sqlite3.connect(file)) as source, closing(sqlite3.connect(copy)) as target:
        source.backup(target, pages=_ALL)
        target.execute("PRAGMA journal_mode = DELETE")  # one file, without a log beside it
    store, missing, photos = PhotoFolder(folder / PHOTOS), [], 0
    for sha256 in _photos_named(copy):
        data = whole_photo(house.photos, sha256)
        if data is None:
            missing.append(sha256)
        else:
            store.put(sha256, data)
            photos += 1
    made = Backup(
        made_at=begun.isoformat(timespec="seconds"),
        database_sha256=hash_of_file(copy),
        plates=_count(copy, "plate"),
        photos=photos,
        missing=tuple(missing),
    )
    write_whole(folder / LIST, json.dumps(asdict(made), indent=1).encode())
    return made


def restore(folder: Path, into: Path) -> Backup:
    """Make records of a copy, in a folder that holds none; every photo and the database are held against their hashes.

    Raises
    ------
    RecordsRefused
        It is no whole copy, or something in it was changed; or there are records already.
    RecordsUnusable
        Its database is none.
    OSError
        They can't be written.
    """
    try:
        told = json.loads((folder / LIST).read_text(encoding="utf-8"))
        made = Backup(**{**told, "missing": tuple(told["missing"])})
    except (OSError, ValueError, TypeError, KeyError, RecursionError) as error:
        hint = "Name a folder that `records backup` wrote to its end."
        raise RecordsRefused(f"{folder} holds no whole backup.", hint=hint) from error
    left = next((into / f"{FILE}{ending}" for ending in _ENDINGS if (into / f"{FILE}{ending}").exists()), None)
    if left is not None:
        hint = f"Restore into another folder, or move those away: {FILE} and all whose names begin so."
        raise RecordsRefused(f"There are records in {into}: {left.name}.", hint=hint)
    copy = folder / FILE
    if not copy.exists() or hash_of_file(copy) != made.database_sha256:
        raise RecordsRefused(f"{copy} isn't what was backed up.", hint="Use another backup.")
    source, store = PhotoFolder(folder / PHOTOS), PhotoFolder(into / PHOTOS)
    into.mkdir(parents=True, exist_ok=True)
    for sha256 in _photos_named(copy):
        if sha256 not in made.missing:
            data = whole_photo(source, sha256)
            if data is None:
                raise RecordsRefused(f"The photo {sha256} isn't what was backed up.", hint="Use another backup.")
            store.put(sha256, data)
    write_whole(into / FILE, copy.read_bytes())  # last: records without their photos are none
    return made


def _photos_named(file: Path) -> Iterator[str]:
    asked = "SELECT sha256 FROM photo WHERE sha256 NOT IN (SELECT sha256 FROM photo_forgotten) ORDER BY sha256"
    with _readable(file), closing(sqlite3.connect(file)) as database:
        for (sha256,) in database.execute(asked).fetchall():
            yield str(sha256)


@contextmanager
def _readable(file: Path) -> Iterator[None]:
    """SQLite's own errors in words."""
    try:
        yield
    except (sqlite3.Error, UnicodeDecodeError) as error:
        raise RecordsUnusable(f"The records in {file} can't be read ({error}).", hint="Use another copy.") from error


def _count(file: Path, table: str) -> int:
    with _readable(file), closing(sqlite3.connect(file)) as database:
        return int(database.execute(f"SELECT count(*) FROM {table} WHERE corrects_id IS NULL").fetchone()[0])  # noqa: S608
