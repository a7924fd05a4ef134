"""Ways to tamper with a bundle: by who gets it on the way, and by the house itself, which has the key."""

import io
import json
import struct
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

from grader.evidence.canonical import canonical
from grader.evidence.case_making import handed_over
from grader.evidence.chain import Entry, Link, entry_line, next_entry, read_entries
from grader.evidence.commitments import seal_plan
from grader.evidence.drawing_lots import drawn_units
from grader.evidence.keys import SigningKey, new_key
from grader.evidence.manifest import listed
from grader.evidence.pack import pack, unpack
from grader.evidence.plain_check import KEY, MANIFEST, SIGNATURE, SUMS, sums
from grader.evidence.sealing import seal
from tests.evidence import cases
from tests.records import made_up


@dataclass(frozen=True)
class Scene:
    """A good bundle, the house that made it, and what its reader holds from elsewhere."""

    here: cases.House
    good: bytes
    other_lot: bytes
    fingerprint: str
    head: str


def scene(folder: Path) -> Scene:
    here = cases.house(folder)
    good = cases.bundle(here)
    other = cases.bundle(here, lot="OM-0431")
    head = read_entries(unpack(good)["chain.jsonl"])[-1].link.hash
    return Scene(here=here, good=good, other_lot=other, fingerprint=here.key.public.fingerprint, head=head)


def another_house(scene: Scene) -> cases.House:
    return cases.house(Path(tempfile.mkdtemp(dir=scene.here.journal.folder.parent)))


Tamper = Callable[[Scene], bytes]
TAMPERINGS: dict[str, Tamper] = {}


def tampering(function: Tamper) -> Tamper:
    TAMPERINGS[function.__name__] = function
    return function


def _register(name: str, function: Tamper) -> None:
    TAMPERINGS[name] = function


# --- one byte flipped, or a file changed, added, removed, renamed, exchanged; the rest left as it was ---


def _changed(name: str, change: Callable[[bytes], bytes]) -> Tamper:
    def tamper(scene: Scene) -> bytes:
        contents = unpack(scene.good)
        contents[name] = change(contents[name])
        return pack(contents)

    return tamper


def _flip(at: float) -> Callable[[bytes], bytes]:
    def flip(data: bytes) -> bytes:
        place = min(int(at * len(data)), len(data) - 1)
        return data[:place] + bytes([data[place] ^ 1]) + data[place + 1 :]

    return flip


FILES = (
    "plates/001.photo.jpg",
    "plates/001.json",
    "plates/001.labels.png",
    "standard.toml",
    "fries.csv",
    "decision.json",
    "custody.json",
    "chain.jsonl",
    "dossier.pdf",
    "HOW-TO-CHECK.txt",
    "SHA256SUMS",
    "manifest.json",
    "manifest.sig",
    "signing-key.pem",
)
for file in FILES:
    for where, at in (("first", 0.0), ("middle", 0.5), ("last", 1.0)):
        _register(f"{where} byte of {file} flipped", _changed(file, _flip(at)))
    _register(f"{file} emptied", _changed(file, lambda _: b""))


def _without(name: str) -> Tamper:
    def tamper(scene: Scene) -> bytes:
        contents = unpack(scene.good)
        del contents[name]
        return pack(contents)

    return tamper


for file in FILES:
    _register(f"{file} taken out", _without(file))


@tampering
def a_file_added(scene: Scene) -> bytes:
    return pack({**unpack(scene.good), "plates/004.photo.jpg": b"new"})


@tampering
def two_photos_exchanged(scene: Scene) -> bytes:
    contents = unpack(scene.good)
    one, two = "plates/001.photo.jpg", "plates/002.photo.jpg"
    contents[one], contents[two] = contents[two], contents[one]
    return pack(contents)


@tampering
def a_length_made_longer_in_the_readings(scene: Scene) -> bytes:
    return _changed("plates/001.json", lambda data: data.replace(b'"length_mm": 100.0', b'"length_mm": 40.00'))(scene)


@tampering
def a_limit_moved_in_the_standard(scene: Scene) -> bytes:
    return _changed("standard.toml", lambda data: data.replace(b"0.6", b"0.9"))(scene)


@tampering
def a_stamp_without_its_certificate(scene: Scene) -> bytes:
    return pack({**unpack(scene.good), "manifest.tsr": b"0" * 64})


