"""The house's chain on disk: a SQLite file in its own data, a row a record, only ever added to.

SQLite gives what a plain file lacks: two programs that add at once wait for each other, and a record that was told as
kept outlives a crash. One machine keeps one chain.
"""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from grader.errors import GraderError
from grader.evidence.chain import Entry, Kind, Link, check_links, entry_line, next_entry, read_entry
from grader.places import home_folder

FOLDER, FILE = "evidence", "chain.sqlite3"
_WAIT_S = 30.0
_MADE = """
CREATE TABLE IF NOT EXISTS record (turn INTEGER PRIMARY KEY, kind TEXT, photo TEXT, line BLOB NOT NULL);
CREATE INDEX IF NOT EXISTS ix_record_photo ON record (photo);
CREATE TRIGGER IF NOT EXISTS never_changed BEFORE UPDATE ON record BEGIN SELECT RAISE(ABORT, 'never changed'); END;
CREATE TRIGGER IF NOT EXISTS never_deleted BEFORE DELETE ON record BEGIN SELECT RAISE(ABORT, 'never deleted'); END;
"""

Clock = Callable[[], datetime]


class JournalUnusable(GraderError):
    """The chain's file can't be read or written."""


def evidence_folder() -> Path:
    """Where chain and keys are kept on this machine; it need not exist yet."""
    return home_folder() / FOLDER


def utc_now() -> datetime:
    """The clock of this machine."""
    return datetime.now(UTC)


@dataclass(frozen=True, slots=True, kw_only=True)
class Journal:
    """The chain in a folder; `now` is the clock that its records bear."""

    folder: Path
    now: Clock = utc_now

    @property
    def file(self) -> Path:
        """Where it lies."""
        return self.folder / FILE

    def add(self, kind: Kind, body: dict[str, Any], *, about: str = "") -> Entry:
        """Add a record; when this returns, it is on disk.

        Raises
        ------
        JournalUnusable
            It can't be written.
        ChainBroken
            The clock stands before the last record's moment.
        """
        with self._opened() as connection, connection:
            connection.execute("BEGIN IMMEDIATE")
            row = connection.execute("SELECT line FROM record ORDER BY turn DESC LIMIT 1").fetchone()
            last = None if row is None else read_entry(row[0]).link
            entry = next_entry(last, kind, body, about=about, at=self.now())
            row = (entry.link.turn, kind, body.get("photo"), entry_line(entry))
            connection.execute("INSERT INTO record VALUES (?, ?, ?, ?)", row)
        return entry

    def entries(self) -> tuple[Entry, ...]:
        """All records, checked against each other.

        Raises
        ------
        JournalUnusable
            It can't be read.
        ChainBroken
            Records aren't as they were written.
        """
        if not self.file.exists():
            return ()
        with self._opened() as connection:
            rows = connection.execute("SELECT line FROM record ORDER BY turn").fetchall()
        entries = tuple(read_entry(row[0]) for row in rows)
        check_links([entry.link for entry in entries])
        return entries

    def of_kind(self, kind: Kind) -> tuple[Entry, ...]:
        """Records of one kind, not checked against the others between them; see `entries` for what is raised."""
        if not self.file.exists():
            return ()
        with self._opened() as connection:
            rows = connection.execute("SELECT line FROM record WHERE kind = ? ORDER BY turn", (kind,)).fetchall()
        return tuple(read_entry(row[0]) for row in rows)

    def plates(self) -> frozenset[tuple[str, str]]:
        """Of every record of a plate its photo's SHA-256 and the tag that it bears."""
        if not self.file.exists():
            return frozenset()
        asked = "SELECT photo, json_extract(CAST(line AS TEXT), '$.link.about') FROM record WHERE photo IS NOT NULL"
        with self._opened() as connection:
            return frozenset(connection.execute(asked).fetchall())

    def head(self) -> Link | None:
        """The newest record; None where there is none."""
        entries = self.entries()
        return entries[-1].link if entries else None

    @contextmanager
    def _opened(self) -> Iterator[sqlite3.Connection]:
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            with closing(sqlite3.connect(self.file, timeout=_WAIT_S, isolation_level=None)) as connection:
                connection.execute("PRAGMA synchronous=FULL")
                connection.executescript(_MADE)
                yield connection
        except (sqlite3.Error, OSError) as error:
            hint = "Check the disk and your rights to the folder; put the file back from a copy if it is damaged."
            raise JournalUnusable(f"The chain in {self.file} can't be used: {error}.", hint=hint) from error


def house_journal() -> Journal:
    """The chain of this machine."""
    return Journal(folder=evidence_folder())
