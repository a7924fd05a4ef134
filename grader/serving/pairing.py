"""Phones paired to a kitchen for a shift: a one-time code that is shown on the house computer, a token on the phone.

Codes live in memory for minutes and work once. Of tokens only the SHA-256 is kept, in a file, so that phones stay
paired when the house computer restarts, and whoever reads the file can't pass for one.
"""

import hashlib
import json
import secrets
from collections.abc import Callable
from contextlib import suppress
from dataclasses import asdict, dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Lock

CODE_LASTS = timedelta(minutes=5)
"""As long as somebody takes to fetch a phone and point it at the screen."""
_CODE_BYTES, _TOKEN_BYTES = 9, 32
PAIRED_AT_MOST = 50
_WRONG_AT_MOST = 20
"""Wrong codes within `CODE_LASTS` after which all open codes are dropped: nobody mistypes a scanned code so often."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Which kitchen and shift a phone is paired to, and until when (UTC)."""

    kitchen: str
    zone: str
    shift: str
    until: datetime


class Pairings:
    """All open codes and paired phones of this machine; any thread may ask."""

    def __init__(self, file: Path | None = None, *, clock: Callable[[], datetime] = lambda: datetime.now(UTC)) -> None:
        self._file, self._clock, self._lock = file, clock, Lock()
        self._codes: dict[str, tuple[Place, datetime]] = {}
        self._wrong: list[datetime] = []
        self._phones: dict[str, Place] = {} if file is None else _read(file)

    def new_code(self, place: Place) -> str:
        """A code that pairs one phone, once, within minutes."""
        code = secrets.token_urlsafe(_CODE_BYTES)
        with self._lock:
            self._forget_old()
            self._codes[_hash(code)] = (place, self._clock() + CODE_LASTS)
        return code

    def pair(self, code: str) -> str | None:
        """A phone's token for a code; None where the code is unknown, used or too old."""
        with self._lock:
            self._forget_old()
            found = self._codes.pop(_hash(code), None)
            if found is None or len(self._phones) >= PAIRED_AT_MOST:
                self._note_wrong()
                return None
            token = secrets.token_urlsafe(_TOKEN_BYTES)
            self._phones[_hash(token)] = found[0]
            self._write()
            return token

    def place(self, token: str | None) -> Place | None:
        """Where a phone is paired to; None where it isn't, or its shift is over."""
        if not token:
            return None
        with self._lock:
            found = self._phones.get(_hash(token))
            return found if found is not None and found.until > self._clock() else None

    def phones(self) -> tuple[Place, ...]:
        """The places of all phones that are paired now."""
        with self._lock:
            self._forget_old()
            return tuple(self._phones.values())

    def unpair_all(self, kitchen: str) -> int:
        """Let go of all phones of a kitchen; how many those were."""
        with self._lock:
            gone = [token for token, place in self._phones.items() if place.kitchen == kitchen]
            for token in gone:
                del self._phones[token]
            self._write()
            return len(gone)

    def _note_wrong(self) -> None:
        self._wrong.append(self._clock())
        if len(self._wrong) >= _WRONG_AT_MOST:
            self._codes.clear()
            self._wrong.clear()

    def _forget_old(self) -> None:
        now = self._clock()
        self._codes = {code: kept for code, kept in self._codes.items() if kept[1] > now}
        self._phones = {token: place for token, place in self._phones.items() if place.until > now}
        self._wrong = [at for at in self._wrong if at > now - CODE_LASTS]

    def _write(self) -> None:
        if self._file is None:
            return
        told = {token: {**asdict(place), "until": place.until.isoformat()} for token, place in self._phones.items()}
        self._file.parent.mkdir(parents=True, exist_ok=True)
        new = self._file.with_name(f".{self._file.name}.new")
        new.write_text(json.dumps(told), encoding="utf-8")
        new.chmod(0o600)
        new.replace(self._file)


def _hash(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


def _read(file: Path) -> dict[str, Place]:
    """What was kept; a file that can't be read pairs nobody."""
    with suppress(OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        told = json.loads(file.read_text(encoding="utf-8"))
        return {
            token: Place(**{**place, "until": datetime.fromisoformat(place["until"])}) for token, place in told.items()
        }
    return {}
