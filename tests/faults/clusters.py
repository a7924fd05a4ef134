"""A PostgreSQL server of a test's own, which it may stop in the middle of a write, and start again."""

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest

_BINARIES = Path("/usr/lib/postgresql")


@dataclass(frozen=True)
class Cluster:
    """Its folder, and where its programs are."""

    folder: Path
    programs: Path

    @property
    def url(self) -> str:
        return f"postgresql://postgres@/postgres?host={self.folder}"

    def start(self) -> None:
        options = f"-c listen_addresses='' -c unix_socket_directories={self.folder} -c max_connections=20"
        self._run("pg_ctl", "-D", "data", "-l", "log", "-w", "-o", options, "start")

    def stop(self) -> None:
        """At once, as a power cut ends it."""
        self._run("pg_ctl", "-D", "data", "-m", "immediate", "stop")

    def make(self) -> None:
        self._run("initdb", "-D", "data", "--auth=trust", "--encoding=UTF8", "--locale=C.UTF-8")

    def _run(self, program: str, *words: str) -> None:
        command = ["runuser", "-u", "postgres", "--", str(self.programs / program), *words]
        with (self.folder / "told").open("ab") as told:  # no pipe: the server would hold it open
            subprocess.run(command, cwd=self.folder, stdin=subprocess.DEVNULL, stdout=told, stderr=told, check=True)


@contextmanager
def own_cluster() -> Iterator[Cluster]:
    """A server that runs; skips where PostgreSQL isn't installed or the user isn't root, but in CI."""
    found = sorted(_BINARIES.glob("*/bin"), key=lambda one: int(one.parent.name))
    if not found or os.geteuid() != 0:
        assert not os.environ.get("CI"), "in CI a server must be there"
        pytest.skip("no PostgreSQL server can be started here")
    folder = Path(tempfile.mkdtemp(prefix="fry-grader-"))  # short: a socket's path has 107 characters
    shutil.chown(folder, "postgres")
    cluster = Cluster(folder=folder, programs=found[-1])
    try:
        cluster.make()
        cluster.start()
        yield cluster
    finally:
        if (folder / "data" / "postmaster.pid").exists():
            cluster.stop()
        shutil.rmtree(folder)