@tampering
def a_stamp_that_is_none(scene: Scene) -> bytes:
    return pack({**unpack(scene.good), "manifest.tsr": b"0" * 64, "manifest-tsa.pem": b"none"})


@tampering
def the_signature_of_another_bundle(scene: Scene) -> bytes:
    return pack({**unpack(scene.good), SIGNATURE: unpack(scene.other_lot)[SIGNATURE]})


@tampering
def the_manifest_and_signature_of_another_bundle(scene: Scene) -> bytes:
    other = unpack(scene.other_lot)
    return pack({**unpack(scene.good), SIGNATURE: other[SIGNATURE], MANIFEST: other[MANIFEST]})


@tampering
def the_chain_of_another_bundle(scene: Scene) -> bytes:
    return pack({**unpack(scene.good), "chain.jsonl": unpack(scene.other_lot)["chain.jsonl"]})


@tampering
def a_bundle_of_another_lot(scene: Scene) -> bytes:
    return scene.other_lot


# --- a stranger who makes it all anew with a key of their own ---


def signed_anew(contents: Mapping[str, bytes], key: SigningKey, **changes: Any) -> bytes:
    """The contents with a manifest, sums and signature that fit them."""
    facts = json.loads(contents[MANIFEST])
    rest = {name: data for name, data in contents.items() if name not in {MANIFEST, SIGNATURE, SUMS}}
    rest[KEY] = key.public.pem
    rest[SUMS] = sums(rest)
    facts |= {"files": listed(rest), "key": key.public.fingerprint, **changes}
    manifest = canonical(facts)
    return pack({**rest, MANIFEST: manifest, SIGNATURE: key.sign(manifest)})


@tampering
def the_key_exchanged_and_all_signed_anew(scene: Scene) -> bytes:
    return signed_anew(unpack(scene.good), new_key())


@tampering
def the_key_file_exchanged(scene: Scene) -> bytes:
    return pack({**unpack(scene.good), KEY: new_key().public.pem})


@tampering
def the_whole_chain_built_anew_with_another_key(scene: Scene) -> bytes:
    """Found by the fingerprint and by the head that the reader was given; nothing inside can tell."""
    here = another_house(scene)
    return cases.bundle(here)


# --- the house itself, which has the key, and signs anew what it changed ---


def _house(change: Callable[[dict[str, bytes], dict[str, Any]], None]) -> Tamper:
    def tamper(scene: Scene) -> bytes:
        contents = unpack(scene.good)
        facts: dict[str, Any] = json.loads(contents[MANIFEST])
        changes: dict[str, Any] = {"facts": facts}
        change(contents, changes)
        told = changes.pop("facts")
        contents[MANIFEST] = canonical(told)
        return signed_anew(contents, scene.here.key)

    return tamper


def _remove_plate(contents: dict[str, bytes], changes: dict[str, Any]) -> None:
    facts = changes["facts"]
    gone = facts["plates"].pop()
    for name in ("photo", "readings", "labels"):
        del contents[gone[name]]
    rows = contents["fries.csv"].decode().splitlines(keepends=True)
    contents["fries.csv"] = "".join(row for row in rows if f",{gone['name']}," not in row).encode()


def _entries(contents: Mapping[str, bytes]) -> list[Entry]:
    return list(read_entries(contents["chain.jsonl"]))


def _write(contents: dict[str, bytes], entries: list[Entry]) -> None:
    contents["chain.jsonl"] = b"".join(entry_line(entry) for entry in entries)


def _remove_plate_and_record(contents: dict[str, bytes], changes: dict[str, Any]) -> None:
    _remove_plate(contents, changes)
    entries = _entries(contents)
    plates = [k for k, entry in enumerate(entries) if entry.link.kind == "plate"]
    del entries[plates[-2]]
    _write(contents, entries)
    changes["facts"]["head"] = entries[-1].link.hash


def _withhold_body(contents: dict[str, bytes], changes: dict[str, Any]) -> None:
    _remove_plate(contents, changes)
    entries = _entries(contents)
    entries[-1] = replace(entries[-1], body=None)
    _write(contents, entries)


def _cut_chain(contents: dict[str, bytes], changes: dict[str, Any]) -> None:
    _remove_plate(contents, changes)
    entries = _entries(contents)[:-1]
    _write(contents, entries)
    changes["facts"]["head"] = entries[-1].link.hash


