"""Sealed files, chains, keys and time stamps, as a stranger hands them in."""

from collections.abc import Callable, Sequence
from pathlib import Path
from random import Random

from grader.errors import GraderError
from grader.evidence.canonical import read_canonical
from grader.evidence.chain import check_links, read_entries
from grader.evidence.errors import EvidenceRefused
from grader.evidence.keys import new_key, read_public, unlock
from grader.evidence.manifest import read_manifest
from grader.evidence.pack import pack, unpack
from grader.evidence.plain_check import MANIFEST, SUMS, sums
from grader.evidence.stamps import check_stamp, read_roots, stamp_request
from grader.evidence.verifying import Asked, verify
from tests.evidence import cases
from tests.evidence.stamp_server import authority
from tests.fuzz.mutating import BYTES, JSON, TEXT
from tests.fuzz.structures import change_zip
from tests.fuzz.target import Read, Target

DATA = b"what is stamped"


def _kept(scratch: Path, name: str, make: Callable[[], bytes]) -> bytes:
    """Made once for both processes: keys are new each time."""
    file = scratch / name
    if not file.exists():
        file.write_bytes(make())
    return file.read_bytes()


def _bundle(scratch: Path) -> bytes:
    return _kept(scratch, "bundle.zip", lambda: cases.bundle(cases.house(scratch / "house")))


def _bundles(scratch: Path) -> Sequence[bytes]:
    return [_bundle(scratch)]


def change_packed(random: Random, data: bytes) -> bytes:
    """A file inside changed, and packed anew as a bundle is; the list of sums made right again half of the time."""
    try:
        contents = unpack(data)
    except EvidenceRefused:
        return data
    name = random.choice(sorted(contents))
    ways = JSON if name.endswith((".json", ".jsonl")) else TEXT if name.endswith((".txt", ".pem", ".toml")) else BYTES
    match random.randrange(8):
        case 0:
            del contents[name]
        case 1:
            contents[random.choice(("extra.txt", "plates/x.json", "manifest.tsr"))] = contents[name]
        case _:
            contents[name] = random.choice(ways)(random, contents[name])
    if random.random() < 0.5:
        contents[SUMS] = sums({one: body for one, body in contents.items() if one not in (SUMS, MANIFEST)})
    return pack(contents)


def _verifying(scratch: Path) -> Read:
    good = _bundle(scratch)

    def read(data: bytes) -> None:
        found = verify(data, Asked(grading=False))
        assert not found.holds or data == good, "a changed file holds"
        if not found.holds:
            raise EvidenceRefused(found.headline, hint="as the checks say")

    return read


def _chains(scratch: Path) -> Sequence[bytes]:
    contents = unpack(_bundle(scratch))
    return [contents["chain.jsonl"], contents[MANIFEST]]


def _read_chain(_: Path) -> Read:
    reads: tuple[Callable[[bytes], object], ...] = (
        read_canonical,
        read_manifest,
        lambda data: check_links([entry.link for entry in read_entries(data)]),
    )

    def read(data: bytes) -> None:
        refused: list[GraderError] = []
        for one in reads:
            try:
                one(data)
            except GraderError as error:
                refused.append(error)
        if len(refused) == len(reads):
            raise refused[0]

    return read


def _stamp(scratch: Path) -> tuple[bytes, bytes]:
    if not (scratch / "stamp.tsr").exists():
        made = authority(scratch / "tsa")
        (scratch / "stamp.tsr").write_bytes(made.reply(stamp_request(DATA).der))
        (scratch / "root.pem").write_bytes(made.root)
    return (scratch / "stamp.tsr").read_bytes(), (scratch / "root.pem").read_bytes()


def _read_stamp(scratch: Path) -> Read:
    roots = read_roots(_stamp(scratch)[1])
    return lambda data: check_stamp(data, DATA, roots)


def _keys(scratch: Path) -> Sequence[bytes]:
    key = _kept(scratch, "key.pem", lambda: new_key().locked(cases.PASSPHRASE))
    public = unlock(key, cases.PASSPHRASE).public.pem
    return [key, public, _stamp(scratch)[1]]


def _read_key(_: Path) -> Read:
    def read(data: bytes) -> None:
        if b"ENCRYPTED" in data:
            unlock(data, cases.PASSPHRASE)
        elif b"CERTIFICATE" in data:
            read_roots(data)
        else:
            read_public(data)

    return read


TARGETS = (
    Target(name="sealed file (zip)", seeds=_bundles, ways=(*BYTES, change_zip, change_zip), open=_verifying),
    Target(name="sealed file, inside", seeds=_bundles, ways=(change_packed,), open=_verifying, share=2),
    Target(name="chain and manifest", seeds=_chains, ways=JSON, open=_read_chain),
    Target(name="time stamp (DER)", seeds=lambda scratch: [_stamp(scratch)[0]], ways=BYTES, open=_read_stamp),
    Target(name="keys, certificates (PEM)", seeds=_keys, ways=(*TEXT, *BYTES), open=_read_key),
)
