"""Work for workers in tests: they import it by name, so it stands in a module."""

import os
import signal
import sys
from dataclasses import dataclass
from pathlib import Path


def doubled(number: int) -> int:
    return 2 * number


def refuses(number: int) -> int:
    raise ValueError(f"not {number}")


def threads(_: object) -> tuple[int, str, bool]:
    """How many threads OpenCV and numpy may use here, and whether numpy came before the latter was said."""
    import cv2

    return cv2.getNumThreads(), os.environ["OPENBLAS_NUM_THREADS"], "pytest" in sys.modules


@dataclass(frozen=True)
class Deadly:
    """Kills the worker, as a system short of memory does, until `lives` files are in a folder."""

    folder: Path
    lives: int


def dies(task: Deadly) -> int:
    seen = len(list(task.folder.iterdir()))
    if seen < task.lives:
        (task.folder / str(seen)).touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return os.getpid()
