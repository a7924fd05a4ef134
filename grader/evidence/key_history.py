"""What became of signing keys: made, rotated, revoked; each a signed statement that stands in the chain.

Whoever rotates signs the new key with the old one, so that who trusted the old may trust the new.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal, get_args

from grader.evidence.canonical import canonical
from grader.evidence.chain import Entry, Link
from grader.evidence.errors import KeyUnusable
from grader.evidence.keys import PublicKey, SigningKey

Did = Literal["made", "rotated", "revoked"]
_SIGNATURES = "signatures"


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyLife:
    """One key, as the chain tells it: since when it counts, and when it was revoked (None where it wasn't) and why.

    `after` is the fingerprint of the key that it took over from; empty in the first. `since_turn`, `until_turn` are the
    records' places in the chain.
    """

    public: PublicKey
    by: str
    since: datetime
    since_turn: int
    after: str = ""
    revoked: datetime | None = None
    until_turn: int | None = None
    why: str = ""

    def counts_at(self, turn: int) -> bool:
        """Whether it may sign what is kept after that record."""
        return self.since_turn <= turn and (self.until_turn is None or turn < self.until_turn)


def statement(did: Did, key: PublicKey, *, by: str, why: str, after: PublicKey | None = None) -> dict[str, Any]:
    """What is to be said of a key, not signed yet."""
    if not by.strip() or not why.strip():
        raise KeyUnusable("A statement about a key needs initials and a reason.", hint="Give both --by and --why.")
    return {
        "after": "" if after is None else after.fingerprint,
        "by": by,
        "did": did,
        "fingerprint": key.fingerprint,
        "key": key.raw.hex(),
        "why": why,
    }


def signed(told: Mapping[str, Any], *signers: SigningKey) -> dict[str, Any]:
    """The statement with the signatures of these keys."""
    data = canonical(dict(told))
    return {**told, _SIGNATURES: {key.public.fingerprint: key.sign(data).hex() for key in signers}}


def key_lives(entries: Iterable[Entry]) -> dict[str, KeyLife]:
    """All keys that the chain names, by fingerprint; rotating a key ends the one before.

    Raises
    ------
    KeyUnusable
        A statement isn't signed by who must sign it.
    """
    lives: dict[str, KeyLife] = {}
    for entry in entries:
        if entry.link.kind == "key" and entry.body is not None:
            _tell(lives, entry.body, entry.link)
    return lives


def _tell(lives: dict[str, KeyLife], body: Mapping[str, Any], link: Link) -> None:
    try:
        key = PublicKey(raw=bytes.fromhex(body["key"]))
        did, after, by, why = body["did"], body["after"], body["by"], body["why"]
        held = key.fingerprint == body["fingerprint"] and did in get_args(Did) and all(map(_text, (after, by, why)))
        signers = _signers(body, {key.fingerprint: key, **{name: life.public for name, life in lives.items()}})
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise _faulty(link) from error
    if not held:
        raise _faulty(link)
    if did == "revoked":
        _revoke(lives, key.fingerprint, signers, link, why)
        return
    known = after in lives and lives[after].revoked is None
    again = key.fingerprint in lives  # else an ended key would come back to life by its first statement
    if again or key.fingerprint not in signers or (did == "rotated" and not (known and after in signers)):
        raise _faulty(link)
    lives[key.fingerprint] = KeyLife(public=key, by=by, since=link.at, since_turn=link.turn, after=after)
    if did == "rotated":
        lives[after] = _ended(lives[after], link, "rotated")


def _revoke(lives: dict[str, KeyLife], fingerprint: str, signers: set[str], link: Link, why: str) -> None:
    """By itself, or by another key of the house where its passphrase is lost."""
    if fingerprint not in lives or not signers:
        raise _faulty(link)
    lives[fingerprint] = _ended(lives[fingerprint], link, why)


def _ended(life: KeyLife, link: Link, why: str) -> KeyLife:
    return KeyLife(
        public=life.public,
        by=life.by,
        since=life.since,
        since_turn=life.since_turn,
        after=life.after,
        revoked=link.at,
        until_turn=link.turn,
        why=why,
    )


def _signers(body: Mapping[str, Any], keys: Mapping[str, PublicKey]) -> set[str]:
    """Whose signatures hold; one that doesn't, or of a stranger, spoils the statement."""
    data = canonical({name: value for name, value in body.items() if name != _SIGNATURES})
    for name, signature in body[_SIGNATURES].items():
        if name not in keys or not keys[name].verifies(bytes.fromhex(signature), data):
            raise ValueError(name)
    return set(body[_SIGNATURES])


def _text(value: Any) -> bool:
    return isinstance(value, str)


def _faulty(link: Link) -> KeyUnusable:
    return KeyUnusable(
        f"Record {link.turn}, on a signing key, isn't signed by who must sign it.", hint="Don't trust it."
    )
