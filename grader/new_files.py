"""Files that are written once and never again: what is there already stays as it is."""

import os
from pathlib import Path


def write_new(path: Path, text: str) -> None:
    """Write a file that must not be there yet, even if another process makes one in this very moment.

    Raises
    ------
    OSError
        It is there, or can't be written; no half file is left behind.
    """
    with path.open("x", encoding="utf-8", newline="\n") as file:
        try:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        except BaseException:
            path.unlink()
            raise


def write_private(path: Path, data: bytes) -> None:
    """Write a file that must not be there yet and that only its owner may ever read; when this returns, it lasts.

    Raises
    ------
    OSError
        It is there, or can't be written.
    """
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
