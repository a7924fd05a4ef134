"""The records, opened: the database with the photos beside it, brought to this edition's tables."""

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from sqlalchemy import Connection, Engine
from sqlalchemy.engine import URL
from sqlalchemy.exc import DatabaseError, DBAPIError, IntegrityError, OperationalError

from grader.places import home_folder
from grader.records.database.engines import WRITES, make_engine, records_url
from grader.records.database.errors import RecordsRefused, RecordsUnusable
from grader.records.database.migrating import upgrade
from grader.records.database.photos import PhotoStore, open_photos

RECORDS_VARIABLE, PHOTOS_VARIABLE = "FRY_GRADER_RECORDS", "FRY_GRADER_PHOTOS"
"""The environment variables that name another database and another photo store."""
FILE, PHOTOS = "records.sqlite3", "photos"
_TRIES = 5
_TRY_AGAIN = {"40001", "40P01", "23505"}
"""PostgreSQL's codes for two transactions in each other's way (Appendix A of its manual): one could not be put in order
with another, a deadlock, the same added by both. The later one tries again, and finds what the other wrote. Writers of
this edition take turns (`engines`); those of earlier ones don't."""

Done = TypeVar("Done")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class House:
    """The house's records."""

    engine: Engine
    photos: PhotoStore

    @property
    def place(self) -> str:
        """Where the database is, without its password."""
        return self.engine.url.render_as_string(hide_password=True)

    @property
    def file(self) -> Path | None:
        """The database's file; None where it is none."""
        return sqlite_file(self.engine.url)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection that reads one state of the records; it waits for nobody.

        Raises
        ------
        RecordsUnusable
            The database can't be reached, or is damaged.
        RecordsRefused
            What is looked for is no text.
        """
        try:
            with _only_text(), self.engine.connect() as connection:
                yield connection
        except DatabaseError as error:
            raise self._unusable(error) from error

    def write(self, work: Callable[[Connection], Done]) -> Done:
        """Do all of `work` or nothing; when this returns, it is on disk.

        `work` may be called again where two writers got into each other's way.

        Raises
        ------
        RecordsUnusable
            The database can't be written, or others write it all the time.
        RecordsRefused
            What is to be kept is no text.
        """
        for turn in range(_TRIES):
            try:
                with _only_text(), self.engine.execution_options(**{WRITES: True}).begin() as connection:
                    return work(connection)
            except (OperationalError, IntegrityError) as error:
                if getattr(error.orig, "sqlstate", None) in _TRY_AGAIN and turn < _TRIES - 1:
                    continue
                if isinstance(error, IntegrityError):  # a fault of this program, not of the database
                    raise
                raise self._unusable(error) from error
            except DatabaseError as error:
                if not isinstance(error.orig, sqlite3.DatabaseError):
                    raise
                raise self._unusable(error) from error  # the file is damaged, or is none
        raise AssertionError  # the loop returns or raises

    def close(self) -> None:
        """Let go of all connections."""
        self.engine.dispose()

    def _unusable(self, error: DBAPIError) -> RecordsUnusable:
        return unusable(self.engine.url, error)


@contextmanager
def _only_text() -> Iterator[None]:
    """Bytes that a command line handed on although they are no text reach no database."""
    try:
        yield
    except UnicodeEncodeError as error:
        told = "Some of what was told is not UTF-8 text."
        raise RecordsRefused(told, hint="Nothing was kept. Say it otherwise.") from error


def unusable(url: URL, error: DBAPIError) -> RecordsUnusable:
    """What a database's own error means to a person."""
    place = url.render_as_string(hide_password=True)
    return RecordsUnusable(
        f"The records in {place} can't be used: {str(error.orig).strip()}.",
        hint="Check that the database is there, that you may write it and that the disk isn't full; then try again.",
    )


def sqlite_file(url: URL) -> Path | None:
    """The file of a SQLite address; None for another database."""
    if url.get_backend_name() != "sqlite" or not url.database or url.database == ":memory:":
        return None
    return Path(url.database)


def default_folder() -> Path:
    """Where records are kept on this machine unless somebody says otherwise."""
    return home_folder() / "records"


def file_url(file: Path) -> URL:
    """The address of a SQLite file; written as "sqlite:///FILE", a file's "?" would end its name."""
    return URL.create("sqlite", database=str(file))


def chosen_url(url: str | URL | None) -> URL:
    """The address that is meant: as given, or as the environment says, or the file in the user's own data."""
    return records_url(url or os.environ.get(RECORDS_VARIABLE) or file_url(default_folder() / FILE))


def records_there(url: str | None = None) -> bool:
    """Whether there are records to open; a SQLite file that nobody made yet has nothing to tell."""
    file = sqlite_file(chosen_url(url))
    return file is None or file.exists()


def open_kept(url: str | None = None, *, photos: str | None = None) -> House:
    """Open records that must be there: whoever only asks, copies or corrects means none that are made just now.

    Its arguments are those of `open_house`.

    Raises
    ------
    RecordsUnusable
        See `open_house`; or there are none.
    """
    if not records_there(url):
        raise RecordsUnusable(
            f"There are no records in {chosen_url(url).render_as_string()}.",
            hint="Check the address. The first plates that are brought in make them: python -m grader records import.",
        )
    return open_house(url, photos=photos)


def open_house(url: str | URL | None = None, *, photos: str | None = None) -> House:
    """Open the records; a database that isn't there is made, an older one is brought to this edition's tables.

    Parameters
    ----------
    url
        "sqlite:///FILE" or "postgresql://..."; without it FRY_GRADER_RECORDS, or else a file in the user's own data.
    photos
        A folder, or a store's address; without it FRY_GRADER_PHOTOS, or else a folder beside the database's file.

    Raises
    ------
    RecordsUnusable
        The database can't be reached or read, or a later edition of the program made it.
    OSError
        Its folder can't be made.
    """
    address = chosen_url(url)
    file = sqlite_file(address)
    if address.get_backend_name() == "sqlite" and file is None:
        hint = "Give it a file: sqlite:///FILE."
        raise RecordsUnusable("Records in memory would be lost with the program.", hint=hint)
    folder = default_folder() if file is None else file.absolute().parent
    folder.mkdir(parents=True, exist_ok=True)
    store = open_photos(photos or os.environ.get(PHOTOS_VARIABLE) or str(folder / PHOTOS))
    house = House(engine=make_engine(address), photos=store)
    try:
        house.write(upgrade)
    except RecordsUnusable:
        house.close()
        raise
    except DBAPIError as error:  # no SQLite file at all, no rights to make tables
        house.close()
        raise unusable(address, error) from error
    return house
