"""The manifest: what a bundle holds, each file with its hash; the one text that is signed."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import PurePath
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from grader.errors import dotted
from grader.evidence.canonical import canonical, read_canonical
from grader.evidence.errors import BundleUnreadable, EvidenceRefused
from grader.evidence.moments import read_day, read_moment
from grader.evidence.pack import may_be_called
from grader.evidence.plain_check import MANIFEST, SIGNATURE

EDITION = 1
STAMP, STAMP_ROOT = "manifest.tsr", "manifest-tsa.pem"
OUTSIDE = frozenset({MANIFEST, SIGNATURE, STAMP, STAMP_ROOT})
"""Files that can't stand in the manifest: itself, and what is made of it later."""
BYTES_AT_MOST = 20_000_000
CHAIN, CUSTODY, DECISION, DOSSIER, FRIES, STANDARD = (
    "chain.jsonl",
    "custody.json",
    "decision.json",
    "dossier.pdf",
    "fries.csv",
    "standard.toml",
)
ATTACHED = "attached"
"""The folder of what its maker adds."""
_HINT = "Ask for the file as it was made."

_Sha256 = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
_Words = Annotated[str, Field(max_length=8000)]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)


class File(_Part):
    """One file: its name, size and hash."""

    name: str
    bytes: Annotated[int, Field(ge=0)]
    sha256: _Sha256


class PlateFiles(_Part):
    """Where a plate's files are, its photo's name and hash; `second_of` is the turn of its first one, or 0."""

    turn: Annotated[int, Field(ge=1)]
    photo: str
    readings: str
    labels: str
    name: _Words
    sha256: _Sha256
    second_of: Annotated[int, Field(ge=0)]


class Manifest(_Part):
    """What a bundle says of itself.

    Attributes
    ----------
    tag
        What records of the chain about these plates bear.
    head
        Hash of the last record of the chain that lies in it.
    graded_on
        The day by which cards' values and studies counted.
    tolerance
        What share of its standard uncertainty a number may be off by when it is graded again.
    key
        Fingerprint of the key that signs.
    """

    edition: Literal[1]
    about: _Words
    supplier: _Words
    lot: _Words
    tag: Annotated[str, Field(max_length=64)]
    made_at: str
    made_by: _Words
    method_version: _Words
    standard_sha256: _Sha256
    stage: Literal["blanched", "finished", "held"]
    question: Literal["claim"]
    graded_on: str
    tolerance: Annotated[float, Field(gt=0, le=0.1)]
    key: _Sha256
    head: _Sha256
    statement: _Words
    invented: bool
    plates: list[PlateFiles]
    files: list[File]

    @property
    def made(self) -> datetime:
        """The moment of making, by the maker's clock."""
        return read_moment(self.made_at)

    @property
    def graded_day(self) -> date:
        """`graded_on` as a day."""
        return read_day(self.graded_on)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateNames:
    """The names of one plate's files in a bundle."""

    photo: str
    readings: str
    labels: str


def names_of(turn: int, photo_name: str) -> PlateNames:
    """By its turn from 1; the photo keeps its ending where that is a plain one."""
    suffix = PurePath(photo_name).suffix.lower()
    suffix = suffix if may_be_called(f"x{suffix}") and 1 < len(suffix) < 7 else ""
    stem = f"plates/{turn:03}"
    return PlateNames(photo=f"{stem}.photo{suffix}", readings=f"{stem}.json", labels=f"{stem}.labels.png")


def listed(contents: Mapping[str, bytes]) -> list[dict[str, Any]]:
    """The manifest's list of files."""
    return [
        {"bytes": len(data), "name": name, "sha256": hashlib.sha256(data).hexdigest()}
        for name, data in sorted(contents.items())
    ]


def manifest_bytes(facts: Mapping[str, Any]) -> bytes:
    """The manifest's text, checked.

    Raises
    ------
    EvidenceRefused
        It would not be read again.
    """
    data = canonical(dict(facts))
    read_manifest(data)
    return data


def read_manifest(data: bytes) -> Manifest:
    """The manifest in its text.

    Raises
    ------
    BundleUnreadable
        It isn't canonical, or no manifest of this edition.
    """
    if len(data) > BYTES_AT_MOST:
        raise BundleUnreadable("The manifest is larger than one can be.", hint=_HINT)
    try:
        manifest = Manifest.model_validate(read_canonical(data))
    except ValidationError as error:
        first = error.errors()[0]
        told = f"{dotted(first['loc']) or 'it'}: {first['msg']}"
        raise BundleUnreadable(f"The manifest isn't one that this program knows ({told}).", hint=_HINT) from error
    except (EvidenceRefused, ValueError) as error:
        raise BundleUnreadable(f"The manifest can't be read: {error}", hint=_HINT) from error
    names = [file.name for file in manifest.files]
    if len(set(names)) != len(names) or OUTSIDE & set(names):
        raise BundleUnreadable("The manifest contradicts itself.", hint=_HINT)
    _check_times(manifest)
    return manifest


def _check_times(manifest: Manifest) -> None:
    try:
        read_moment(manifest.made_at)
        read_day(manifest.graded_on)
    except ValueError as error:
        told = "The manifest's moment or day isn't written as this program writes them."
        raise BundleUnreadable(told, hint=_HINT) from error
