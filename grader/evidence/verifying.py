"""A bundle checked by a stranger: only the bundle, and what they were given another way."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from cryptography import x509

from grader.counted import counted
from grader.errors import GraderError
from grader.evidence.check import Check, Holds, guarded, left_open, no, yes
from grader.evidence.checks_of_chain import check_chain
from grader.evidence.checks_of_files import check_files, check_signature
from grader.evidence.checks_of_table import check_table
from grader.evidence.checks_of_time import check_times
from grader.evidence.errors import EvidenceRefused
from grader.evidence.looking import Done
from grader.evidence.manifest import Manifest, read_manifest
from grader.evidence.pack import unpack
from grader.evidence.plain_check import MANIFEST, NOT_PROVEN
from grader.evidence.regrading import check_numbers
from grader.printable import printable

_SHA256 = re.compile("[0-9a-fA-F]{64}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the reader knows from elsewhere, and how much is to be done; what is empty isn't asked.

    Attributes
    ----------
    key
        Fingerprint of the house's key.
    head
        Hash of a record of the chain that they were given on some day.
    lot
        The lot's number that the file must be of.
    roots
        Certificates of time-stamp servers that they trust.
    grading
        Grade the photos again.
    workers
        Processes at most; None for as many as the machine has cores.
    """

    key: str = ""
    head: str = ""
    lot: str = ""
    roots: tuple[x509.Certificate, ...] = ()
    grading: bool = True
    workers: int | None = None

    def __post_init__(self) -> None:
        """Refuse a hash that is none: mistyped, it is of no chain and no key, and that is no fault of the file's.

        Raises
        ------
        EvidenceRefused
            It isn't the 64 digits of a SHA-256.
        """
        hint = "It has 64 digits, 0 to 9 and a to f. Copy it again from what you were given."
        if self.head.strip() and not _SHA256.fullmatch(self.head.strip()):
            raise EvidenceRefused("The hash that you gave is no SHA-256.", hint=hint)
        if self.key.strip() and not _SHA256.fullmatch(self.key.replace(" ", "")):
            raise EvidenceRefused("The fingerprint that you gave is no SHA-256.", hint=hint)


@dataclass(frozen=True, slots=True, kw_only=True)
class Verified:
    """What came of all checks; `manifest` is None where the file couldn't be taken apart."""

    checks: tuple[Check, ...]
    manifest: Manifest | None

    @property
    def holds(self) -> bool:
        """Nothing doesn't hold."""
        return all(check.holds is not Holds.NO for check in self.checks)

    @property
    def headline(self) -> str:
        """In a sentence."""
        failed = sum(1 for check in self.checks if check.holds is Holds.NO)
        if failed:
            return f"This file does not hold: {failed} of {len(self.checks)} checks failed."
        left = sum(1 for check in self.checks if check.holds is Holds.OPEN)
        rest = f" {left} things stay open, as said below." if left else ""
        return f"This file holds as far as was checked.{rest}"


def verify(data: bytes, asked: Asked, *, done: Done | None = None) -> Verified:
    """Check a bundle; whatever is wrong with it comes out as a check, never as an exception."""
    try:
        contents = unpack(data)
    except GraderError as error:
        return Verified(checks=(no("file", error.message),), manifest=None)
    packed = yes("file", "The file is packed as a bundle is, with nothing before, between or behind.")
    try:
        manifest = read_manifest(contents.get(MANIFEST, b""))
    except GraderError as error:
        return Verified(checks=(packed, no("manifest", error.message)), manifest=None)
    checks = [packed, *_checks(contents, manifest, asked)]
    checks += _numbers(contents, manifest, asked, checks, done)
    return Verified(checks=tuple(checks), manifest=manifest)


def _checks(contents: Mapping[str, bytes], manifest: Manifest, asked: Asked) -> Iterator[Check]:
    yield from guarded("signature", check_signature, contents, manifest, asked.key)
    yield from guarded("files", check_files, contents, manifest)
    yield from check_table(contents, manifest)
    if asked.lot and asked.lot.strip() != manifest.lot:
        yield no("lot", f"The file is of the lot {manifest.lot or '(none)'}, not of {asked.lot}.")
    elif asked.lot:
        yield yes("lot", f"The file is of the lot {manifest.lot}.")
    yield from guarded("chain", check_chain, contents, manifest, asked.head)
    yield from guarded("time stamp", check_times, contents, manifest, asked.roots)


def _numbers(
    contents: Mapping[str, bytes], manifest: Manifest, asked: Asked, before: Sequence[Check], done: Done | None
) -> Iterator[Check]:
    if not asked.grading:
        yield left_open("numbers", "The photos were not graded again.")
    elif any(check.holds is Holds.NO and check.key in {"signature", "files"} for check in before):
        yield left_open("numbers", "The photos were not graded again: what lies in the file isn't what was signed.")
    else:
        yield from guarded("numbers", check_numbers, contents, manifest, workers=asked.workers, done=done)


def verified_lines(verified: Verified) -> Iterator[str]:
    """In plain words: what it is, what holds, what doesn't, what stays open, and what none of this proves.

    Nothing that the file says can make a line of its own, or hide one.
    """
    yield from map(printable, _lines(verified))


def _lines(verified: Verified) -> Iterator[str]:
    manifest = verified.manifest
    if manifest is not None:
        yield f"{manifest.about}{' (invented, an example)' if manifest.invented else ''}"
        plates = counted(len(manifest.plates), "plate")
        yield f"made on {manifest.made:%Y-%m-%d %H:%M} UTC by {manifest.made_by}, {plates}"
        yield ""
    yield verified.headline
    for holds, title in _TITLES:
        told = [check for check in verified.checks if check.holds is holds]
        if told:
            yield ""
            yield title
            yield from (f"  {check.key}: {check.words}" for check in told)
    yield ""
    yield "What a signature and these checks do not prove:"
    yield from (f"  - {words}" for words in NOT_PROVEN)


_TITLES = (
    (Holds.NO, "Does not hold:"),
    (Holds.YES, "Holds:"),
    (Holds.OPEN, "Stays open:"),
)
