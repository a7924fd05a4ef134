"""Whether a bundle's manifest is signed and its files are the signed ones."""

import hashlib
from collections.abc import Iterator, Mapping

from grader.evidence.check import Check, left_open, no, yes
from grader.evidence.keys import SIGNATURE_BYTES, in_groups, read_public
from grader.evidence.manifest import (
    CHAIN,
    CUSTODY,
    DECISION,
    DOSSIER,
    FRIES,
    OUTSIDE,
    STAMP,
    STAMP_ROOT,
    STANDARD,
    Manifest,
)
from grader.evidence.plain_check import HOW_TO, KEY, MANIFEST, SIGNATURE, SUMS, sums

_MUST = frozenset({MANIFEST, SIGNATURE, KEY, SUMS, HOW_TO, DOSSIER, CHAIN, CUSTODY, DECISION, FRIES, STANDARD})


def check_signature(contents: Mapping[str, bytes], manifest: Manifest, expected: str) -> Iterator[Check]:
    """Signature and key; `expected` is the fingerprint that the reader was given another way, or empty."""
    key = read_public(contents.get(KEY, b""))
    if key.fingerprint != manifest.key:
        yield no("key", "The key in the file isn't the one that the manifest names: one of them was exchanged.")
    signature = contents.get(SIGNATURE, b"")
    if len(signature) == SIGNATURE_BYTES and key.verifies(signature, contents[MANIFEST]):
        yield yes("signature", "The manifest was signed with this key, and not changed since.")
    else:
        yield no("signature", "The signature isn't this key's over this manifest: one of the three was changed.")
    if not expected:
        told = f"Compare this fingerprint with the one that you were given another way: {key.spoken}"
        yield left_open("whose key", told)
    elif expected.replace(" ", "").lower() == key.fingerprint:
        yield yes("whose key", "The key is the one whose fingerprint you gave.")
    else:
        told = f"The key isn't the one whose fingerprint you gave. In the file: {in_groups(key.fingerprint)}"
        yield no("whose key", told)


def check_files(contents: Mapping[str, bytes], manifest: Manifest) -> Iterator[Check]:
    """Every file against the manifest."""
    listed = {file.name: file for file in manifest.files}
    here = set(contents) - OUTSIDE
    changed = sorted(
        name
        for name in here & set(listed)
        if len(contents[name]) != listed[name].bytes or _sha256(contents[name]) != listed[name].sha256
    )
    faults = [f"File {name} was changed." for name in changed]
    faults += [f"File {name} is missing." for name in sorted((set(listed) | _MUST) - set(contents))]
    faults += [f"File {name} was added." for name in sorted(here - set(listed))]
    for plate in manifest.plates:
        photo = listed.get(plate.photo)
        if photo is None or photo.sha256 != plate.sha256 or not {plate.readings, plate.labels} <= set(listed):
            faults.append(f"Plate {plate.turn} names files that aren't its own.")
    if (STAMP in contents) != (STAMP_ROOT in contents):
        faults.append("Of the time stamp and its certificate one is missing.")
    if not faults and contents[SUMS] != sums({name: contents[name] for name in here - {SUMS}}):
        faults.append(f"The list {SUMS} isn't of these files.")
    if faults:
        yield no("files", " ".join(faults[:12]))
    else:
        yield yes("files", f"All {len(listed)} files are those that were signed.")


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
