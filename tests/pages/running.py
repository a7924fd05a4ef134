"""A page's server as a process of its own, for as long as it is needed."""

import socket
import subprocess
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).parents[2]


def free_port() -> int:
    """A port of this machine that nothing listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def running(
    command: Sequence[str], port: int, *, log: Path, environment: Mapping[str, str] | None = None
) -> Iterator[int]:
    """The command run until the end of the block; it begins once the port answers. Gives the id of its process."""
    with log.open("wb") as written:
        process = subprocess.Popen(command, cwd=ROOT, stdout=written, stderr=subprocess.STDOUT, env=environment)
    try:
        until = time.monotonic() + 60
        while time.monotonic() < until:
            try:
                socket.create_connection(("127.0.0.1", port), timeout=1).close()
                break
            except OSError:
                assert process.poll() is None, log.read_text()
                time.sleep(0.2)
        yield process.pid
    finally:
        process.terminate()
        process.wait(timeout=30)
