"""A time stamp taken apart and its signature verified: CMS signed data around a TSTInfo.

Source: RFC 3161, 2.4.2; RFC 5652, 5.4 to 5.6 (signed attributes); RFC 5035 (the certificate that signs is itself
signed). Written here because libraries ask for a strict order of certificates that many servers, openssl's among them,
don't keep.
"""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from asn1crypto import cms, tsp
from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, padding, rsa
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509.oid import ExtendedKeyUsageOID

_HASHES: dict[str, hashes.HashAlgorithm] = {
    "sha256": hashes.SHA256(),
    "sha384": hashes.SHA384(),
    "sha512": hashes.SHA512(),
}
"""SHA-1 and older stamp nothing that is to last."""
_GRANTED = {"granted", "granted_with_mods"}
_LONGEST_WAY = 8


class StampFaultyError(ValueError):
    """Why a stamp doesn't hold, in a few words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """What a server's answer holds: its moment, serial number, nonce, the hash that it stamps; who signed it and how.

    `certificates` are those in the answer, `signed` the bytes that the signature is over.
    """

    at: datetime
    serial: int
    nonce: int | None
    algorithm: str
    hashed: bytes
    signer: x509.Certificate | None
    certificates: tuple[x509.Certificate, ...]
    signed: bytes
    signature: bytes
    signature_hash: str


def read_stamp(reply: bytes, known: Sequence[x509.Certificate]) -> Stamp:
    """The stamp in a server's whole answer; its signer is looked for among its own certificates and those known.

    Raises
    ------
    StampFaultyError
        It is none, or its parts contradict each other. ValueError, TypeError and KeyError come of hostile bytes.
    """
    response = tsp.TimeStampResp.load(reply, strict=True)
    if response["status"]["status"].native not in _GRANTED:
        raise StampFaultyError("the server refused")
    content = response["time_stamp_token"]
    if content["content_type"].native != "signed_data":
        raise StampFaultyError("it isn't signed")
    data = content["content"]
    inner = data["encap_content_info"]
    if inner["content_type"].native != "tst_info" or len(data["signer_infos"]) != 1:
        raise StampFaultyError("it isn't a time stamp")
    info: Any = inner["content"].parsed
    certificates = tuple(
        x509.load_der_x509_certificate(one.chosen.dump())
        for one in (data["certificates"] if data["certificates"].native is not None else ())
        if one.name == "certificate"
    )
    signer_info = data["signer_infos"][0]
    signer = _signer(signer_info, (*certificates, *known))
    _check_attributes(signer_info, bytes(inner["content"]), signer)
    imprint = info["message_imprint"]
    return Stamp(
        at=info["gen_time"].native,
        serial=info["serial_number"].native,
        nonce=info["nonce"].native,
        algorithm=imprint["hash_algorithm"]["algorithm"].native,
        hashed=imprint["hashed_message"].native,
        signer=signer,
        certificates=certificates,
        signed=signer_info["signed_attrs"].untag().dump(),
        signature=signer_info["signature"].native,
        signature_hash=signer_info["digest_algorithm"]["algorithm"].native,
    )


def _signer(info: Any, among: Sequence[x509.Certificate]) -> x509.Certificate | None:
    """The certificate that the signature names by issuer and number."""
    named = info["sid"].chosen
    if not isinstance(named, cms.IssuerAndSerialNumber):
        return None
    issuer, number = named["issuer"].dump(), named["serial_number"].native
    return next((one for one in among if one.serial_number == number and one.issuer.public_bytes() == issuer), None)


def _check_attributes(info: Any, content: bytes, signer: x509.Certificate | None) -> None:
    """The signed attributes name kind and hash of the content, and the certificate that signs."""
    told = {attribute["type"].native: attribute["values"] for attribute in info["signed_attrs"]}
    digest = hashlib.new(_known(info["digest_algorithm"]["algorithm"].native), content).digest()
    if told["content_type"][0].native != "tst_info" or told["message_digest"][0].native != digest:
        raise StampFaultyError("its content was changed")
    if signer is None:
        raise StampFaultyError("who signed it isn't told")
    if "signing_certificate_v2" in told:
        named = told["signing_certificate_v2"][0]["certs"][0]
        algorithm = _known(named["hash_algorithm"]["algorithm"].native)
    elif "signing_certificate" in told:
        named, algorithm = told["signing_certificate"][0]["certs"][0], "sha1"  # RFC 2634 knows no other
    else:
        raise StampFaultyError("it doesn't name the certificate that signs")
    der = signer.public_bytes(Encoding.DER)
    if named["cert_hash"].native != hashlib.new(algorithm, der, usedforsecurity=False).digest():
        raise StampFaultyError("it names another certificate than that which signs")


def _known(algorithm: str) -> str:
    if algorithm not in _HASHES:
        raise StampFaultyError(f"it rests on {algorithm}, which isn't trusted")
    return algorithm


def check_signed(stamp: Stamp, roots: Sequence[x509.Certificate]) -> str:
    """Who signed, where that is a time-stamp server for whom one of the roots vouches; else an error.

    Raises
    ------
    StampFaultyError
        The signature doesn't hold, the certificate isn't for time stamps, or no root vouches for it.
    """
    signer = stamp.signer
    if signer is None:
        raise StampFaultyError("who signed it isn't told")
    _check_signature(signer, stamp)
    try:
        usage = signer.extensions.get_extension_for_class(x509.ExtendedKeyUsage)
    except x509.ExtensionNotFound as error:
        raise StampFaultyError("its certificate isn't for time stamps") from error
    if not usage.critical or list(usage.value) != [ExtendedKeyUsageOID.TIME_STAMPING]:
        raise StampFaultyError("its certificate isn't for time stamps")
    _check_way(signer, stamp, roots)
    return signer.subject.rfc4514_string()


def _check_signature(signer: x509.Certificate, stamp: Stamp) -> None:
    key, way = signer.public_key(), _HASHES[_known(stamp.signature_hash)]
    try:
        if isinstance(key, rsa.RSAPublicKey):
            key.verify(stamp.signature, stamp.signed, padding.PKCS1v15(), way)
        elif isinstance(key, ec.EllipticCurvePublicKey):
            key.verify(stamp.signature, stamp.signed, ec.ECDSA(way))
        else:
            raise StampFaultyError("it is signed in a way that this program doesn't know")
    except InvalidSignature as error:
        raise StampFaultyError("its signature isn't that of its certificate") from error


def _check_way(signer: x509.Certificate, stamp: Stamp, roots: Sequence[x509.Certificate]) -> None:
    """From the signer up to a root, each certificate in date on the day of the stamp."""
    at = signer
    for _ in range(_LONGEST_WAY):
        if not at.not_valid_before_utc <= stamp.at <= at.not_valid_after_utc:
            raise StampFaultyError("a certificate behind it wasn't in date then")
        if at in roots:
            return
        above = next((one for one in (*roots, *stamp.certificates) if one != at and _vouches(one, at)), None)
        if above is None:
            break
        at = above
    raise StampFaultyError("none of the certificates that are trusted vouches for it")


def _vouches(above: x509.Certificate, below: x509.Certificate) -> bool:
    try:
        authority = above.extensions.get_extension_for_class(x509.BasicConstraints).value.ca
        below.verify_directly_issued_by(above)
    except (x509.ExtensionNotFound, ValueError, TypeError, InvalidSignature):
        return False
    return authority
