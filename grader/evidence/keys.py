"""Signing keys: Ed25519 (RFC 8032), the private half only ever on disk encrypted under a passphrase (PKCS #8)."""

import hashlib
from dataclasses import dataclass

from cryptography.exceptions import InternalError, InvalidSignature, UnsupportedAlgorithm
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

from grader.evidence.errors import KeyUnusable

SIGNATURE_BYTES = 64
PASSPHRASE_AT_LEAST = 10
"""Characters (house default, no source): the file may be copied, and then only the passphrase stands before it."""
_PASSPHRASE_BYTES_AT_MOST = 1000
"""OpenSSL takes 1023 (from memory, tested)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PublicKey:
    """The half that everybody may have; `raw` is its 32 bytes."""

    raw: bytes

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the key's DER (SubjectPublicKeyInfo): what `openssl pkey -pubin -outform DER` hashes to."""
        return hashlib.sha256(self._key.public_bytes(_DER, _INFO)).hexdigest()

    @property
    def pem(self) -> bytes:
        """As a file."""
        return self._key.public_bytes(_PEM, _INFO)

    @property
    def spoken(self) -> str:
        """The fingerprint in groups, to read out over a telephone or to print on paper."""
        return in_groups(self.fingerprint)

    def verifies(self, signature: bytes, data: bytes) -> bool:
        """Whether the signature over these bytes was made with the private half."""
        try:
            self._key.verify(signature, data)
        except InvalidSignature:
            return False
        return True

    @property
    def _key(self) -> Ed25519PublicKey:
        return Ed25519PublicKey.from_public_bytes(self.raw)


_DER, _PEM, _RAW = serialization.Encoding.DER, serialization.Encoding.PEM, serialization.Encoding.Raw
_INFO = serialization.PublicFormat.SubjectPublicKeyInfo


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SigningKey:
    """Both halves, unlocked."""

    private: Ed25519PrivateKey

    @property
    def public(self) -> PublicKey:
        """The half to hand out."""
        return PublicKey(raw=self.private.public_key().public_bytes(_RAW, serialization.PublicFormat.Raw))

    def sign(self, data: bytes) -> bytes:
        """The signature (64 bytes); the same bytes always get the same one."""
        return self.private.sign(data)

    def locked(self, passphrase: str) -> bytes:
        """The private half as an encrypted PEM file.

        Raises
        ------
        KeyUnusable
            The passphrase is too short, or too long.
        """
        check_passphrase(passphrase)
        encryption = serialization.BestAvailableEncryption(passphrase.encode())
        return self.private.private_bytes(_PEM, serialization.PrivateFormat.PKCS8, encryption)


def new_key() -> SigningKey:
    """A key made from the system's randomness."""
    return SigningKey(private=Ed25519PrivateKey.generate())


def check_passphrase(passphrase: str) -> None:
    """Refuse one that is too short, or longer than a key's file takes."""
    if len(passphrase) < PASSPHRASE_AT_LEAST:
        hint = f"Choose one of at least {PASSPHRASE_AT_LEAST} characters: a few words are easier to keep in mind."
        raise KeyUnusable("The passphrase is too short.", hint=hint)
    if len(passphrase.encode()) > _PASSPHRASE_BYTES_AT_MOST:
        raise KeyUnusable("The passphrase is too long.", hint="Choose a few words.")


def unlock(pem: bytes, passphrase: str) -> SigningKey:
    """The key in an encrypted file.

    Raises
    ------
    KeyUnusable
        The passphrase is wrong, or it is no such file.
    """
    try:
        key = serialization.load_pem_private_key(pem, passphrase.encode())
    except (ValueError, TypeError, UnsupportedAlgorithm, InternalError) as error:
        hint = "Give the passphrase under which it was made. Nobody can find a lost one; make a new key then."
        raise KeyUnusable("The key can't be unlocked.", hint=hint) from error
    if not isinstance(key, Ed25519PrivateKey):
        raise KeyUnusable("This is no Ed25519 key.", hint="Use a key that this program made.")
    return SigningKey(private=key)


def read_public(pem: bytes) -> PublicKey:
    """The public key in a PEM file.

    Raises
    ------
    KeyUnusable
        It is none, or not of this kind.
    """
    try:
        key = serialization.load_pem_public_key(pem)
    except (ValueError, UnsupportedAlgorithm, InternalError) as error:
        raise KeyUnusable("This is no public key.", hint="Take the file as it was made.") from error
    if not isinstance(key, Ed25519PublicKey):
        raise KeyUnusable("This is no Ed25519 key.", hint="Take the file as it was made.")
    public = PublicKey(raw=key.public_bytes(_RAW, serialization.PublicFormat.Raw))
    if public.pem != pem:
        raise KeyUnusable("This public key was written by another program.", hint="Take the file as it was made.")
    return public


def in_groups(fingerprint: str) -> str:
    """A fingerprint in groups of eight."""
    return " ".join(fingerprint[at : at + 8] for at in range(0, len(fingerprint), 8))
