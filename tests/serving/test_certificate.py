"""Certificates against Python's own TLS: a client that trusts the house's authority, and nobody else, connects."""

import socket
import ssl
from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Thread

import pytest
from cryptography import x509

from grader.serving.certificate import Certificate, house_certificate

NOW = datetime.now(UTC)


def _shake(certificate: Certificate, *, name: str, trusted: Path | None) -> None:
    """One TLS handshake over a local pair of sockets."""
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(certificate.certificate, certificate.key)
    client = ssl.create_default_context(cafile=None if trusted is None else str(trusted))
    ours, theirs = socket.socketpair()

    def answer() -> None:
        try:
            with server.wrap_socket(theirs, server_side=True) as spoken:
                spoken.recv(1)
        except OSError:
            theirs.close()

    thread = Thread(target=answer)
    thread.start()
    try:
        with client.wrap_socket(ours, server_hostname=name) as spoken:
            spoken.send(b"x")
    finally:
        ours.close()
        thread.join()


def test_who_trusts_the_house_connects_by_name_and_address(tmp_path: Path) -> None:
    made = house_certificate(tmp_path / "c", ["192.168.0.20", "kitchen-pc"], now=NOW)
    _shake(made, name="192.168.0.20", trusted=made.authority)
    _shake(made, name="kitchen-pc", trusted=made.authority)
    with pytest.raises(ssl.SSLCertVerificationError):
        _shake(made, name="192.168.0.21", trusted=made.authority)
    with pytest.raises(ssl.SSLCertVerificationError):
        _shake(made, name="192.168.0.20", trusted=None)


def test_it_is_made_once_and_renewed_in_time(tmp_path: Path) -> None:
    first = house_certificate(tmp_path, ["192.168.0.20"], now=NOW)
    before = first.certificate.read_bytes()
    assert (
        house_certificate(tmp_path, ["192.168.0.20"], now=NOW + timedelta(days=300)).certificate.read_bytes() == before
    )
    renewed = house_certificate(tmp_path, ["192.168.0.20"], now=NOW + timedelta(days=380))
    assert renewed.certificate.read_bytes() != before
    assert renewed.fingerprint == first.fingerprint, "phones trust the authority, which stays"
    moved = house_certificate(tmp_path, ["192.168.0.99"], now=NOW)
    _shake(moved, name="192.168.0.99", trusted=first.authority)


@pytest.mark.parametrize("lost", ["house-authority.crt", "house-authority.key"])
def test_where_the_authority_is_made_anew_so_is_what_it_signs(tmp_path: Path, lost: str) -> None:
    """Both authorities bear one name: a certificate of the one is none of the other's."""
    first = house_certificate(tmp_path, ["192.168.0.20"], now=NOW)
    (tmp_path / lost).unlink()
    made = house_certificate(tmp_path, ["192.168.0.20"], now=NOW)
    assert made.fingerprint != first.fingerprint
    _shake(made, name="192.168.0.20", trusted=made.authority)


@pytest.mark.parametrize("torn", ["house-authority.crt", "house-authority.key", "this-machine.crt", "this-machine.key"])
def test_a_file_that_was_cut_short_is_made_anew(tmp_path: Path, torn: str) -> None:
    house_certificate(tmp_path, ["192.168.0.20"], now=NOW)
    (tmp_path / torn).write_bytes((tmp_path / torn).read_bytes()[:100])
    made = house_certificate(tmp_path, ["192.168.0.20"], now=NOW)
    _shake(made, name="192.168.0.20", trusted=made.authority)


def test_a_certificate_whose_key_was_exchanged_is_made_anew(tmp_path: Path) -> None:
    """The machine ended between the new key and the new certificate."""
    house_certificate(tmp_path / "other", ["192.168.0.20"], now=NOW)
    house_certificate(tmp_path / "here", ["192.168.0.20"], now=NOW)
    key = (tmp_path / "other" / "this-machine.key").read_bytes()
    (tmp_path / "here" / "this-machine.key").write_bytes(key)
    made = house_certificate(tmp_path / "here", ["192.168.0.20"], now=NOW)
    _shake(made, name="192.168.0.20", trusted=made.authority)


def test_browsers_accept_how_long_it_lasts_and_only_the_owner_reads_keys(tmp_path: Path) -> None:
    made = house_certificate(tmp_path, ["192.168.0.20"], now=NOW)
    leaf = x509.load_pem_x509_certificates(made.certificate.read_bytes())[0]
    assert leaf.not_valid_after_utc - leaf.not_valid_before_utc <= timedelta(days=398)
    for key in tmp_path.glob("*.key"):
        assert key.stat().st_mode & 0o077 == 0
