"""Small disks of a test's own: they run full, and are made read-only, as real ones do."""

import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest


@contextmanager
def small_disk(place: Path, *, size_kb: int) -> Iterator[Path]:
    """A disk in memory of this size, mounted at `place`; skips where the machine doesn't allow that, but in CI."""
    place.mkdir()
    told = _run("mount", "-t", "tmpfs", "-o", f"size={size_kb}k", "tmpfs", str(place))
    if told:
        assert not os.environ.get("CI"), told
        pytest.skip(f"no disk can be mounted here: {told}")
    try:
        yield place
    finally:
        _run("umount", "--lazy", str(place))


def fill(disk: Path) -> Path:
    """A file that takes all that is left; delete it to have room again."""
    file = disk / "filling"
    with file.open("wb", buffering=0) as opened:
        try:
            while True:
                opened.write(bytes(4096))
        except OSError:
            return file


@contextmanager
def read_only(disk: Path) -> Iterator[None]:
    """Nothing can be written to it for a while."""
    assert not _run("mount", "-o", "remount,ro", str(disk))
    try:
        yield
    finally:
        assert not _run("mount", "-o", "remount,rw", str(disk))


def _run(*command: str) -> str:
    """What went wrong, empty where nothing did."""
    try:
        done = subprocess.run(command, capture_output=True, text=True, check=False)
    except OSError as error:
        return str(error)
    return done.stderr.strip() or ("" if done.returncode == 0 else f"{command[0]} failed")
