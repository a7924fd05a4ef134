"""The photos of a bundle graded again, and every number held against what the bundle says."""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from grader.card.layouts import load_layouts
from grader.card_values import KnownValues
from grader.card_values.document import read_values
from grader.decision import USUAL, Question, Terms
from grader.evidence.check import Check, left_open, no, yes
from grader.evidence.checks_of_table import ROUNDING
from grader.evidence.errors import BundleUnreadable
from grader.evidence.looking import By, Done, LookingEnded, look_at_all
from grader.evidence.manifest import DECISION, STANDARD, Manifest
from grader.evidence.pairing import counted, counted_again
from grader.evidence.what_may_be_claimed import COLOUR_KEYS
from grader.grading import METHOD_VERSION, GradedPhoto, judge_photos
from grader.records.readings import verdict_record
from grader.records.standards import standard_from_bytes
from grader.standard import at_stage, standard_sha256
from grader.trueness import ColourLevel, weakest
from grader.trueness.documents import read_study

_CLAIM = Terms(question=Question.CLAIM)
_LARGEST = 1e9
"""Nothing that is measured of a fry is so large; a number with hundreds of digits is no number for a float."""
_TOLD_AT_MOST = 8


@dataclass(slots=True)
class Tally:
    """What comparing came to; `largest` is the greatest difference, as a share of what is allowed."""

    compared: int = 0
    largest: float = 0.0


def check_by(contents: Mapping[str, bytes], manifest: Manifest) -> By:
    """By what the bundle's photos were graded: its standard, its cards' values, its studies.

    Raises
    ------
    GraderError
        One of these documents can't be read, or the standard isn't the one that the manifest names.
    """
    whole = standard_from_bytes(contents.get(STANDARD, b""), name=STANDARD)
    if standard_sha256(whole) != manifest.standard_sha256:
        raise BundleUnreadable("The standard isn't the one that the manifest names.", hint="Ask for the file anew.")
    layouts = load_layouts()
    values = tuple(
        read_values(data.decode("utf-8", "replace"), name=name, layouts=layouts)
        for name, data in sorted(contents.items())
        if name.startswith("card-values/")
    )
    studies = tuple(
        read_study(data, name=name) for name, data in sorted(contents.items()) if name.startswith("trueness/")
    )
    known = KnownValues(values=values, on=manifest.graded_day)
    return By(standard=at_stage(whole, manifest.stage), known=known, studies=studies)


def check_numbers(
    contents: Mapping[str, bytes], manifest: Manifest, *, workers: int | None, done: Done | None
) -> Iterator[Check]:
    """Grade every photo again and compare."""
    if manifest.method_version != METHOD_VERSION:
        told = f"Graded was by method {manifest.method_version}; this edition grades by method {METHOD_VERSION}."
        yield left_open("numbers", f"{told} Take the edition of the program that has that method.")
        return
    by = check_by(contents, manifest)
    photos = [(plate.name, contents[plate.photo]) for plate in manifest.plates]
    try:
        looked = look_at_all(photos, by, pictures=False, workers=workers, done=done)
    except LookingEnded as error:
        yield left_open("numbers", str(error))
        return
    tally, faults = Tally(), list[str]()
    for plate, one in zip(manifest.plates, looked, strict=True):
        said, found = _record(contents[plate.readings]), json.loads(one.readings)
        if said.get("sha256") != plate.sha256 or one.graded.sha256 != plate.sha256:
            faults.append(f"plate {plate.turn}: its readings are of another photo")
        faults += [f"plate {plate.turn}: {words}" for words in _differences(said, found, manifest.tolerance, tally)]
    decided = _record(contents[DECISION])
    seconds = [plate.second_of for plate in manifest.plates]
    first, again = counted(looked, seconds), counted_again(looked, seconds)
    for key, graded, terms in (("claim", first, _CLAIM), ("again", again, _CLAIM), ("release", first, USUAL)):
        found = verdict_record(judge_photos(graded, by.standard, terms))
        faults += _decisions(key, decided.get(key), found, manifest.tolerance, tally)
    faults += _claims(decided, [one.graded for one in looked])
    yield _told(faults, tally, len(photos), manifest.tolerance)


def _told(faults: Sequence[str], tally: Tally, plates: int, tolerance: float) -> Check:
    if faults:
        more = f"; and {len(faults) - _TOLD_AT_MOST} more" if len(faults) > _TOLD_AT_MOST else ""
        return no("numbers", f"Graded again, not everything comes out: {'; '.join(faults[:_TOLD_AT_MOST])}{more}.")
    allowed = f"{100 * tolerance:g} % of its standard uncertainty"
    return yes(
        "numbers",
        f"{plates} photo(s) were graded again and {tally.compared} numbers compared: each is within {allowed}; the "
        f"largest difference is {100 * tally.largest:.1f} % of that.",
    )


