"""A case made of what the records keep: plates graded anew and unmended, asked as a claim."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import cast
from zoneinfo import ZoneInfo

from grader.card_values import values_folder
from grader.counted import first_of
from grader.decision import Question, Terms
from grader.evidence.arrivals import chain_plates
from grader.evidence.chain import Entry, plates_of
from grader.evidence.commitments import plans_in_time
from grader.evidence.custody import TwoClocks, two_clocks
from grader.evidence.errors import EvidenceRefused
from grader.evidence.journal import Journal
from grader.evidence.keys import PublicKey
from grader.evidence.looking import By, Done, Looked, look_at_all
from grader.evidence.manifest import ATTACHED
from grader.evidence.model import Attached, Case, CasePlate
from grader.evidence.pack import may_be_called
from grader.evidence.pairing import counted, counted_again
from grader.evidence.pairs import Way, noted_pairs
from grader.evidence.recorded import RecordedPlate, recorded_plates
from grader.grading import METHOD_VERSION, judge_photos
from grader.line.lot_fry import LotTest
from grader.records.database.house import House
from grader.records.database.photos import whole_photo
from grader.records.house import kept_studies, known_today
from grader.standard import at_stage, read_standard, standard_sha256
from grader.standard.model import StageName, Standard
from grader.trueness import studies_folder

_CLAIM = Terms(question=Question.CLAIM)
STATEMENT_AT_MOST = 4000
PLATES_AT_MOST = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What is to be sealed, and what its maker adds.

    Attributes
    ----------
    tag
        Of the lot or batch, as `recorded.choosable` names it.
    by
        The maker's initials.
    standard
        By what the plates are judged; None takes the one that judged them last.
    gauge
        A study of the method, in words.
    lot_fry
        The test fry of this lot beside one kept back.
    invented
        It is an example.
    """

    tag: str
    by: str
    statement: str = ""
    standard: Standard | None = None
    attached: tuple[Attached, ...] = ()
    gauge: tuple[str, ...] = ()
    lot_fry: LotTest | None = None
    invented: bool = False


def make_case(
    house: House,
    journal: Journal,
    wanted: Wanted,
    key: PublicKey,
    *,
    workers: int | None = None,
    done: Done | None = None,
) -> Case:
    """Grade all plates of a lot or batch anew and put together what is to be sealed; `key` is the one that will sign.

    Plates that aren't in the chain yet are added to it, marked as late.

    Raises
    ------
    EvidenceRefused
        There are no such plates, a photo's bytes are gone or damaged, or plates were judged by several standards.
    GraderError
        Records, chain, cards' values or studies can't be read.
    """
    plates = _chosen(house, wanted)
    standard = wanted.standard or _their_standard(plates)
    _check_sealed(journal, wanted.tag, standard)
    known = known_today()
    by = By(standard=standard, known=known, studies=kept_studies())
    photos = [(plate.name, _whole(house, plate)) for plate in plates]
    looked = look_at_all(photos, by, workers=workers, done=done)
    chain_plates(journal, plates)
    entries = handed_over(journal.entries(), wanted.tag, key)
    seconds = _seconds(plates, noted_pairs(entries, wanted.tag))
    graded = [one.graded for one in looked]
    first, again = counted(looked, [turn for turn, _ in seconds]), counted_again(looked, [turn for turn, _ in seconds])
    runs = {one.serial.run for one in graded if one.serial is not None}
    return Case(
        supplier=plates[0].supplier,
        lot=plates[0].lot,
        about=plates[0].about,
        tag=wanted.tag,
        plates=tuple(_plate(*one) for one in zip(plates, photos, looked, seconds, strict=True)),
        standard=standard,
        verdict=judge_photos(first, standard, _CLAIM),
        release=judge_photos(first, standard),
        again=judge_photos(again, standard, _CLAIM),
        method_version=METHOD_VERSION,
        graded_on=known.on,
        made_at=journal.now(),
        made_by=wanted.by,
        entries=entries,
        card_values=_documents(values_folder(), "*.toml", runs),
        studies=_documents(studies_folder(), "*.json", runs),
        gauge=wanted.gauge,
        lot_fry=wanted.lot_fry,
        attached=wanted.attached,
        statement=wanted.statement.strip(),
        invented=wanted.invented,
    )


def left_out(case: Case) -> tuple[str, ...]:
    """Names of plates that the chain has of this lot and the case hasn't: withdrawn, or of another lot by now.

    Whoever checks the file sees that they are missing, and it doesn't hold.
    """
    there = {plate.graded.sha256 for plate in case.plates}
    chained = [
        entry.body or {} for entry in case.entries if entry.link.kind == "plate" and entry.link.about == case.tag
    ]
    return tuple(str(body["name"]) for body in chained if body["photo"] not in there)


def note_made(journal: Journal, case: Case, manifest: bytes) -> Entry:
    """Keep that a file was made of these plates: a later one tells that there was an earlier."""
    body = {"by": case.made_by, "manifest": hashlib.sha256(manifest).hexdigest(), "plates": len(case.plates)}
    return journal.add("bundle", body, about=case.tag)


