"""The house's signing keys on disk: encrypted files beside the chain, and the acts that the chain tells of."""

from dataclasses import dataclass
from pathlib import Path

from grader.evidence.errors import KeyUnusable
from grader.evidence.journal import Journal
from grader.evidence.key_history import KeyLife, key_lives, signed, statement
from grader.evidence.keys import SigningKey, check_passphrase, new_key, unlock
from grader.new_files import write_private

FOLDER = "keys"
_MAKE_ONE = "Make one: python -m grader evidence keys make."


@dataclass(frozen=True, slots=True, kw_only=True)
class Keyring:
    """Keys of a house; `journal` is its chain."""

    journal: Journal

    @property
    def folder(self) -> Path:
        """Where the files lie."""
        return self.journal.folder / FOLDER

    def lives(self) -> dict[str, KeyLife]:
        """All keys that were ever made, by fingerprint."""
        return key_lives(self.journal.of_kind("key"))

    def current(self) -> KeyLife:
        """The key that signs now.

        Raises
        ------
        KeyUnusable
            There is none.
        """
        counting = [life for life in self.lives().values() if life.revoked is None]
        if not counting:
            raise KeyUnusable("There is no signing key.", hint=_MAKE_ONE)
        return counting[-1]

    def make(self, passphrase: str, *, by: str, why: str = "first key") -> KeyLife:
        """Make a key, where there is none that counts.

        Raises
        ------
        KeyUnusable
            There is one, or the passphrase is too short.
        """
        if any(life.revoked is None for life in self.lives().values()):
            raise KeyUnusable("There is a key already.", hint="Rotate it: python -m grader evidence keys rotate.")
        key = new_key()
        told = signed(statement("made", key.public, by=by, why=why), key)
        self._write(key, passphrase)
        self.journal.add("key", told)
        return self.current()

    def rotate(self, passphrase: str, new_passphrase: str, *, by: str, why: str) -> KeyLife:
        """Make a key that takes over from the current one, which signs it and then signs no more."""
        check_passphrase(new_passphrase)
        before, after = self.unlocked(passphrase), new_key()
        told = signed(statement("rotated", after.public, by=by, why=why, after=before.public), before, after)
        self._write(after, new_passphrase)
        self.journal.add("key", told)
        return self.current()

    def revoke(self, passphrase: str, *, by: str, why: str) -> KeyLife:
        """End the current key: what is signed with it from now on counts for nothing."""
        key = self.unlocked(passphrase)
        self.journal.add("key", signed(statement("revoked", key.public, by=by, why=why), key))
        return self.lives()[key.public.fingerprint]

    def unlocked(self, passphrase: str) -> SigningKey:
        """The current key, ready to sign; see `unlock` for what is raised."""
        life = self.current()
        path = self._path(life.public.fingerprint)
        try:
            pem = path.read_bytes()
        except FileNotFoundError as error:
            hint = f"Put it back from a copy: {path}. If it is lost, make a new key where the chain is begun anew."
            raise KeyUnusable("The current key's file is missing.", hint=hint) from error
        key = unlock(pem, passphrase)
        if key.public != life.public:
            raise KeyUnusable("The key's file holds another key.", hint=f"Put it back from a copy: {path}.")
        return key

    def _path(self, fingerprint: str) -> Path:
        return self.folder / f"{fingerprint[:16]}.pem"

    def _write(self, key: SigningKey, passphrase: str) -> None:
        pem = key.locked(passphrase)
        self.folder.mkdir(parents=True, exist_ok=True)
        write_private(self._path(key.public.fingerprint), pem)  # on disk before the chain names the key