def _record(data: bytes) -> dict[str, Any]:
    try:
        told = json.loads(data)
    except (ValueError, RecursionError) as error:
        raise BundleUnreadable("Readings in the file are no JSON.", hint="Ask for the file anew.") from error
    if not isinstance(told, dict):
        raise BundleUnreadable("Readings in the file aren't as they are written.", hint="Ask for the file anew.")
    return told


def _differences(said: dict[str, Any], found: dict[str, Any], share: float, tally: Tally) -> Iterator[str]:
    """What differs between two readings of one photo."""
    if said.get("status") != found["status"]:
        yield f"said to be {said.get('status')}, found to be {found['status']}"
        return
    then = _by(said.get("fries"), "id")
    now = {fry["id"]: fry for fry in found["fries"]}
    if set(then) != set(now):
        yield f"other fries are told than the {len(now)} that are found"
        return
    for number, fry in now.items():
        if then[number].get("whole") != fry["whole"]:
            yield f"fry {number}: whole or not"
        for name in fry:
            if f"{name}_u" in fry and not _same(then[number], fry, name, share, tally):
                yield f"fry {number}: {name} {then[number].get(name)} told, {fry[name]} found"


def _same(said: dict[str, Any], found: dict[str, Any], name: str, share: float, tally: Tally) -> bool:
    """Whether a number, or each of several, and its uncertainty agree within the tolerance."""
    pairs = [_flat(said.get(name)), _flat(found[name]), _flat(said.get(f"{name}_u")), _flat(found[f"{name}_u"])]
    if len({len(one) for one in pairs}) != 1:
        return False
    return all(_near(numbers, share, tally) for numbers in zip(*pairs, strict=True))


def _by(told: Any, name: str) -> dict[Any, dict[str, Any]]:
    """Parts by what they are called; none where a list isn't as it is written, or holds one twice."""
    if not isinstance(told, list) or not all(isinstance(one, dict) for one in told):
        return {}
    found = {one[name]: one for one in told if isinstance(one.get(name), int | str)}
    return found if len(found) == len(told) else {}


def _flat(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [value]


def _near(numbers: tuple[Any, ...], share: float, tally: Tally) -> bool:
    """A number as told and as found, then their uncertainties."""
    said, found, said_u, found_u = numbers
    if found is None or found_u is None:
        return said is None and (said_u is None) == (found_u is None)
    if not all(isinstance(one, int | float) and abs(one) < _LARGEST for one in (said, said_u)):
        return False
    allowed = share * found_u + ROUNDING
    off = max(abs(said - found), abs(said_u - found_u))
    tally.compared += 1
    tally.largest = max(tally.largest, (off - ROUNDING) / allowed if off > ROUNDING else 0.0)
    return bool(off <= allowed)


def _claims(decided: dict[str, Any], graded: Sequence[GradedPhoto]) -> Iterator[str]:
    """Limits on colour that are claimed although the plates' colours aren't absolute."""
    standing = weakest(one.standing for one in graded)
    told = decided.get("may_be_claimed")
    claimed = {one for one in told if isinstance(one, str)} if isinstance(told, list) else set()
    absolute = standing is not None and standing.colour is ColourLevel.ABSOLUTE
    if not isinstance(told, list) or (not absolute and claimed & COLOUR_KEYS):
        yield "limits on colour are claimed, and the colours aren't absolute"


def _decisions(key: str, said: Any, found: dict[str, Any] | None, share: float, tally: Tally) -> Iterator[str]:
    """What differs of a decision and its limits."""
    if found is None or not isinstance(said, dict):
        if found is not None or said is not None:
            yield f"the decision {key} was taken where nothing could be judged, or the other way round"
        return
    then = _by(said.get("limits"), "key")
    if said.get("outcome") != found["outcome"] or set(then) != {limit["key"] for limit in found["limits"]}:
        yield f"the decision {key} is told to be {said.get('outcome')}, and found to be {found['outcome']}"
        return
    for limit in found["limits"]:
        told = then[limit["key"]]
        alike = all(told.get(name) == limit[name] for name in ("outcome", "lower", "upper", "unit"))
        if not alike or not _same(told, limit, "measured", share, tally):
            yield f"the limit {limit['key']} is told otherwise than it is found"