def handed_over(entries: Sequence[Entry], tag: str, key: PublicKey) -> tuple[Entry, ...]:
    """The chain from its first record on, so that nobody need wonder what came before.

    What records of others say is left out: their links are enough for the chain to hold. Not so those of these very
    plates, from when they were of another lot: they name the photo, and no lot.

    Raises
    ------
    EvidenceRefused
        It has no record about these plates, or none on the key that signs.
    """
    ours = any(entry.link.about == tag for entry in entries)
    made = any(entry.body and entry.body.get("fingerprint") == key.fingerprint for entry in entries)
    if not ours or not made:
        raise EvidenceRefused("The chain knows nothing of these plates, or of the key.", hint="Report this, please.")
    shown, plates = {"key", "anchor"}, {entry.link.turn for entry in plates_of(entries, tag)}
    return tuple(
        entry
        if entry.link.about == tag or entry.link.kind in shown or entry.link.turn in plates
        else Entry(link=entry.link, body=None)
        for entry in entries
    )


def _chosen(house: House, wanted: Wanted) -> tuple[RecordedPlate, ...]:
    plates = recorded_plates(house, tag=wanted.tag)
    if not plates:
        raise EvidenceRefused("There are no such plates in the records.", hint="Keep them first: records import.")
    if len(plates) > PLATES_AT_MOST:
        hint = f"At most {PLATES_AT_MOST} plates go into one file."
        raise EvidenceRefused(f"These are {len(plates)} plates.", hint=hint)
    if not wanted.by.strip() or len(wanted.statement) > STATEMENT_AT_MOST:
        hint = f"Give initials, and a statement of at most {STATEMENT_AT_MOST} characters."
        raise EvidenceRefused("Initials are missing, or the statement is too long.", hint=hint)
    _check_attached(wanted.attached)
    gone = [plate.name for plate in plates if plate.forgotten]
    if gone:
        told = f"The bytes of {first_of(gone)} were deleted by the house's own rule."
        hint = (
            "Restore a backup from before in a new folder (records restore BACKUP --into NEW), and make the file of "
            "that one's records: --records sqlite:///NEW/records.sqlite3."
        )
        raise EvidenceRefused(told, hint=hint)
    return plates


def _whole(house: House, plate: RecordedPlate) -> bytes:
    """A plate's photo, held against its hash: whoever gets the file does the same."""
    data = whole_photo(house.photos, plate.photo_sha256)
    if data is None:
        hint = "Put it back from the original or a backup: records doctor --mend --photos-from DIR."
        raise EvidenceRefused(f"The photo {plate.name} is missing among the kept ones, or damaged.", hint=hint)
    return data


def _check_attached(attached: Sequence[Attached]) -> None:
    """Each has a name that a file of its own in the bundle may have."""
    names = [one.name for one in attached]
    wrong = [name for name in names if not may_be_called(f"{ATTACHED}/{name}")]
    wrong += [name for name in names if [one.casefold() for one in names].count(name.casefold()) > 1]
    if wrong:
        hint = "Rename: letters without accents, digits, dots and dashes, no blanks; each name once."
        raise EvidenceRefused(f"These can't be attached: {', '.join(dict.fromkeys(wrong))}.", hint=hint)


def _check_sealed(journal: Journal, tag: str, standard: Standard) -> None:
    """What was sealed before the plates is what judges them."""
    plans = plans_in_time(journal.entries(), tag)
    plan = (plans[-1].body or {}) if plans else {}
    if plan and plan["standard_sha256"] != standard_sha256(standard):
        told = f"{plan['standard_name']}, version {plan['standard_version']}"
        raise EvidenceRefused(f"The plan of this lot was sealed for {told}.", hint="Name that standard: --standard.")


def _their_standard(plates: Sequence[RecordedPlate]) -> Standard:
    """The one that judged them last."""
    found = {
        (standard_sha256(standard), standard.stage): standard
        for standard in (
            at_stage(read_standard(text, name="The kept standard"), cast("StageName", stage))
            for text, stage in {(plate.standard_text, plate.stage) for plate in plates}
        )
    }
    if len(found) > 1:
        names = "; ".join(f"{one.name}, version {one.version}, {one.stage}" for one in found.values())
        raise EvidenceRefused(f"These plates were judged by several standards: {names}.", hint="Name the agreed one.")
    return next(iter(found.values()))


def _seconds(plates: Sequence[RecordedPlate], pairs: Mapping[str, tuple[str, Way]]) -> list[tuple[int, str]]:
    """Of each second photo the turn of its first, and how the plate was changed in between; else 0 and nothing."""
    turns = {plate.photo_sha256: turn for turn, plate in enumerate(plates, 1)}
    told = [pairs.get(plate.photo_sha256, ("", "")) for plate in plates]
    return [(turns[first], way) if first in turns else (0, "") for first, way in told]


def _plate(recorded: RecordedPlate, photo: tuple[str, bytes], looked: Looked, second: tuple[int, str]) -> CasePlate:
    return CasePlate(
        data=photo[1],
        looked=looked,
        batch=recorded.batch,
        kitchen=recorded.kitchen,
        by=recorded.by,
        clocks=_clocks(recorded, looked),
        kept_at=recorded.kept_at,
        mends=recorded.mends,
        second_of=second[0],
        way=second[1],
    )


def _clocks(recorded: RecordedPlate, looked: Looked) -> TwoClocks:
    return two_clocks(looked.camera_time, ZoneInfo(recorded.zone), recorded.kept_at)


def _documents(folder: Path, pattern: str, runs: set[str]) -> Mapping[str, bytes]:
    """The documents of these print runs: their names begin with the run's."""
    return {path.name: path.read_bytes() for path in folder.glob(pattern) if path.name.split(".")[0] in runs}
