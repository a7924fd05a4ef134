"""`serve` told to end: the page that it started ends with it, so that nothing goes on listening in the kitchen."""

import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

from grader.places import HOME_VARIABLE
from tests.pages.running import ROOT, free_port

WAIT_S = 60.0


def answers(port: int) -> bool:
    try:
        socket.create_connection(("127.0.0.1", port), timeout=1).close()
    except OSError:
        return False
    return True


def until(port: int, *, answering: bool) -> bool:
    end = time.monotonic() + WAIT_S
    while time.monotonic() < end:
        if answers(port) is answering:
            return True
        time.sleep(0.2)
    return False


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal there")
@pytest.mark.parametrize("told", [signal.SIGTERM, signal.SIGINT], ids=["terminate", "interrupt"])
def test_serve_that_is_told_to_end_ends_its_page(tmp_path: Path, told: signal.Signals) -> None:
    port = free_port()
    command = [sys.executable, "-m", "grader", "serve", "--address", "127.0.0.1", "--port", str(port)]
    environment = {**os.environ, HOME_VARIABLE: str(tmp_path / "home")}
    with (tmp_path / "log.txt").open("wb") as log:
        process = subprocess.Popen(command, cwd=ROOT, env=environment, stdout=log, stderr=subprocess.STDOUT)
    try:
        assert until(port, answering=True), (tmp_path / "log.txt").read_text()
        process.send_signal(told)
        assert process.wait(timeout=WAIT_S) == 0
        assert until(port, answering=False)
    finally:
        process.kill()
        process.wait()
