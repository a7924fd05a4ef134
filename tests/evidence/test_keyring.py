"""Keys made, rotated and revoked, and what the chain tells of it."""

import os
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from grader.evidence.chain import next_entry
from grader.evidence.errors import KeyUnusable
from grader.evidence.journal import Journal
from grader.evidence.key_history import key_lives, signed, statement
from grader.evidence.keyring import Keyring
from grader.evidence.keys import new_key

NOW = datetime(2026, 10, 6, 12, 0, tzinfo=UTC)
OLD, NEW = "an old passphrase", "a newer passphrase"


@pytest.fixture
def keyring(tmp_path: Path) -> Keyring:
    return Keyring(journal=Journal(folder=tmp_path / "evidence", now=lambda: NOW))


def test_a_key_is_made_once_and_kept_encrypted(keyring: Keyring) -> None:
    life = keyring.make(OLD, by="AB")
    (file,) = keyring.folder.iterdir()
    assert b"ENCRYPTED" in file.read_bytes()
    assert file.stat().st_mode & 0o077 == 0
    assert keyring.current() == life
    assert keyring.unlocked(OLD).public == life.public
    with pytest.raises(KeyUnusable, match="already"):
        keyring.make(OLD, by="AB")
    with pytest.raises(KeyUnusable, match="unlocked"):
        keyring.unlocked(NEW)


def test_a_key_is_on_disk_before_the_chain_names_it(keyring: Keyring, monkeypatch: pytest.MonkeyPatch) -> None:
    """Else a power cut could leave a chain that names a key of which nobody has the file."""
    flushed: list[tuple[int, bool]] = []

    def flush(handle: int) -> None:
        flushed.append((os.fstat(handle).st_size, keyring.journal.of_kind("key") != ()))

    monkeypatch.setattr("grader.new_files.os.fsync", flush)
    keyring.make(OLD, by="AB")
    ((size, named),) = flushed
    assert size > 100
    assert not named


def test_an_ended_key_does_not_come_back(keyring: Keyring) -> None:
    keyring.make(OLD, by="AB")
    (made,) = keyring.journal.of_kind("key")
    keyring.revoke(OLD, by="AB", why="a laptop was stolen")
    keyring.journal.add("key", made.body or {})
    with pytest.raises(KeyUnusable, match="isn't signed by who must"):
        keyring.lives()


def test_rotating_ends_the_key_before(keyring: Keyring) -> None:
    first = keyring.make(OLD, by="AB").public.fingerprint
    second = keyring.rotate(OLD, NEW, by="AB", why="a year is over").public.fingerprint
    lives = keyring.lives()
    assert lives[second].after == first
    assert lives[second].revoked is None
    assert lives[first].until_turn == 2
    assert lives[first].counts_at(1)
    assert not lives[first].counts_at(2)
    assert keyring.unlocked(NEW).public.fingerprint == second


def test_a_revoked_key_signs_no_more(keyring: Keyring) -> None:
    keyring.make(OLD, by="AB")
    life = keyring.revoke(OLD, by="AB", why="a laptop was stolen")
    assert life.revoked == NOW
    assert life.why == "a laptop was stolen"
    with pytest.raises(KeyUnusable, match="no signing key"):
        keyring.unlocked(OLD)
    assert keyring.make(NEW, by="AB", why="in place of the revoked one").revoked is None


def test_a_missing_or_exchanged_file_is_told(keyring: Keyring) -> None:
    keyring.make(OLD, by="AB")
    (file,) = keyring.folder.iterdir()
    file.write_bytes(new_key().locked(OLD))
    with pytest.raises(KeyUnusable, match="another key"):
        keyring.unlocked(OLD)
    file.unlink()
    with pytest.raises(KeyUnusable, match="missing"):
        keyring.unlocked(OLD)


def test_statements_need_their_signatures() -> None:
    old, new, stranger = new_key(), new_key(), new_key()
    made = signed(statement("made", old.public, by="AB", why="first"), old)
    rotated = statement("rotated", new.public, by="AB", why="a year", after=old.public)
    first = next_entry(None, "key", made, about="", at=NOW)
    good = next_entry(first.link, "key", signed(rotated, old, new), about="", at=NOW)
    assert key_lives([first, good])[new.public.fingerprint].after == old.public.fingerprint
    bad_bodies = [
        signed(rotated, new),
        signed(rotated, old),
        signed(rotated, stranger, new),
        {**signed(rotated, old, new), "why": "another"},
        {**signed(rotated, old, new), "fingerprint": "0" * 64},
        {**signed(rotated, old, new), "signatures": {}},
        {"did": "made"},
        signed(statement("revoked", stranger.public, by="AB", why="x"), stranger),
    ]
    for body in bad_bodies:
        entry = next_entry(first.link, "key", body, about="", at=NOW)
        with pytest.raises(KeyUnusable, match="isn't signed by who must"):
            key_lives([first, entry])
    assert key_lives([replace(first, body=None)]) == {}


def test_a_statement_says_who_and_why() -> None:
    with pytest.raises(KeyUnusable, match="initials and a reason"):
        statement("made", new_key().public, by=" ", why="x")
