"""Starting the page on this machine."""

import os
import socket
import subprocess
import sys
import threading
import time
import webbrowser

from grader.places import server_file
from grader.roles.login import login_options

_WAIT_S = 60.0


def page_command(port: int) -> list[str]:
    """The call that starts the page, for this machine only; .streamlit/config.toml may be out of its reach."""
    return [
        sys.executable,
        "-m",
        "streamlit",
        "run",
        str(server_file("alone")),
        "--server.port",
        str(port),
        "--server.address",
        "127.0.0.1",
        "--server.headless",
        "true",
        "--server.maxUploadSize",
        "60",
        "--browser.gatherUsageStats",
        "false",
        *login_options(),
    ]


def page_address(port: int) -> str:
    """Where the page is."""
    return f"http://127.0.0.1:{port}"


def has_screen() -> bool:
    """A browser with windows can be opened here; one in the terminal would only be in the way."""
    return sys.platform in {"darwin", "win32"} or any(os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY"))


def _open_when_up(port: int) -> None:
    until = time.monotonic() + _WAIT_S
    while time.monotonic() < until:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
        except OSError:
            time.sleep(0.3)
        else:
            webbrowser.open(page_address(port))
            return


def serve_page(port: int) -> int:
    """Start the page, open a browser where there is a screen, and stay until it is ended; gives its exit code."""
    if has_screen():
        threading.Thread(target=_open_when_up, args=(port,), daemon=True).start()
    try:
        return subprocess.run(page_command(port), check=False).returncode  # noqa: S603 - our own interpreter and file
    except KeyboardInterrupt:
        return 0
