"""A case made into one signed file."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from grader.evidence.canonical import canonical
from grader.evidence.chain import entry_line
from grader.evidence.custody import clock_words
from grader.evidence.errors import EvidenceRefused
from grader.evidence.keys import SigningKey
from grader.evidence.manifest import (
    ATTACHED,
    CHAIN,
    CUSTODY,
    DECISION,
    DOSSIER,
    EDITION,
    FRIES,
    STAMP,
    STAMP_ROOT,
    STANDARD,
    listed,
    manifest_bytes,
    names_of,
)
from grader.evidence.model import Case
from grader.evidence.pack import pack, unpack
from grader.evidence.plain_check import HOW_TO, KEY, MANIFEST, SIGNATURE, SUMS, how_to_check, sums
from grader.evidence.what_may_be_claimed import claimable
from grader.records.json_values import Json
from grader.records.readings import json_bytes, standing_record, verdict_record
from grader.records.summary import BatchEntry, PhotoEntry, fries_csv
from grader.standard import standard_sha256, write_standard

TOLERANCE = 0.1
"""Of a number's standard uncertainty: how far it may be off when it is graded again on another machine."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sealed:
    """The file's bytes, and the manifest that stands for them."""

    data: bytes
    manifest: bytes


def seal(case: Case, dossier: bytes, key: SigningKey) -> Sealed:
    """Pack a case with its dossier and sign it.

    Raises
    ------
    EvidenceRefused
        The case has no plates, its chain is empty, or it would be too large.
    """
    if not case.plates or not case.entries:
        raise EvidenceRefused("There is nothing to seal.", hint="Choose a lot or batch that has plates.")
    contents = {**_contents(case), DOSSIER: dossier, KEY: key.public.pem, HOW_TO: how_to_check(key.public)}
    contents[SUMS] = sums(contents)
    manifest = manifest_bytes(_manifest(case, contents, key))
    signed = {MANIFEST: manifest, SIGNATURE: key.sign(manifest)}
    return Sealed(data=pack({**contents, **signed}), manifest=manifest)


def with_stamp(bundle: bytes, stamp: bytes, root_pem: bytes) -> bytes:
    """The same bundle with a time stamp of its signature, and the certificate that vouches for it.

    Raises
    ------
    BundleUnreadable
        It is no bundle.
    """
    return pack({**unpack(bundle), STAMP: stamp, STAMP_ROOT: root_pem})


def _contents(case: Case) -> dict[str, bytes]:
    contents = {
        STANDARD: write_standard(case.standard).encode(),
        FRIES: fries_csv([_as_batch(case)], standard=case.standard),
        CHAIN: b"".join(entry_line(entry) for entry in case.entries),
        CUSTODY: canonical(_custody(case)),
        DECISION: json_bytes(decision_record(case)),
    }
    for turn, plate in enumerate(case.plates, 1):
        names = names_of(turn, plate.graded.name)
        contents |= {names.photo: plate.data, names.readings: plate.looked.readings, names.labels: plate.looked.labels}
    contents |= _numbered("card-values", ".toml", case.card_values)
    contents |= _numbered("trueness", ".json", case.studies)
    contents |= {f"{ATTACHED}/{one.name}": one.data for one in case.attached}
    return contents


def _numbered(folder: str, suffix: str, documents: Mapping[str, bytes]) -> dict[str, bytes]:
    return {f"{folder}/{turn:03}{suffix}": data for turn, (_, data) in enumerate(sorted(documents.items()), 1)}


def decision_record(case: Case) -> Json:
    """What was asked and what came out, and what of it may be claimed."""
    told = claimable(case)
    return {
        "claim": verdict_record(case.verdict),
        "again": verdict_record(case.again),
        "release": verdict_record(case.release),
        "may_be_claimed": [limit.key for limit in told.limits],
        "shown_only": [limit.key for limit in told.shown_only],
        "face": told.face,
        "colour_words": told.colour_words,
        "standing": standing_record(told.standing),
        "method_version": case.method_version,
        "gauge": list(case.gauge),
        "attached": [{"name": one.name, "words": one.words} for one in case.attached],
    }


def _custody(case: Case) -> dict[str, Any]:
    return {
        "plates": [
            {
                "arrived_at": plate.clocks.arrived.isoformat(timespec="seconds"),
                "batch": plate.batch,
                "brought_by": plate.by,
                "camera_time": plate.looked.camera_time,
                "compared": clock_words(plate.clocks),
                "kitchen": plate.kitchen,
                "mends_left_out": list(plate.mends),
                "photo": plate.graded.name,
                "sha256": plate.graded.sha256,
                "turn": turn,
            }
            for turn, plate in enumerate(case.plates, 1)
        ]
    }


def _as_batch(case: Case) -> BatchEntry:
    photos = tuple(
        PhotoEntry(stem=f"{turn:03}", source=plate.batch, graded=plate.graded)
        for turn, plate in enumerate(case.plates, 1)
    )
    return BatchEntry(name=case.about, photos=photos, verdict=case.verdict)


def _manifest(case: Case, contents: Mapping[str, bytes], key: SigningKey) -> dict[str, Any]:
    plates = []
    for turn, plate in enumerate(case.plates, 1):
        names = names_of(turn, plate.graded.name)
        plates.append(
            {
                "labels": names.labels,
                "name": plate.graded.name,
                "photo": names.photo,
                "readings": names.readings,
                "second_of": plate.second_of,
                "sha256": plate.graded.sha256,
                "turn": turn,
            }
        )
    return {
        "about": case.about,
        "edition": EDITION,
        "files": listed(contents),
        "graded_on": case.graded_on.isoformat(),
        "head": case.entries[-1].link.hash,
        "invented": case.invented,
        "key": key.public.fingerprint,
        "lot": case.lot,
        "made_at": case.made_at.isoformat(timespec="seconds"),
        "made_by": case.made_by,
        "method_version": case.method_version,
        "plates": plates,
        "question": "claim",
        "stage": case.standard.stage,
        "standard_sha256": standard_sha256(case.standard),
        "statement": case.statement,
        "supplier": case.supplier,
        "tag": case.tag,
        "tolerance": TOLERANCE,
    }
