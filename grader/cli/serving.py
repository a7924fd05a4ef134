"""Starting the page for the house's own network."""

import os
import signal
import socket
import subprocess
import sys
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime

from grader.errors import GraderError
from grader.places import server_file
from grader.roles.house_file import house_roles
from grader.roles.login import login_options
from grader.serving.certificate import Certificate, house_certificate
from grader.serving.here import AUTHORITY_PATH, SERVED_VARIABLE, certificate_folder

_NOWHERE = "192.0.2.1"
"""An address for documentation (RFC 5737): nothing is sent to it, the system only says by which way it would be."""


class AddressUnknownError(GraderError, OSError):
    """There is no such address on this machine, or none in any network."""


def own_address() -> str:
    """The address of this machine in its own network; nothing is sent to find it.

    Raises
    ------
    AddressUnknownError
        It is in none.
    """
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            probe.connect((_NOWHERE, 9))
            return str(probe.getsockname()[0])
    except OSError as error:
        hint = "Connect it to your network, or name its address: --address 192.168.0.20."
        raise AddressUnknownError("This machine is in no network.", hint=hint) from error


def check_own(address: str, port: int) -> None:
    """Refuse an address or a port that this machine can't serve at, before a certificate is made for it.

    Raises
    ------
    AddressUnknownError
        It isn't this machine's, or the port is taken.
    """
    try:
        with socket.create_server((address, port)):
            pass
    except OSError as error:
        hint = "Check the address in this machine's network settings, or choose another --port."
        raise AddressUnknownError(
            f"Nothing can be served at {address}:{port} ({error.strerror}).", hint=hint
        ) from error


def serve_command(address: str, port: int, certificate: Certificate) -> list[str]:
    """The call that starts the page behind its door."""
    options = {
        "server.port": str(port),
        "server.address": address,
        "server.headless": "true",
        "server.maxUploadSize": "60",
        "server.fileWatcherType": "none",
        "server.sslCertFile": str(certificate.certificate),
        "server.sslKeyFile": str(certificate.key),
        "browser.serverAddress": address,
        "browser.gatherUsageStats": "false",
        "client.toolbarMode": "minimal",
        "theme.base": "light",
        "theme.primaryColor": "#8a3b00",
    }
    told = [part for name, value in options.items() for part in (f"--{name}", value)]
    return [
        sys.executable,
        "-m",
        "streamlit",
        "run",
        str(server_file("house")),
        *told,
        *login_options(),
    ]


def serve_house(address: str, port: int, *, tell: Callable[[str], None]) -> int:
    """Make the certificate where needed, start the page, stay until it is ended; gives its exit code.

    Raises
    ------
    AddressUnknownError
        As `check_own`.
    DocumentFaulty
        The house's file of roles has faults: better told here than on the first phone.
    """
    check_own(address, port)
    house_roles()
    certificate = house_certificate(certificate_folder(), [address, socket.gethostname()], now=datetime.now(UTC))
    place = f"https://{address}:{port}"
    tell(f"The page is at {place}; end it with Ctrl+C.")
    tell('On this machine open it and choose "Pair a phone". Other devices see nothing until they are paired.')
    tell(f"A phone warns of the certificate until it has installed {place}{AUTHORITY_PATH}, whose SHA-256 must be")
    tell(certificate.fingerprint)
    environment = {**os.environ, SERVED_VARIABLE: place}
    command = serve_command(address, port, certificate)
    return _stay(command, environment)


def _stay(command: Sequence[str], environment: Mapping[str, str]) -> int:
    """Run the page until it ends, or until this program is told to: then the page ends first, and nothing is left."""
    with subprocess.Popen(command, env=environment) as page:  # noqa: S603 - our own interpreter
        # Ctrl+C as well: a program that a script started in the background is deaf to it otherwise.
        before = {told: signal.signal(told, lambda *_: page.terminate()) for told in (signal.SIGTERM, signal.SIGINT)}
        try:
            page.wait()
        finally:
            for told, handler in before.items():
                signal.signal(told, handler)
    return 0 if page.returncode == -signal.SIGTERM else page.returncode