def _swap_records(contents: dict[str, bytes], _: dict[str, Any]) -> None:
    entries = _entries(contents)
    entries[-1], entries[-2] = entries[-2], entries[-1]
    _write(contents, entries)


def _move_clock(contents: dict[str, bytes], changes: dict[str, Any]) -> None:
    entries = _entries(contents)
    moved = replace(entries[2].link, at=entries[2].link.at - timedelta(days=3))
    entries[2] = replace(entries[2], link=moved)
    _write(contents, entries)
    changes["facts"]["head"] = entries[-1].link.hash


def _rebuild_chain_from_plan(contents: dict[str, bytes], changes: dict[str, Any]) -> None:
    """Another plan put where the sealed one was, and every later record chained anew, moments and all."""
    entries = _entries(contents)
    rebuilt = entries[:1]
    for entry in entries[1:]:
        body = dict(entry.body or {})
        if entry.link.kind == "sealed":
            body["words"] = "As it suits us now."
        rebuilt.append(next_entry(rebuilt[-1].link, entry.link.kind, body, about=entry.link.about, at=entry.link.at))
    _write(contents, rebuilt)
    changes["facts"]["head"] = rebuilt[-1].link.hash


def _exchange_draw(contents: dict[str, bytes], changes: dict[str, Any]) -> None:
    entries = _entries(contents)
    rebuilt: list[Entry] = entries[:1]
    for entry in entries[1:]:
        body = dict(entry.body or {})
        if entry.link.kind == "drawn":
            body["drawn"] = [1, 2, 3]
        rebuilt.append(next_entry(rebuilt[-1].link, entry.link.kind, body, about=entry.link.about, at=entry.link.at))
    _write(contents, rebuilt)
    changes["facts"]["head"] = rebuilt[-1].link.hash


def _draw_of_other_number(contents: dict[str, bytes], changes: dict[str, Any]) -> None:
    """Units that follow from both sides' words, but are fewer than the plan says."""
    rebuilt: list[Entry] = []
    for entry in _entries(contents):
        body = dict(entry.body or {})
        if entry.link.kind == "drawn":
            body["drawn"] = list(drawn_units(body["seed"], units=body["of"], draw=2))
        last = rebuilt[-1].link if rebuilt else None
        rebuilt.append(next_entry(last, entry.link.kind, body, about=entry.link.about, at=entry.link.at))
    _write(contents, rebuilt)
    changes["facts"]["head"] = rebuilt[-1].link.hash


def _other_lot_named(_: dict[str, bytes], changes: dict[str, Any]) -> None:
    changes["facts"]["lot"] = "OM-0999"


def _other_tag(_: dict[str, bytes], changes: dict[str, Any]) -> None:
    changes["facts"]["tag"] = "0" * 16


def _made_earlier(_: dict[str, bytes], changes: dict[str, Any]) -> None:
    changes["facts"]["made_at"] = "2026-10-01T09:00:00+00:00"


def _other_standard(contents: dict[str, bytes], changes: dict[str, Any]) -> None:
    from grader.standard import standard_sha256, write_standard

    stricter = replace(made_up.standard(), version="2")
    contents["standard.toml"] = write_standard(stricter).encode()
    changes["facts"]["standard_sha256"] = standard_sha256(stricter)


def _plate_twice(_: dict[str, bytes], changes: dict[str, Any]) -> None:
    plates = changes["facts"]["plates"]
    plates.append({**plates[0], "turn": len(plates) + 1})


def _turns_exchanged(_: dict[str, bytes], changes: dict[str, Any]) -> None:
    plates = changes["facts"]["plates"]
    plates[0], plates[1] = plates[1], plates[0]


def _plate_added(contents: dict[str, bytes], changes: dict[str, Any]) -> None:
    plates = changes["facts"]["plates"]
    plates.append({**plates[0], "turn": len(plates) + 1, "sha256": "1" * 64})
    contents["plates/009.photo.jpg"] = b"never arrived"


def _wider_tolerance(_: dict[str, bytes], changes: dict[str, Any]) -> None:
    changes["facts"]["tolerance"] = 0.5


def _no_chain(contents: dict[str, bytes], _: dict[str, Any]) -> None:
    contents["chain.jsonl"] = b""


