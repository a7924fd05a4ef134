"""The chain's newest hash given to somebody outside, so that the chain can't be built anew unseen.

By a time stamp of its 64 letters, or on paper, or by mail to both sides; the chain itself says what was done.
"""

import base64
import binascii
from collections.abc import Mapping, Sequence
from typing import Any

from cryptography import x509

from grader.evidence.chain import Entry
from grader.evidence.errors import EvidenceRefused, StampUnusable
from grader.evidence.journal import Journal
from grader.evidence.stamps import Stamped, check_stamp, fetch_stamp, read_roots, stamp_request

_NOTHING = "There is no record to anchor yet."


def anchor_by_stamp(journal: Journal, url: str, root_pem: bytes) -> Entry:
    """Have a server stamp the newest record's hash, and keep that in the chain.

    Raises
    ------
    StampUnusable
        No stamp is to be had that holds.
    EvidenceRefused
        The chain is empty.
    """
    head = _head(journal)
    data = head["head"].encode()
    reply = fetch_stamp(url, stamp_request(data), data, read_roots(root_pem))
    told = {"reply": base64.b64encode(reply).decode(), "root": root_pem.decode("ascii"), "to": url, "way": "time stamp"}
    return journal.add("anchor", {**head, **told})


def anchor_by_hand(journal: Journal, *, way: str, to: str, by: str) -> Entry:
    """Keep that the newest record's hash was handed to somebody ("printed", "mailed").

    Raises
    ------
    EvidenceRefused
        The chain is empty, or it isn't said to whom.
    """
    head = _head(journal)
    if not way.strip() or not to.strip() or not by.strip():
        hint = f"Nothing was kept. Hand out record {head['turn']}, {head['head']}, and name --to, --way and --by."
        raise EvidenceRefused("It must be said how the hash was handed out, to whom, by whom.", hint=hint)
    return journal.add("anchor", {**head, "by": by, "to": to, "way": way})


def _head(journal: Journal) -> dict[str, Any]:
    head = journal.head()
    if head is None:
        raise EvidenceRefused(_NOTHING, hint="Keep plates, seal a plan or make a key first.")
    return {"head": head.hash, "turn": head.turn}


def head_words(entry: Entry) -> str:
    """For paper or mail: what to keep."""
    body = entry.body or {}
    return f"Record {body['turn']} of our chain of records has the SHA-256 {body['head']}."


def stamp_in(body: Mapping[str, Any], roots: Sequence[x509.Certificate]) -> Stamped | None:
    """The stamp that an anchor holds, by trusted roots or else by the certificate beside it; None where it has none.

    Raises
    ------
    StampUnusable
        It doesn't hold.
    """
    if "reply" not in body:
        return None
    try:
        reply = base64.b64decode(body["reply"], validate=True)
        own = read_roots(body["root"].encode())
        data = body["head"].encode()
    except (KeyError, TypeError, AttributeError, binascii.Error, ValueError) as error:
        raise StampUnusable("An anchor of the chain is faulty.", hint="Ask for the chain as it was written.") from error
    return check_stamp(reply, data, roots or own)
