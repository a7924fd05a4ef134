"""Files of lines that are only ever added to, by one process at a time.

A last line without its end was cut short with the program or the machine. Nobody was told that it is kept: it doesn't
count, and goes before the next is added.
"""

import os
from pathlib import Path
from typing import IO


def add_line(path: Path, text: str) -> None:
    """Add a line to a file, which is made where it isn't there; when this returns, it lasts.

    Raises
    ------
    OSError
        It can't be written.
    """
    with path.open("a+b") as file:
        lock(file, wait=True)
        drop_torn_end(file)
        file.write(f"{text}\n".encode())
        file.flush()
        os.fsync(file.fileno())


def whole_lines(path: Path) -> list[str]:
    """All lines of a file; none where there is no such file."""
    if not path.exists():
        return []
    return path.read_text(encoding="utf-8", errors="replace").split("\n")[:-1]


def lock(file: IO[bytes], *, wait: bool) -> None:
    """Keep an open file for this process alone until it is closed.

    Raises
    ------
    BlockingIOError
        Another process has it, and this one doesn't wait.
    """
    try:
        import fcntl  # noqa: PLC0415 - not on every system; without it nobody is kept off
    except ImportError:
        return
    fcntl.flock(file, fcntl.LOCK_EX if wait else fcntl.LOCK_EX | fcntl.LOCK_NB)


def drop_torn_end(file: IO[bytes]) -> None:
    """Cut off a last line without its end."""
    file.seek(max(file.seek(0, os.SEEK_END) - 1, 0))
    if file.read() in {b"", b"\n"}:
        return
    file.seek(0)
    file.truncate(sum(len(line) for line in file if line.endswith(b"\n")))
