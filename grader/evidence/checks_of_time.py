"""Time stamps: those of the chain's newest record on some day, and that of the bundle itself."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta

from cryptography import x509

from grader.evidence.anchors import stamp_in
from grader.evidence.chain import Entry, read_entries
from grader.evidence.check import Check, guarded, left_open, no, yes
from grader.evidence.manifest import CHAIN, STAMP, STAMP_ROOT, Manifest
from grader.evidence.plain_check import SIGNATURE
from grader.evidence.stamps import Stamped, check_stamp, read_roots

CLOCKS_APART = timedelta(minutes=5)
"""A server's clock and the house's may differ by so much (house default, no source)."""
_AFTERWARDS = timedelta(days=7)
"""A stamp so much later than what it covers says little: the chain could have been built anew until then."""


def check_times(
    contents: Mapping[str, bytes], manifest: Manifest, roots: Sequence[x509.Certificate]
) -> Iterator[Check]:
    """All stamps; `roots` are certificates that the reader trusts, none where they named none."""
    entries = read_entries(contents.get(CHAIN, b""))
    anchors = [entry for entry in entries if entry.link.kind == "anchor" and entry.body is not None]
    for entry in anchors:
        yield from guarded("anchor", _anchor, entry, entries, roots)
    if not anchors:
        told = "The chain was anchored nowhere outside: until this file was made its owner could have built it anew."
        yield left_open("anchor", told)
    if STAMP not in contents:
        yield left_open("time stamp", "There is no time stamp of this file: its moment is the maker's word.")
        return
    yield from guarded("time stamp", _of_file, contents, manifest, roots)


def _anchor(entry: Entry, entries: Sequence[Entry], roots: Sequence[x509.Certificate]) -> Iterator[Check]:
    body = entry.body or {}
    covered = next((one.link for one in entries if one.link.turn == body.get("turn")), None)
    if covered is not None and covered.hash != body.get("head"):
        yield no("anchor", f"Record {entry.link.turn} anchors another hash than record {body.get('turn')} has.")
        return
    if covered is None:
        outside = (
            f"Record {entry.link.turn} anchors a record that isn't in this file, which says nothing of those here."
        )
        yield left_open("anchor", outside)
        return
    stamped = stamp_in(body, roots)
    if stamped is None:
        told = f"{body.get('way')}, to {body.get('to')}, on {entry.link.at:%Y-%m-%d}: compare it with what you hold."
        yield left_open("anchor", f"Record {body.get('turn')} was handed out: {told} Its hash: {body.get('head')}")
        return
    if stamped.at < covered.at - CLOCKS_APART:
        yield no("anchor", f"The time stamp of record {covered.turn} is older than the record: a clock was moved.")
        return
    if stamped.at > entry.link.at + CLOCKS_APART:
        later = f"Record {entry.link.turn} holds a time stamp that is younger than the record: it was written later."
        yield no("anchor", later)
        return
    yield from _told(f"Record {covered.turn} of the chain", stamped, covered.at, roots, "anchor")


def _of_file(contents: Mapping[str, bytes], manifest: Manifest, roots: Sequence[x509.Certificate]) -> Iterator[Check]:
    stamped = check_stamp(
        contents[STAMP], contents.get(SIGNATURE, b""), roots or read_roots(contents.get(STAMP_ROOT, b""))
    )
    if stamped.at < manifest.made - CLOCKS_APART:
        yield no("time stamp", "The file says that it was made after its time stamp: a clock was moved.")
        return
    yield from _told("This file", stamped, manifest.made, roots, "time stamp")


def _told(what: str, stamped: Stamped, made: datetime, roots: Sequence[x509.Certificate], key: str) -> Iterator[Check]:
    seen = f"{what} was there on {stamped.at:%Y-%m-%d %H:%M:%S} UTC, says {stamped.authority}."
    if not roots:
        own = "You named no certificate to trust, so that rests on the one in this file."
        yield left_open(key, f"{seen} {own}")
    else:
        yield yes(key, f"{seen} You trust the certificate that vouches for it.")
    if stamped.at > made + _AFTERWARDS:
        yield left_open(
            key, f"That is {(stamped.at - made).days} days after it was made: until then it stood on its own."
        )
