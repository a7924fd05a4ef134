"""Whether the chain of records holds, and tells of these plates what the manifest does."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import timedelta
from typing import Any

from grader.evidence.chain import Entry, check_links, plates_of, read_entries, tag_of
from grader.evidence.check import Check, guarded, left_open, no, yes
from grader.evidence.commitments import draw_holds, draws_by, plans_in_time
from grader.evidence.key_history import key_lives
from grader.evidence.manifest import CHAIN, Manifest
from grader.evidence.pairs import noted_pairs

CLOCK_S = timedelta(seconds=2)
"""Moments are kept in whole seconds."""


def check_chain(contents: Mapping[str, bytes], manifest: Manifest, expected_head: str) -> Iterator[Check]:
    """All of it; `expected_head` is a hash that the reader was given on some day, or empty."""
    entries = read_entries(contents.get(CHAIN, b""))
    links = [entry.link for entry in entries]
    if not links:
        yield no("chain", "The chain of records is missing.")
        return
    check_links(links)
    if links[-1].hash != manifest.head:
        yield no("chain", "The chain doesn't end where the manifest says: records were added or taken away.")
    else:
        earlier = "" if links[0].turn == 1 else " Earlier records were not handed over."
        days = f"{links[0].at:%Y-%m-%d} to {links[-1].at:%Y-%m-%d}"
        yield yes("chain", f"{len(links)} records, {days}, follow from one another.{earlier}")
    if expected_head.strip():
        yield _head(entries, expected_head.strip().lower())
    yield from guarded("key in the chain", _key, entries, manifest)
    if manifest.lot and manifest.tag != tag_of(manifest.supplier, manifest.lot):
        yield no("lot", "The records that are named belong to another lot than the manifest names.")
    ours = [entry for entry in entries if entry.link.about == manifest.tag]
    yield from _plates(ours, manifest, unseen=links[0].turn - 1)
    yield from _moved(entries, manifest.tag)
    yield from _pairs(ours, manifest)
    plans = plans_in_time(entries, manifest.tag)
    yield from _sealed(ours, plans, manifest)
    yield from _draws(ours, plans)
    files = sum(1 for entry in ours if entry.link.kind == "bundle")
    if files:
        yield left_open("earlier files", f"{files} file(s) were made of these plates before this one.")
    if manifest.made < links[-1].at - CLOCK_S:
        yield no("moment", "The file says that it was made before its newest record: a clock was moved.")


def _head(entries: Sequence[Entry], expected: str) -> Check:
    """A head that others were given must be in the chain, or end just before it."""
    if any(expected in {entry.link.hash, entry.link.before} for entry in entries):
        return yes("head", "The hash that you were given is in the chain.")
    return no("head", "The hash that you were given is not in this chain: it begins later, or was built anew.")


def _key(entries: Sequence[Entry], manifest: Manifest) -> Iterator[Check]:
    if any(entry.link.kind == "key" and entry.body is None for entry in entries):
        yield no("key in the chain", "A record on signing keys was handed over without its content.")
        return
    life = key_lives(entries).get(manifest.key)
    if life is None:
        yield no("key in the chain", "The chain doesn't know the key that signs: it is another's, or was exchanged.")
    elif not life.counts_at(entries[-1].link.turn):
        when = "" if life.revoked is None else f" on {life.revoked:%Y-%m-%d}"
        yield no("key in the chain", f"The key that signs was ended{when} ({life.why}): it counts for nothing since.")
    else:
        yield yes("key in the chain", f"The chain names the key that signs, made on {life.since:%Y-%m-%d}.")


def _plates(ours: Sequence[Entry], manifest: Manifest, *, unseen: int) -> Iterator[Check]:
    """Every plate that the chain knows of this lot is in the file, and no other; `unseen` records come before it."""
    if any(entry.body is None for entry in ours):
        yield no("plates", "Records of this lot were handed over without their content.")
        return
    kept = [entry.body for entry in ours if entry.link.kind == "plate" and entry.body is not None]
    in_chain = {str(body.get("photo")) for body in kept}
    in_file = [plate.sha256 for plate in manifest.plates]
    missing, strange = len(in_chain - set(in_file)), len(set(in_file) - in_chain)
    if missing:
        yield no("plates", f"{missing} plate(s) that the chain has of this lot are not in the file.")
    if strange:
        yield no("plates", f"{strange} plate(s) in the file are not in the chain.")
    if len(set(in_file)) != len(in_file) or [plate.turn for plate in manifest.plates] != list(
        range(1, len(in_file) + 1)
    ):
        yield no("plates", "The file counts a plate twice, or not in its turn.")
    elif not missing and not strange:
        yield yes("plates", f"All {len(in_file)} plate(s) that the chain has of this lot are in the file.")
    if unseen:
        told = f"{unseen} record(s) before these were not handed over: whether they tell of more plates, nothing shows."
        yield left_open("plates", told)
    late = sum(1 for body in kept if body.get("late"))
    if late:
        told = f"{late} plate(s) were chained more than an hour after they were kept: until then nothing held them."
        yield left_open("chained late", told)


def _moved(entries: Sequence[Entry], tag: str) -> Iterator[Check]:
    """Plates that were chained for another lot too, as far as those records were handed over; and that lot's files."""
    others = [entry for entry in plates_of(entries, tag) if entry.link.about != tag]
    if not others:
        return
    plates = len({str((entry.body or {}).get("photo")) for entry in others})
    told = f"{plates} plate(s) were chained for another lot too, or for another name of this one."
    yield left_open("another lot", told)
    first = {entry.link.about: entry.link.turn for entry in reversed(others)}
    made = [entry.link for entry in entries if entry.link.kind == "bundle" and entry.link.about in first]
    files = sum(1 for link in made if link.turn > first[link.about])
    if files:
        yield left_open("another lot", f"{files} file(s) were made of that other lot since it had them.")


