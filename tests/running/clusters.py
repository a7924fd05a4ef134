"""A Dask cluster of separate processes on free ports of this machine, for tests: a scheduler and workers to kill."""

import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path


@dataclass(slots=True)
class TestCluster:
    """Where its scheduler is, and its workers as processes."""

    __test__ = False

    address: str
    workers: list[subprocess.Popen[bytes]] = field(default_factory=list)


@contextmanager
def cluster(folder: Path, *, workers: int) -> Iterator[TestCluster]:
    """Start a scheduler and so many workers of one thread each; all of them are ended afterwards."""
    told = folder / "scheduler.json"
    scheduler = _start(folder, "scheduler", "--port", "0", "--scheduler-file", str(told), "--no-show", "--no-dashboard")
    running = TestCluster("")
    try:
        running.address = _address(told)
        for _ in range(workers):
            options = ("--nthreads", "1", "--no-nanny", "--no-dashboard", "--memory-limit", "0")
            running.workers.append(_start(folder, "worker", running.address, *options))
        yield running
    finally:
        for process in (*running.workers, scheduler):
            process.kill()
            process.wait()


def _start(folder: Path, what: str, *options: str) -> subprocess.Popen[bytes]:
    with (folder / f"{what}.log").open("ab") as log:
        command = [sys.executable, "-m", "dask", what, "--host", "127.0.0.1", *options]
        return subprocess.Popen(command, stdout=log, stderr=log, cwd=folder)


def _address(told: Path) -> str:
    import json

    for _ in range(300):
        if told.exists() and (text := told.read_text()):
            return str(json.loads(text)["address"])
        time.sleep(0.1)
    raise TimeoutError("the scheduler doesn't start")
