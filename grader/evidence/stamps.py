"""Time stamps from a server of the user's choice: asked for, fetched, verified. Source: RFC 3161.

A stamp says that its server saw a hash at a moment. It is worth as much as the server, which is known by a certificate:
`roots` are those that the reader trusts.
"""

import hashlib
import secrets
import urllib.error
import urllib.request
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from asn1crypto import tsp
from cryptography import x509
from cryptography.exceptions import UnsupportedAlgorithm

from grader.evidence.errors import StampUnusable
from grader.evidence.stamp_reading import Stamp, StampFaultyError, check_signed, read_stamp

BYTES_AT_MOST = 200_000
_QUERY, _REPLY = "application/timestamp-query", "application/timestamp-reply"
_WAIT_S = 30.0
_IMPRINTS = {"sha256", "sha384", "sha512"}
_ASK_ANEW = "Ask for another time stamp."


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamped:
    """A stamp that holds: the server's moment, who it says it is, its serial number."""

    at: datetime
    authority: str
    serial: int


@dataclass(frozen=True, slots=True, kw_only=True)
class StampRequest:
    """What is asked of a server (TimeStampReq, DER), and the nonce that its answer must bear."""

    der: bytes
    nonce: int


def stamp_request(data: bytes) -> StampRequest:
    """What to ask of a server: the SHA-256 of the data with a nonce, and its certificate with the answer."""
    nonce = secrets.randbits(63) | 1
    imprint = {"hash_algorithm": {"algorithm": "sha256"}, "hashed_message": hashlib.sha256(data).digest()}
    asked = tsp.TimeStampReq({"version": "v1", "message_imprint": imprint, "nonce": nonce, "cert_req": True})
    return StampRequest(der=asked.dump(), nonce=nonce)


def fetch_stamp(url: str, request: StampRequest, data: bytes, roots: Sequence[x509.Certificate]) -> bytes:
    """Ask a server for a stamp; its whole answer, verified.

    Raises
    ------
    StampUnusable
        The server can't be reached, refuses, or answers with a stamp that doesn't hold.
    """
    if not url.startswith(("http://", "https://")):
        raise StampUnusable(f'"{url}" is no address of a server.', hint="It begins with http:// or https://.")
    headers = {"Content-Type": _QUERY, "Accept": _REPLY}
    asked = urllib.request.Request(url, data=request.der, headers=headers)  # noqa: S310 - checked above
    try:
        with urllib.request.urlopen(asked, timeout=_WAIT_S) as answer:  # noqa: S310 - checked above
            reply: bytes = answer.read(BYTES_AT_MOST + 1)
    except (urllib.error.URLError, OSError, ValueError) as error:
        hint = "Check the address and the network; nothing was changed, try again later."
        raise StampUnusable(f"The time-stamp server {url} gave no answer ({error}).", hint=hint) from error
    check_stamp(reply, data, roots, nonce=request.nonce)
    return reply


def check_stamp(reply: bytes, data: bytes, roots: Sequence[x509.Certificate], *, nonce: int | None = None) -> Stamped:
    """What a stamp says of the data.

    Parameters
    ----------
    reply
        A server's whole answer (TimeStampResp, DER).
    roots
        Certificates that are trusted: the server's own, or those that vouch for it.
    nonce
        That of the request, where it is at hand.

    Raises
    ------
    StampUnusable
        It is no stamp, of other data, signed by nobody who is trusted, or not a server's for time stamps.
    """
    if not roots:
        raise StampUnusable("No certificate is named to trust.", hint="Give the server's root certificate as PEM.")
    if len(reply) > BYTES_AT_MOST:
        raise StampUnusable("This is too large for a time stamp.", hint=_ASK_ANEW)
    try:
        stamp = read_stamp(reply, roots)
        _check_question(stamp, data, nonce)
        authority = check_signed(stamp, roots)
    except StampFaultyError as error:
        raise StampUnusable(f"The time stamp doesn't hold: {error}.", hint=_ASK_ANEW) from error
    except Exception as error:  # hostile bytes trip parsers in many ways, and every one means "no time stamp"
        raise StampUnusable("This is no time stamp.", hint=_ASK_ANEW) from error
    return Stamped(at=stamp.at, authority=authority, serial=stamp.serial)


def _check_question(stamp: Stamp, data: bytes, nonce: int | None) -> None:
    """It answers this request, and is of these data."""
    if nonce is not None and stamp.nonce != nonce:
        raise StampFaultyError("it answers another request")
    if stamp.algorithm not in _IMPRINTS or stamp.hashed != hashlib.new(stamp.algorithm, data).digest():
        raise StampFaultyError("it is a stamp of something else")


def read_roots(pem: bytes) -> tuple[x509.Certificate, ...]:
    """The certificates in a PEM file.

    Raises
    ------
    StampUnusable
        There are none.
    """
    try:
        return tuple(x509.load_pem_x509_certificates(pem))
    except (ValueError, UnsupportedAlgorithm, x509.InvalidVersion) as error:
        raise StampUnusable(
            "This file holds no certificate.", hint="Give a PEM file with BEGIN CERTIFICATE."
        ) from error