def _pairs(ours: Sequence[Entry], manifest: Manifest) -> Iterator[Check]:
    """Second photos are those that the chain has, and none takes a plate out of the count."""
    in_file = {plate.sha256 for plate in manifest.plates}
    noted = {second: first for second, (first, _) in noted_pairs(ours, manifest.tag).items()}
    turns = {plate.turn: plate.sha256 for plate in manifest.plates}
    seconds = [plate for plate in manifest.plates if plate.second_of]
    paired = {plate.sha256: turns.get(plate.second_of, "") for plate in seconds}
    if paired != {second: first for second, first in noted.items() if {second, first} <= in_file}:
        yield no("pairs", "The file counts other photos as second ones of a plate than the chain does.")
    if set(paired.values()) & set(paired):
        yield no("pairs", "A photo counts as the second of one that is itself a second: that plate counts nowhere.")
    several = len(seconds) - len({plate.second_of for plate in seconds})
    if several:
        yield left_open("pairs", f"{several} plate(s) have a further second photo: the last one counts.")


def _sealed(ours: Sequence[Entry], plans: Sequence[Entry], manifest: Manifest) -> Iterator[Check]:
    later = sum(1 for one in ours if one.link.kind == "sealed") - len(plans)
    if later:
        yield left_open("sealed before", f"{later} plan(s) were sealed after the first plate: these don't count.")
    if not plans:
        told = "No plan was sealed before the plates: standard and number of plates could have been chosen afterwards."
        yield left_open("sealed before", told)
        return
    plan = plans[-1].body or {}
    if plan.get("standard_sha256") != manifest.standard_sha256 or plan.get("stage") != manifest.stage:
        yield no("sealed before", "The plates are judged by another standard than was sealed before they were taken.")
    elif plan.get("method_version") != manifest.method_version:
        told = f"Sealed was method {plan.get('method_version')}, graded was by {manifest.method_version}."
        yield left_open("sealed before", told)
    else:
        told = (
            f"Standard, method and sampling plan were sealed on {plans[-1].link.at:%Y-%m-%d %H:%M} UTC, before plates."
        )
        yield yes("sealed before", told)
    if len(plans) > 1:
        yield left_open("sealed before", f"{len(plans)} plans were sealed before the plates; the last one counts.")
    plates = sum(1 for plate in manifest.plates if not plate.second_of)
    if plan.get("plates") != plates:
        told = f"The plan was for {plan.get('plates')} plate(s), and there are {plates}."
        yield left_open("number of plates", told)


def _draws(ours: Sequence[Entry], plans: Sequence[Entry]) -> Iterator[Check]:
    """Draws hold by the plan that counts: one for another plan says nothing of these plates."""
    told = [entry.body for entry in ours if entry.link.kind == "drawn" and entry.body is not None]
    draws = [entry.body or {} for entry in (draws_by(plans[-1], ours) if plans else ())]
    others = len(told) - len(draws)
    if others:
        yield left_open("draw", f"{others} draw(s) belong to another plan than the one that counts.")
    if any(not draw_holds(body) for body in told):
        yield no("draw", "The units that are said to be drawn don't follow from the words that both sides gave.")
    elif any(not _as_planned(body, plans[-1].body or {}) for body in draws):
        yield no("draw", "Units were drawn otherwise than the plan says: not as many, or not of as many.")
    elif len(draws) > 1:
        yield left_open("draw", f"Units were drawn {len(draws)} times; the last draw counts.")
    elif draws:
        yield yes("draw", "The units follow from the words that both sides gave.")


def _as_planned(draw: Mapping[str, Any], plan: Mapping[str, Any]) -> bool:
    """As many units, of as many, as the plan says; a draw that `draw_holds` has a list of them."""
    return draw["of"] == plan.get("units") and len(draw["drawn"]) == plan.get("draw")