def _head_of_another(_: dict[str, bytes], changes: dict[str, Any]) -> None:
    changes["facts"]["head"] = "a" * 64


def _field_added(_: dict[str, bytes], changes: dict[str, Any]) -> None:
    changes["facts"]["also"] = 1


def _points_elsewhere(_: dict[str, bytes], changes: dict[str, Any]) -> None:
    changes["facts"]["plates"][0]["photo"] = "plates/002.photo.jpg"


def _points_nowhere(_: dict[str, bytes], changes: dict[str, Any]) -> None:
    changes["facts"]["plates"][0]["readings"] = "plates/099.json"


def _left_unsigned(name: str) -> Callable[[dict[str, bytes], dict[str, Any]], None]:
    def change(contents: dict[str, bytes], _: dict[str, Any]) -> None:
        del contents[name]

    return change


def _table(change: Callable[[str], str]) -> Callable[[dict[str, bytes], dict[str, Any]], None]:
    def changed(contents: dict[str, bytes], _: dict[str, Any]) -> None:
        told = contents["fries.csv"].decode("utf-8-sig")
        assert change(told) != told
        contents["fries.csv"] = change(told).encode("utf-8-sig")

    return changed


def _fact(name: str, value: str) -> Callable[[dict[str, bytes], dict[str, Any]], None]:
    def change(_: dict[str, bytes], changes: dict[str, Any]) -> None:
        changes["facts"][name] = value

    return change


def _all_moments(moment: Callable[[datetime], datetime]) -> Callable[[dict[str, bytes], dict[str, Any]], None]:
    """Every record bears another moment, and the chain is built anew of them."""

    def change(contents: dict[str, bytes], changes: dict[str, Any]) -> None:
        rebuilt: list[Entry] = []
        for entry in _entries(contents):
            before = rebuilt[-1].link.hash if rebuilt else entry.link.before
            link: Link = replace(entry.link, at=moment(entry.link.at), before=before)
            rebuilt.append(Entry(link=link, body=entry.body))
        _write(contents, rebuilt)
        changes["facts"]["head"] = rebuilt[-1].link.hash

    return change


def _pair_with_itself(contents: dict[str, bytes], changes: dict[str, Any]) -> None:
    """A plate is noted as the second photo of itself, and so counts nowhere."""
    entries = _entries(contents)
    plate = changes["facts"]["plates"][0]
    body = {
        "by": "AB",
        "first": plate["sha256"],
        "second": plate["sha256"],
        "way": "turned",
        "what": "pair of photos of one plate",
    }
    last = entries[-1].link
    entries.append(next_entry(last, "inspection", body, about=changes["facts"]["tag"], at=last.at))
    plate["second_of"] = plate["turn"]
    _write(contents, entries)
    changes["facts"]["head"] = entries[-1].link.hash


def _odd_bodies(contents: dict[str, bytes], changes: dict[str, Any]) -> None:
    """Records whose contents are of kinds that nobody writes."""
    entries = _entries(contents)
    odd: dict[str, Any] = {"photo": [1], "fingerprint": {}, "key": 7, "words": 3, "drawn": None, "turn": [], "did": {}}
    rebuilt: list[Entry] = []
    for entry in entries:
        last = rebuilt[-1].link if rebuilt else None
        rebuilt.append(next_entry(last, entry.link.kind, odd, about=entry.link.about, at=entry.link.at))
    rebuilt.append(next_entry(rebuilt[-1].link, "anchor", {"reply": 7, "head": []}, about="", at=rebuilt[-1].link.at))
    _write(contents, rebuilt)
    changes["facts"]["head"] = rebuilt[-1].link.hash


