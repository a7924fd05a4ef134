"""Files that are either whole or not there: a run that was cut short leaves no half file."""

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


def write_whole(path: Path, data: bytes) -> None:
    """Write `data` to a file beside `path`, then move it into place in one step.

    Raises
    ------
    OSError
        The folder can't be written to; nothing is left behind.
    """
    with placing(path) as waiting:
        waiting.write_bytes(data)


@contextmanager
def placing(path: Path) -> Iterator[Path]:
    """A file beside `path` to write to: in place in one step when the block ends, gone where it fails.

    Raises
    ------
    OSError
        The folder can't be written to.
    """
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:40]}.", suffix=".part")
    except OSError as error:  # told of the file that was asked for, not of the one beside it
        raise OSError(error.errno, error.strerror, str(path)) from error
    os.close(handle)
    waiting = Path(name)
    try:
        yield waiting
        with waiting.open("r+b") as file:  # Windows syncs only what may be written
            os.fsync(file.fileno())
        waiting.chmod(0o644)  # mkstemp gives 0600, and colleagues shall be able to read results
        waiting.replace(path)
    except BaseException:
        waiting.unlink(missing_ok=True)
        raise


class WholeFile:
    """A file written bit by bit that is there only when it is whole; what an earlier one left half written goes."""

    def __init__(self, path: Path) -> None:
        self._path, self.waiting = path, path.with_name(f".{path.name}.part")
        self._file = self.waiting.open("wb")

    def write(self, data: bytes) -> None:
        """Add to it."""
        self._file.write(data)

    def place(self) -> None:
        """Move it into place in one step: what was there before is there until then."""
        self._file.flush()
        os.fsync(self._file.fileno())
        self._file.close()
        self.waiting.replace(self._path)

    def drop(self) -> None:
        """Leave nothing behind, unless it is in place."""
        self._file.close()
        self.waiting.unlink(missing_ok=True)
