"""Records chained: each holds the hash of the one before, so that one changed, moved or taken out shows.

A link says when it was kept, of what kind it is, what it is about and the hash of its body; the body itself may be left
out of what is handed over (it may be another supplier's) without breaking the chain. Who owns a chain can build all of
it anew overnight: only a head that others hold, or a time stamp, speaks against that.
"""

import hashlib
import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Literal, get_args

from grader.evidence.canonical import canonical, digest, read_canonical
from grader.evidence.errors import EvidenceRefused
from grader.evidence.moments import read_moment

Kind = Literal["key", "sealed", "drawn", "plate", "custody", "inspection", "anchor", "bundle"]
KINDS: tuple[Kind, ...] = get_args(Kind)
START = "0" * 64
"""What the first link holds for the hash of the one before."""
_FIELDS = {"about", "at", "before", "body", "kind", "turn"}


class ChainBroken(EvidenceRefused):
    """Links don't follow from one another."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """One record in the chain.

    Attributes
    ----------
    turn
        1, 2, ...
    at
        When it was kept, UTC, by the clock of the machine that kept it.
    about
        What it is about, as a tag (`tag_of` a supplier's lot); empty where it is about none.
    body
        SHA-256 of the body's canonical JSON.
    before
        `hash` of the link before; `START` in the first.
    """

    turn: int
    at: datetime
    kind: Kind
    about: str
    body: str
    before: str

    @property
    def content(self) -> dict[str, Any]:
        """As it is hashed."""
        return {
            "about": self.about,
            "at": self.at.isoformat(timespec="seconds"),
            "before": self.before,
            "body": self.body,
            "kind": self.kind,
            "turn": self.turn,
        }

    @property
    def hash(self) -> str:
        """What the next link holds."""
        return digest(self.content)


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A link with its body; None where the body is withheld."""

    link: Link
    body: dict[str, Any] | None


def tag_of(supplier: str, lot: str) -> str:
    """What names a lot in a link: others can tell links of one lot, but not whose they are."""
    return hashlib.sha256(f"{supplier}\n{lot}".encode()).hexdigest()[:16]


def next_entry(last: Link | None, kind: Kind, body: dict[str, Any], *, about: str, at: datetime) -> Entry:
    """A body as the next record.

    Raises
    ------
    ChainBroken
        The moment has no zone, or lies before that of the last record: a clock was put back.
    """
    if at.tzinfo is None:
        raise ChainBroken("A record's moment needs its zone.", hint="Report this, please.")
    at = at.astimezone(UTC).replace(microsecond=0)
    if last is not None and at < last.at:
        hint = "Set this machine's clock right, or wait until that moment has passed."
        raise ChainBroken(f"The last record is of {last.at:%Y-%m-%d %H:%M:%S} UTC, which is later than now.", hint=hint)
    link = Link(
        turn=1 if last is None else last.turn + 1,
        at=at,
        kind=kind,
        about=about,
        body=digest(body),
        before=START if last is None else last.hash,
    )
    return Entry(link=link, body=body)


def entry_line(entry: Entry) -> bytes:
    """A record as one line: its link and body, canonical JSON."""
    return canonical({"body": entry.body, "link": entry.link.content}) + b"\n"


def read_entry(line: bytes) -> Entry:
    """The record in a line.

    Raises
    ------
    ChainBroken
        It isn't one, or its body isn't the one that it was kept with.
    """
    try:
        told = read_canonical(line.rstrip(b"\n"))
        entry = _entry(told)
    except (EvidenceRefused, KeyError, TypeError, ValueError) as error:
        raise ChainBroken("A line of the chain is no record.", hint="Take the file as it was written.") from error
    if entry.body is not None and digest(entry.body) != entry.link.body:
        raise ChainBroken(f"Record {entry.link.turn} was changed.", hint="Take the file as it was written.")
    return entry


def _entry(told: Any) -> Entry:
    if set(told) != {"body", "link"} or set(told["link"]) != _FIELDS:
        raise ValueError(told)
    link = told["link"]
    at = read_moment(link["at"])
    texts = all(isinstance(link[name], str) for name in ("about", "at", "before", "body"))
    if not texts or type(link["turn"]) is not int or link["kind"] not in KINDS:
        raise ValueError(link)
    body = told["body"]
    if body is not None and not isinstance(body, dict):
        raise ValueError(body)
    made = Link(**{**link, "at": at})
    if made.content != link:
        raise ValueError(link)
    return Entry(link=made, body=body)


def plates_of(entries: Sequence[Entry], tag: str) -> tuple[Entry, ...]:
    """The records of a lot's plates, and those of the same photos for another lot: plates that were moved."""
    plates = [entry for entry in entries if entry.link.kind == "plate"]
    photos = {str(entry.body.get("photo")) for entry in plates if entry.link.about == tag and entry.body is not None}
    return tuple(
        entry
        for entry in plates
        if entry.link.about == tag or (entry.body is not None and str(entry.body.get("photo")) in photos)
    )


def read_entries(data: bytes) -> tuple[Entry, ...]:
    """All records of a file, a line each; see `read_entry` for what is raised."""
    if data and not data.endswith(b"\n"):
        raise ChainBroken("The chain's last line is cut short.", hint="Take the file as it was written.")
    return tuple(read_entry(line) for line in data.splitlines(keepends=True))


def check_links(links: Sequence[Link]) -> None:
    """Refuse links that don't follow from one another, wherever they begin.

    Raises
    ------
    ChainBroken
        With the first that doesn't fit.
    """
    if links and links[0].turn == 1 and links[0].before != START:
        raise ChainBroken("The chain's first record names one before it.", hint="It was built anew, or cut.")
    for last, link in itertools.pairwise(links):
        if link.turn != last.turn + 1 or link.before != last.hash:
            told = f"Record {link.turn} doesn't follow from record {last.turn}: one was changed, moved or taken out."
            raise ChainBroken(told, hint="Ask for the chain as it was written.")
        if link.at < last.at:
            told = f"Record {link.turn} bears an earlier moment than record {last.turn}: a clock was moved."
            raise ChainBroken(told, hint="Ask for the chain as it was written.")
