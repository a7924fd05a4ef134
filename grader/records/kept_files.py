"""One version of a kept standard as a file: the standard's text, below it who kept it, when and why, and a seal.

The seal is the hash of all above it; each version names the seal of the one before.
"""

import hashlib
import tomllib
from dataclasses import dataclass
from datetime import datetime

from grader.standard import read_standard, write_standard
from grader.standard.model import Standard
from grader.toml_text import toml_document

_KEPT, _SEAL = "\n[kept]\n", 'seal = "'


@dataclass(frozen=True, slots=True, kw_only=True)
class Signed:
    """Who keeps a standard, when, and why."""

    by: str
    at: datetime
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """One version of a kept standard.

    Attributes
    ----------
    key, turn
        What the house calls the standard on the command line; which of its versions this is, from 1.
    sha256
        Of the standard's text: results name it.
    seal, before
        Of the whole file, and of that of the version before; empty where there is none.
    """

    key: str
    turn: int
    standard: Standard
    signed: Signed
    sha256: str
    seal: str
    before: str


def kept_text(standard: Standard, signed: Signed, *, before: str) -> str:
    """The text of the file; `before` is the seal of the version before."""
    entries = toml_document({"by": signed.by, "at": signed.at, "why": signed.why, "before": before})
    text = f"{write_standard(standard)}{_KEPT}{entries}"
    return f'{text}{_SEAL}{_sha256(text)}"\n'


def read_kept(data: bytes, *, key: str, turn: int) -> Kept | None:
    """The version in a file's bytes; None where they aren't what the program wrote."""
    try:
        text = data.decode("utf-8")
        standard, _, below = text.rpartition(_KEPT)
        fields = tomllib.loads(below)
        if fields["seal"] != _sha256(text[: text.rindex(_SEAL)]):
            return None
        return Kept(
            key=key,
            turn=turn,
            standard=read_standard(standard, name=key),
            signed=Signed(by=fields["by"], at=fields["at"], why=fields["why"]),
            sha256=_sha256(standard),
            seal=fields["seal"],
            before=fields["before"],
        )
    except (ValueError, KeyError, RecursionError):  # no UTF-8, no TOML, no standard, nothing below it
        return None


def _sha256(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()
