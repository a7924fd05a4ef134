"""The door: whoever comes from another machine and isn't paired sees a page that says so, and nothing else.

It stands before everything that Streamlit serves: pages, uploads, pictures and the connection on which a page lives.
The house computer itself needs no pairing: it comes by its own address.
"""

from collections.abc import Awaitable, Callable, MutableMapping
from datetime import UTC, datetime
from html import escape
from typing import Any
from urllib.parse import parse_qs

from starlette.requests import HTTPConnection

from grader.serving.here import AUTHORITY_PATH, COOKIE, PAIR_PATH, PHONE_HEADER
from grader.serving.pairing import Pairings

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

_LOOPBACK = frozenset({"127.0.0.1", "::1"})
_FORM_BYTES_AT_MOST = 1000
_PAGE = """<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Fry grader</title>
<meta name="viewport" content="width=device-width, initial-scale=1"><style>
body {{ font: 1.2rem/1.5 sans-serif; margin: 2rem 1rem; color: #222; background: #fff; }}
button {{ font: inherit; font-weight: 700; padding: 1.2rem; width: 100%; background: #7a3b00; color: #fff; border: 0;
  border-radius: .6rem; }}</style></head><body><main>{body}</main></body></html>"""
_NOT_PAIRED = (
    "<h1>This phone is not paired</h1><p>Scan the square code that the house computer shows.</p>"
    '<div lang="es"><h1>Este teléfono no está emparejado</h1>'
    "<p>Escanee el código cuadrado que muestra la computadora de la casa.</p></div>"
)
_USED = (
    "<h1>This code was used, or is too old</h1><p>Ask the house computer for a new one.</p>"
    '<div lang="es"><h1>Este código ya se usó o venció</h1><p>Pida otro en la computadora de la casa.</p></div>'
)
_ASK = (
    "<h1>Fry grader</h1>"
    '<form method="post" action="{path}"><input type="hidden" name="c" value="{code}">'
    '<button>Pair this phone<br><span lang="es">Emparejar este teléfono</span></button></form>'
)


class OnlyPaired:
    """ASGI middleware around the page."""

    def __init__(self, app: App, pairings: Pairings, authority: bytes = b"") -> None:
        self._app, self._pairings, self._authority = app, pairings, authority

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let in who may come in."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        token = HTTPConnection(scope).cookies.get(COOKIE, "")
        if scope["type"] == "http" and scope["path"] == AUTHORITY_PATH and self._authority:
            await _answer(send, 200, self._authority, kind=b"application/x-x509-ca-cert")
        elif from_here(scope) or self._pairings.place(token) is not None:
            if scope["type"] == "http" and scope["path"] == PAIR_PATH:
                await _redirect(send)
                return
            await self._app(_handed_on(scope, token), receive, send)
        elif scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008})
        elif scope["path"] == PAIR_PATH:
            await self._pair(scope, receive, send)
        else:
            await _answer(send, 403, _PAGE.format(body=_NOT_PAIRED).encode())

    async def _pair(self, scope: Scope, receive: Receive, send: Send) -> None:
        """A link that is only looked at (a chat's preview) uses up no code: pairing takes the button."""
        if scope["method"] == "GET":
            code = parse_qs(scope.get("query_string", b"").decode("latin-1")).get("c", [""])[0]
            body = _ASK.format(path=PAIR_PATH, code=escape(code, quote=True))
            await _answer(send, 200, _PAGE.format(body=body).encode())
            return
        form = parse_qs((await _body(receive)).decode("utf-8", "replace"))
        token = self._pairings.pair(form.get("c", [""])[0])
        place = self._pairings.place(token)
        if token is None or place is None:
            await _answer(send, 403, _PAGE.format(body=_USED).encode())
            return
        seconds = int((place.until - datetime.now(UTC)).total_seconds())
        cookie = f"{COOKIE}={token}; Path=/; Max-Age={seconds}; Secure; HttpOnly; SameSite=Lax"
        await _redirect(send, cookie=cookie)


def from_here(scope: Scope) -> bool:
    """The other end is this machine: a loopback address, or the very address that was connected to."""
    client, server = scope.get("client"), scope.get("server")
    if not client:
        return False
    return client[0] in _LOOPBACK or (server is not None and client[0] == server[0])


def _handed_on(scope: Scope, token: str) -> Scope:
    """The same visit with the token that opened the door, and none that a visitor wrote into the header themselves.

    Were the page to read the cookies again, and differently, whoever came in as a phone could stand there as the house
    computer.
    """
    name = PHONE_HEADER.encode()
    told = [(one, value) for one, value in scope.get("headers", ()) if one != name]
    if token:
        told.append((name, token.encode("latin-1")))
    return {**scope, "headers": told}


async def _body(receive: Receive) -> bytes:
    body = b""
    while len(body) <= _FORM_BYTES_AT_MOST:
        part = await receive()
        body += bytes(part.get("body", b""))
        if not part.get("more_body"):
            return body
    return b""


async def _answer(send: Send, status: int, body: bytes, *, kind: bytes = b"text/html; charset=utf-8") -> None:
    headers = [
        (b"content-type", kind),
        (b"content-length", str(len(body)).encode()),
        (b"cache-control", b"no-store"),
        (b"content-security-policy", b"default-src 'none'; style-src 'unsafe-inline'; form-action 'self'"),
        (b"referrer-policy", b"no-referrer"),
    ]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})


async def _redirect(send: Send, *, cookie: str = "") -> None:
    headers = [(b"location", b"/"), (b"content-length", b"0"), (b"cache-control", b"no-store")]
    if cookie:
        headers.append((b"set-cookie", cookie.encode("latin-1")))
    await send({"type": "http.response.start", "status": 303, "headers": headers})
    await send({"type": "http.response.body", "body": b""})
