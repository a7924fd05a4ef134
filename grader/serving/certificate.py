"""The house's own certificate: an authority made once, and a short-lived certificate of this machine that it signs.

A phone that installs the authority's certificate once sees no warning in any later shift. Browsers accept a certificate
for at most 398 days (CA/Browser Forum, Baseline Requirements 6.3.2; from memory), so this machine's is made for 397.
"""

import ipaddress
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature, UnsupportedAlgorithm
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from grader.new_files import write_private

_AUTHORITY_LASTS = timedelta(days=3650)
_LASTS = timedelta(days=397)
_RENEW_BEFORE = timedelta(days=30)


@dataclass(frozen=True, slots=True, kw_only=True)
class Certificate:
    """Files of this machine's certificate and its key; of the authority's certificate; its SHA-256, to compare."""

    certificate: Path
    key: Path
    authority: Path
    fingerprint: str


def house_certificate(folder: Path, names: Sequence[str], *, now: datetime) -> Certificate:
    """The certificate of this machine for these names and addresses; made, or renewed, where it is needed.

    Raises
    ------
    OSError
        The folder can't be written.
    """
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    authority_file, authority_key_file = folder / "house-authority.crt", folder / "house-authority.key"
    certificate_file, key_file = folder / "this-machine.crt", folder / "this-machine.key"
    authority, signing = _pair(authority_file, authority_key_file, now) or _make_authority(
        authority_file, authority_key_file, now
    )
    here = _pair(certificate_file, key_file, now)
    if here is None or not _serves(here[0], names, authority):
        _make(certificate_file, key_file, names, authority, signing, now)
    return Certificate(
        certificate=certificate_file,
        key=key_file,
        authority=authority_file,
        fingerprint=authority.fingerprint(hashes.SHA256()).hex(":").upper(),
    )


def _pair(file: Path, key_file: Path, now: datetime) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey] | None:
    """A certificate and its key, where both can be read, belong together and last for a while yet."""
    try:
        made = x509.load_pem_x509_certificates(file.read_bytes())[0]
        key = serialization.load_pem_private_key(key_file.read_bytes(), None)
    except (FileNotFoundError, ValueError, TypeError, UnsupportedAlgorithm):
        return None  # not made yet, or the machine ended while it was
    if not isinstance(key, ec.EllipticCurvePrivateKey) or made.public_key() != key.public_key():
        return None
    return (made, key) if made.not_valid_after_utc - now > _RENEW_BEFORE else None


def _make_authority(file: Path, key_file: Path, now: datetime) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Fry grader of this house")])
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(hours=1))
        .not_valid_after(now + _AUTHORITY_LASTS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs=True), critical=True)
        .sign(key, hashes.SHA256())
    )
    _write_key(key_file, key)
    file.write_bytes(made.public_bytes(serialization.Encoding.PEM))
    return made, key


def _make(
    file: Path,
    key_file: Path,
    names: Sequence[str],
    authority: x509.Certificate,
    signing: ec.EllipticCurvePrivateKey,
    now: datetime,
) -> None:
    key = ec.generate_private_key(ec.SECP256R1())
    made = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, names[0])]))
        .issuer_name(authority.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(hours=1))
        .not_valid_after(now + _LASTS)
        .add_extension(x509.SubjectAlternativeName([_general(name) for name in names]), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(signing, hashes.SHA256())
    )
    _write_key(key_file, key)
    chain = (made, authority)
    file.write_bytes(b"".join(one.public_bytes(serialization.Encoding.PEM) for one in chain))


def _serves(made: x509.Certificate, names: Sequence[str], authority: x509.Certificate) -> bool:
    """The certificate was signed by this very authority (each bears the same name), and names all of this."""
    try:
        made.verify_directly_issued_by(authority)
        told = made.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except (InvalidSignature, ValueError, TypeError, x509.ExtensionNotFound):
        return False
    return set(told) == {_general(name) for name in names}


def _general(name: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        return x509.DNSName(name)


def _usage(*, signs: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs,
        key_cert_sign=signs,
        crl_sign=signs,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _write_key(file: Path, key: ec.EllipticCurvePrivateKey) -> None:
    file.unlink(missing_ok=True)
    plain = serialization.NoEncryption()
    write_private(file, key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, plain))
