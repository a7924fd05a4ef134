"""A time-stamp server of the test's own: openssl makes the certificates and the stamps, a thread hands them out."""

import shutil
import subprocess
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

_CONFIG = """
[req]
distinguished_name = dn
prompt = no
[dn]
CN = {name}
[root]
basicConstraints = critical, CA:true
keyUsage = critical, keyCertSign
subjectKeyIdentifier = hash
[stamper]
basicConstraints = critical, CA:false
keyUsage = critical, digitalSignature
extendedKeyUsage = {usage}
subjectKeyIdentifier = hash
authorityKeyIdentifier = keyid
[tsa]
default_tsa = stamps
[stamps]
serial = {folder}/serial
signer_cert = {folder}/stamper.pem
certs = {folder}/root.pem
signer_key = {folder}/stamper.key
signer_digest = sha256
default_policy = 1.2.3.4.1
digests = sha256, sha512
accuracy = secs:1
ess_cert_id_alg = sha256
"""


@dataclass(frozen=True)
class Authority:
    """Certificates and keys in a folder."""

    folder: Path

    @property
    def root(self) -> bytes:
        return (self.folder / "root.pem").read_bytes()

    def reply(self, query: bytes) -> bytes:
        (self.folder / "query.tsq").write_bytes(query)
        answered = ["-queryfile", "query.tsq", "-config", "root.cnf", "-section", "stamps", "-out", "reply.tsr"]
        _openssl(self.folder, "ts", "-reply", *answered)
        return (self.folder / "reply.tsr").read_bytes()


def _openssl(folder: Path, *words: str) -> None:
    subprocess.run([shutil.which("openssl") or "openssl", *words], cwd=folder, check=True, capture_output=True)


def authority(folder: Path, usage: str = "critical, timeStamping") -> Authority:
    """A root and a server's certificate that it vouches for."""
    folder.mkdir(parents=True)
    for name in ("root", "stamper"):
        text = _CONFIG.format(name=f"{name} of the test", folder=folder, usage=usage)
        (folder / f"{name}.cnf").write_text(text, encoding="utf-8")
        made = ["-newkey", "rsa:2048", "-nodes", "-config", f"{name}.cnf", "-keyout", f"{name}.key"]
        if name == "root":
            _openssl(folder, "req", "-x509", *made, "-days", "3650", "-extensions", "root", "-out", "root.pem")
        else:
            _openssl(folder, "req", "-new", *made, "-out", "stamper.csr")
    signed = ["-in", "stamper.csr", "-CA", "root.pem", "-CAkey", "root.key", "-CAcreateserial", "-days", "3650"]
    _openssl(
        folder, "x509", "-req", *signed, "-extfile", "stamper.cnf", "-extensions", "stamper", "-out", "stamper.pem"
    )
    (folder / "serial").write_text("01\n", encoding="ascii")
    return Authority(folder=folder)


@contextmanager
def serving(stamper: Authority, status: int = 200) -> Iterator[str]:
    """Its address while it serves."""

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            query = self.rfile.read(int(self.headers["Content-Length"]))
            assert self.headers["Content-Type"] == "application/timestamp-query"
            self.send_response(status)
            self.send_header("Content-Type", "application/timestamp-reply")
            self.end_headers()
            self.wfile.write(stamper.reply(query))

        def log_message(self, *_: object) -> None:
            """Nobody reads it."""

    server = HTTPServer(("127.0.0.1", 0), Handler)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}/"
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
