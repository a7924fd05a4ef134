"""Files that are written once and never again: what is there already stays as it is."""

import errno
import os
import secrets
from functools import partial
from pathlib import Path


def write_new(path: Path, text: str) -> None:
    """Write a file that must not be there yet, even if another process makes one in this very moment.

    Raises
    ------
    OSError
        It is there, or can't be written; no half file is left behind.
    """
    write_new_bytes(path, text.encode())


def write_new_bytes(path: Path, data: bytes) -> None:
    """The same for bytes."""
    _write(path, data, mode=0o666)


def write_private(path: Path, data: bytes) -> None:
    """Write a file that must not be there yet and that only its owner may ever read; when this returns, it lasts.

    Raises
    ------
    OSError
        It is there, or can't be written; no half file is left behind.
    """
    _write(path, data, mode=0o600)


def _write(path: Path, data: bytes, *, mode: int) -> None:
    """Beside it first, so that whoever is killed meanwhile leaves nothing half written under its name."""
    waiting = path.with_name(f".{path.name[:40]}.{secrets.token_hex(4)}.part")
    try:
        with open(waiting, "xb", opener=partial(os.open, mode=mode)) as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        _name(waiting, path)
    except OSError as error:  # told of the file that was asked for, not of the one beside it
        raise OSError(error.errno, error.strerror, str(path)) from error
    finally:
        waiting.unlink(missing_ok=True)


def _name(waiting: Path, path: Path) -> None:
    """Give a file its name unless another has it: a link fails then, which a move doesn't."""
    try:
        os.link(waiting, path)
    except OSError as error:
        if error.errno not in (errno.EPERM, errno.ENOTSUP, errno.ENOSYS):
            raise
        path.touch(exist_ok=False)  # a file system without links, as sticks have: the name is taken first
        waiting.replace(path)