for words, change in {
    "the house points a plate to another photo": _points_elsewhere,
    "the house points a plate to readings that aren't there": _points_nowhere,
    "the house writes records of odd kinds": _odd_bodies,
    "the house changes the table of fries": _table(lambda told: told.replace(",100.0,", ",40.0,")),
    "the house takes a fry out of the table": _table(lambda told: told.rstrip("\n").rpartition("\n")[0] + "\n"),
    "the house writes no table of fries": _table(lambda _: "fry\nmany\n"),
    "the house signs no decision": _left_unsigned("decision.json"),
    "the house signs no table of fries": _left_unsigned("fries.csv"),
    "the house signs no custody": _left_unsigned("custody.json"),
    "the house makes the file on a day with an hour": _fact("graded_on", "2026-10-06T10:00"),
    "the house makes the file on the last day that there is": _fact("made_at", "9999-12-31T23:59:59+00:00"),
    "the house makes the file by another zone's clock": _fact("made_at", "2026-10-06T22:00:00+12:00"),
    "the house writes records on the first day that there is": _all_moments(lambda _: datetime(1, 1, 1, tzinfo=UTC)),
    "the house writes records by another zone's clock": _all_moments(
        lambda at: at.astimezone(timezone(timedelta(hours=14)))
    ),
    "the house pairs a plate with itself": _pair_with_itself,
    "the house removes a plate": _remove_plate,
    "the house removes a plate and its record": _remove_plate_and_record,
    "the house withholds what a record says": _withhold_body,
    "the house ends the chain before a plate": _cut_chain,
    "the house exchanges two records": _swap_records,
    "the house moves a clock in the chain": _move_clock,
    "the house builds the chain anew with another plan": _rebuild_chain_from_plan,
    "the house draws otherwise than the words say": _exchange_draw,
    "the house draws fewer units than the plan says": _draw_of_other_number,
    "the house names another lot": _other_lot_named,
    "the house points to other records": _other_tag,
    "the house makes the file earlier than its records": _made_earlier,
    "the house judges by another standard than was sealed": _other_standard,
    "the house counts a plate twice": _plate_twice,
    "the house exchanges two plates' turns": _turns_exchanged,
    "the house adds a plate that never arrived": _plate_added,
    "the house allows itself a wider tolerance": _wider_tolerance,
    "the house leaves the chain out": _no_chain,
    "the house names another head": _head_of_another,
    "the house adds a field to the manifest": _field_added,
}.items():
    _register(words, _house(change))


@tampering
def the_house_signs_with_a_revoked_key(scene: Scene) -> bytes:
    here = another_house(scene)
    made, key = cases.case(here), here.key
    here.keyring.revoke(cases.PASSPHRASE, by="AB", why="a laptop was stolen")
    late = replace(made, entries=handed_over(here.journal.entries(), made.tag, key.public), made_at=here.journal.now())
    return seal(late, cases.DOSSIER, key).data


def _ended_key(scene: Scene, hide: Callable[[cases.House, list[Entry]], list[Entry]]) -> bytes:
    """What somebody makes of a house's chain who stole its key before that was revoked."""
    here = another_house(scene)
    made, key = cases.case(here), here.key
    here.keyring.revoke(cases.PASSPHRASE, by="AB", why="a laptop was stolen")
    entries = hide(here, list(handed_over(here.journal.entries(), made.tag, key.public)))
    late = replace(made, entries=tuple(entries), made_at=here.journal.now())
    return seal(late, cases.DOSSIER, key).data


@tampering
def a_revoked_key_told_to_be_made_once_more(scene: Scene) -> bytes:
    def again(here: cases.House, entries: list[Entry]) -> list[Entry]:
        first = next(entry for entry in entries if entry.link.kind == "key")
        return [*entries, next_entry(entries[-1].link, "key", first.body or {}, about="", at=here.journal.now())]

    return _ended_key(scene, again)


@tampering
def a_key_of_which_the_end_is_withheld(scene: Scene) -> bytes:
    return _ended_key(scene, lambda _, entries: [*entries[:-1], replace(entries[-1], body=None)])


@tampering
def the_house_seals_another_plan_late(scene: Scene) -> bytes:
    """A plan for another standard is sealed, plates are taken, and they are judged by the one that suits."""
    here = another_house(scene)
    seal_plan(here.journal, cases.plan(), replace(made_up.standard(), version="agreed"))
    return seal(cases.case(here, sealed=False), cases.DOSSIER, here.key).data


# --- the zip itself ---


def _zipped(contents: Mapping[str, bytes], way: int = zipfile.ZIP_STORED) -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", way) as opened:
        for name, data in contents.items():
            opened.writestr(name, data)
    return file.getvalue()


@tampering
def packed_anew_by_another_program(scene: Scene) -> bytes:
    return _zipped(unpack(scene.good))


@tampering
def packed_anew_and_compressed(scene: Scene) -> bytes:
    return _zipped(unpack(scene.good), zipfile.ZIP_DEFLATED)


