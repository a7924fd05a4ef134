"""A provider of logins for one test: OpenID Connect's code flow with a signed identity token, for whoever it is told.

Written after OpenID Connect Core 1.0 (3.1) and Discovery 1.0 (3); it asks no password, and lives as long as its block.
"""

import json
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Thread
from typing import Any
from urllib.parse import parse_qs, urlencode, urlsplit

from joserfc import jwt
from joserfc.jwk import RSAKey

CLIENT, SECRET = "fry-grader-test", "only for this test"


@dataclass(slots=True)
class Provider:
    """Whom it says that the visitor is: set `claims` before the visitor comes."""

    address: str = ""
    claims: dict[str, Any] = field(default_factory=dict)
    nonces: dict[str, str] = field(default_factory=dict)
    key: RSAKey = field(default_factory=lambda: RSAKey.generate_key(2048, {"kid": "test"}))

    def discovery(self) -> dict[str, Any]:
        return {
            "issuer": self.address,
            "authorization_endpoint": f"{self.address}/authorize",
            "token_endpoint": f"{self.address}/token",
            "jwks_uri": f"{self.address}/keys",
            "response_types_supported": ["code"],
            "subject_types_supported": ["public"],
            "id_token_signing_alg_values_supported": ["RS256"],
        }

    def token(self, code: str) -> dict[str, Any]:
        now = int(time.time())
        told = {"iss": self.address, "aud": CLIENT, "sub": "someone", "iat": now, "exp": now + 300}
        told |= {"nonce": self.nonces.pop(code)} | self.claims
        signed = jwt.encode({"alg": "RS256", "kid": "test"}, told, self.key)
        return {"access_token": "opaque", "token_type": "Bearer", "expires_in": 300, "id_token": signed}


def _handler(provider: Provider) -> type[BaseHTTPRequestHandler]:
    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            asked = urlsplit(self.path)
            if asked.path == "/authorize":
                told = {name: values[0] for name, values in parse_qs(asked.query).items()}
                code = f"code{len(provider.nonces)}-{time.monotonic_ns()}"
                provider.nonces[code] = told["nonce"]
                self.send_response(302)
                self.send_header(
                    "Location", f"{told['redirect_uri']}?{urlencode({'code': code, 'state': told['state']})}"
                )
                self.end_headers()
            elif asked.path == "/keys":
                self._json({"keys": [provider.key.as_dict(private=False) | {"use": "sig", "alg": "RS256"}]})
            else:
                self._json(provider.discovery())

        def do_POST(self) -> None:
            body = parse_qs(self.rfile.read(int(self.headers["Content-Length"])).decode())
            self._json(provider.token(body["code"][0]))

        def _json(self, told: dict[str, Any]) -> None:
            packed = json.dumps(told).encode()
            self.send_response(200)
            self.send_header("Content-Type", "application/json")
            self.send_header("Content-Length", str(len(packed)))
            self.end_headers()
            self.wfile.write(packed)

        def log_message(self, *_: Any) -> None:
            """Silent."""

    return Handler


@contextmanager
def provider() -> Iterator[Provider]:
    """A provider on a free port of this machine."""
    told = Provider()
    server = ThreadingHTTPServer(("127.0.0.1", 0), _handler(told))
    told.address = f"http://127.0.0.1:{server.server_port}"
    thread = Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield told
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