@tampering
def a_bomb(scene: Scene) -> bytes:
    return _zipped({**unpack(scene.good), "bomb.bin": bytes(50_000_000)}, zipfile.ZIP_DEFLATED)


@tampering
def a_bomb_that_lies_about_its_size(scene: Scene) -> bytes:
    packed = zlib.compress(bytes(10_000_000))
    header = struct.pack("<4s5H3L2H", b"PK\x03\x04", 20, 0, 0, 0, 33, zlib.crc32(packed), len(packed), 2**31, 1, 0)
    return header + b"a" + packed + scene.good


def _named(name: str) -> Tamper:
    def tamper(scene: Scene) -> bytes:
        return _zipped({**unpack(scene.good), name: b"out"})

    return tamper


for name in ("../out.txt", "/etc/out", "..\\out.txt", "C:/out", "plates/../../out", "a//b", "CON:", "é.txt", "x\x00y"):
    _register(f"a name that climbs out or isn't plain: {name!r}", _named(name))


@tampering
def a_name_twice(scene: Scene) -> bytes:
    first = pack({"a": b"1"})
    end = scene.good.index(b"PK\x01\x02")
    local = first[: first.index(b"PK\x01\x02")]
    return scene.good[:end] + local + local + scene.good[end:]


@tampering
def two_names_that_differ_in_capitals(scene: Scene) -> bytes:
    return _zipped({**unpack(scene.good), "Manifest.json": b"{}"})


@tampering
def a_link_instead_of_a_file(scene: Scene) -> bytes:
    at = scene.good.rindex(b"PK\x01\x02")
    attributes = at + 38
    return scene.good[:attributes] + struct.pack("<L", 0o120777 << 16) + scene.good[attributes + 4 :]


@tampering
def the_directory_names_other_places(scene: Scene) -> bytes:
    at = scene.good.index(b"PK\x01\x02") + 42
    return scene.good[:at] + struct.pack("<L", 7) + scene.good[at + 4 :]


@tampering
def a_moment_in_the_zip(scene: Scene) -> bytes:
    return scene.good[:10] + b"\x00\x60" + scene.good[12:]


@tampering
def an_order_of_its_own(scene: Scene) -> bytes:
    return _zipped(dict(reversed(unpack(scene.good).items())))


@tampering
def bytes_before(scene: Scene) -> bytes:
    return b"#!/bin/sh\n" + scene.good


@tampering
def bytes_behind(scene: Scene) -> bytes:
    return scene.good + b"more"


@tampering
def bytes_between(scene: Scene) -> bytes:
    at = scene.good.index(b"PK\x01\x02")
    return scene.good[:at] + b"hidden" + scene.good[at:]


@tampering
def a_comment(scene: Scene) -> bytes:
    return scene.good[:-2] + struct.pack("<H", 5) + b"hello"


@tampering
def nothing_at_all(_: Scene) -> bytes:
    return b""


@tampering
def no_zip(_: Scene) -> bytes:
    return b"%PDF-1.7 not a bundle" * 99


for share in (0.01, 0.3, 0.7, 0.999):
    _register(f"cut short at {share:g}", lambda scene, share=share: scene.good[: int(share * len(scene.good))])  # type: ignore[misc]


@tampering
def a_manifest_nested_too_deep(scene: Scene) -> bytes:
    return pack({**unpack(scene.good), MANIFEST: b"[" * 100_000 + b"]" * 100_000})


@tampering
def a_manifest_that_is_no_object(scene: Scene) -> bytes:
    return pack({**unpack(scene.good), MANIFEST: b"null"})


@tampering
def a_manifest_of_other_kinds(scene: Scene) -> bytes:
    facts = json.loads(unpack(scene.good)[MANIFEST])
    odd = {**facts, "plates": [1, None, {}], "files": {"a": 1}, "made_at": 7}
    return pack({**unpack(scene.good), MANIFEST: canonical(odd)})


@tampering
def a_manifest_with_a_number_of_many_digits(scene: Scene) -> bytes:
    return pack({**unpack(scene.good), MANIFEST: b"1" * 10_000})


@tampering
def the_same_manifest_written_otherwise(scene: Scene) -> bytes:
    contents = unpack(scene.good)
    return pack({**contents, MANIFEST: json.dumps(json.loads(contents[MANIFEST])).encode()})
