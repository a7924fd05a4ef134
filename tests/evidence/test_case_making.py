"""A case made of what the records keep, on either kind of database; the pipeline is made up."""

from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from grader.evidence import case_making
from grader.evidence.arrivals import Chainer, chain_batches, sealed_photos
from grader.evidence.case_making import Wanted, left_out, make_case, note_made
from grader.evidence.check import Holds
from grader.evidence.commitments import ClaimPlan, seal_plan
from grader.evidence.errors import EvidenceRefused
from grader.evidence.looking import Looked
from grader.evidence.model import Attached
from grader.evidence.pairs import note_pair
from grader.evidence.recorded import choosable, recorded_plates
from grader.evidence.sealing import seal
from grader.evidence.verifying import Asked, verified_lines, verify
from grader.language.retelling import untold
from grader.places import HOME_VARIABLE
from grader.records.database import House, LotFacts, open_house
from grader.records.database.backing_up import back_up, restore
from grader.records.database.correcting import correct, listed
from grader.records.database.forgetting import forget_photos
from grader.records.guarded import without_pixels
from grader.records.kept_files import Signed
from grader.records.readings import json_bytes, photo_record
from tests.bars.records import graded_plate, house_standard
from tests.evidence import cases
from tests.records.database.conftest import FRIES, keep
from tests.records.database.conftest import files as files  # noqa: PLC0414  fixtures
from tests.records.database.conftest import house as house  # noqa: PLC0414  fixtures
from tests.records.database.conftest import kind as kind  # noqa: PLC0414
from tests.records.database.conftest import url as url  # noqa: PLC0414


def _look(photos: Any, *_: Any, **__: Any) -> tuple[Looked, ...]:
    looked = []
    for number, (_name, data) in enumerate(photos, 1):
        graded = graded_plate(number, data, fries=FRIES)
        readings = json_bytes(photo_record(graded, standard=house_standard()))
        one = Looked(
            graded=without_pixels(graded), readings=readings, camera_time=None, labels=b"", picture=b"", strips=()
        )
        looked.append(one)
    return tuple(looked)


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> cases.House:
    """A house with a key whose clock is the machine's, as the records' is."""
    monkeypatch.setenv(HOME_VARIABLE, str(tmp_path / "home"))
    monkeypatch.setattr(case_making, "look_at_all", _look)
    return cases.house(tmp_path / "home" / "evidence", clock=lambda: datetime.now(UTC))


def tag(house: House) -> str:
    (one,) = choosable(house)
    return one.tag


def test_all_plates_of_a_lot_are_taken_whatever_their_batch(house: House, here: cases.House) -> None:
    for number in (1, 2, 3):
        keep(house, number, batch="first" if number < 3 else "second")
    keep(house, 4, lot=None, batch="of no lot")
    lot, lone = sorted(choosable(house), key=lambda one: -one.plates)
    assert (lot.plates, lot.about) == (3, "Lot L-7 of Invented Growers")
    assert "of no lot" in lone.about
    case = make_case(house, here.journal, Wanted(tag=lot.tag, by="AB"), here.key.public)
    assert [plate.batch for plate in case.plates] == ["first", "first", "second"]
    assert case.verdict is not None
    assert case.verdict.terms.claim
    sealed = seal(case, cases.DOSSIER, here.key)
    verified = verify(sealed.data, Asked(grading=False, lot="L-7"))
    assert verified.holds, verified.checks
    assert "earlier files" not in {check.key for check in verified.checks}
    note_made(here.journal, case, sealed.manifest)
    again = make_case(house, here.journal, Wanted(tag=lot.tag, by="AB"), here.key.public)
    verified = verify(seal(again, cases.DOSSIER, here.key).data, Asked(grading=False))
    assert {check.key: check.holds for check in verified.checks}["earlier files"] is Holds.OPEN


def test_plates_are_chained_as_they_are_kept(house: House, here: cases.House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("grader.evidence.arrivals.house_journal", lambda: here.journal)
    chainer = Chainer.of(house)
    for number in (1, 2):
        keep(house, number)
        assert chainer.chain() == ""
    assert chainer.chain() == ""
    bodies = [entry.body or {} for entry in here.journal.of_kind("plate")]
    assert [body["photo"] for body in bodies] == [plate.photo_sha256 for plate in recorded_plates(house)]
    assert not any(body["late"] for body in bodies)
    assert {entry.link.about for entry in here.journal.of_kind("plate")} == {tag(house)}


def test_plates_of_a_run_that_was_cut_short_are_chained_by_the_next(
    house: House, here: cases.House, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("grader.evidence.arrivals.house_journal", lambda: here.journal)
    first = keep(house, 1)
    chainer = Chainer.of(house)
    keep(house, 2)
    assert chainer.chain({first.batch_id}) == ""
    photos = [(entry.body or {})["photo"] for entry in here.journal.of_kind("plate")]
    assert photos == [plate.photo_sha256 for plate in recorded_plates(house)]


def test_what_cannot_be_chained_stays_kept_and_is_told(
    house: House, here: cases.House, monkeypatch: pytest.MonkeyPatch
) -> None:
    here.journal.file.write_bytes(b"no database at all" * 99)
    monkeypatch.setattr("grader.evidence.arrivals.house_journal", lambda: here.journal)
    chainer = Chainer.of(house)
    keep(house)
    assert "not entered in the chain" in chainer.chain()
    assert len(recorded_plates(house)) == 1


def test_plates_that_were_kept_before_are_chained_late_and_that_is_told(house: House, here: cases.House) -> None:
    keep(house)
    later = replace(here.journal, now=lambda: datetime.now(UTC) + timedelta(days=2))
    (entry,) = chain_batches(house, later, {plate.batch_id for plate in recorded_plates(house)})
    assert entry.body is not None
    assert entry.body["late"]
    case = make_case(house, later, Wanted(tag=tag(house), by="AB"), here.key.public)
    verified = verify(seal(case, cases.DOSSIER, here.key).data, Asked(grading=False))
    assert {check.key: check.holds for check in verified.checks}["chained late"] is Holds.OPEN
    one = "All 1 plate(s) that the chain has of this lot are in the file."
    assert one in {check.words for check in verified.checks}
    assert not untold(one, "es")
    assert next(line for line in verified_lines(verified) if line.startswith("made on")).endswith(" by AB, 1 plate")


@pytest.mark.parametrize("lost", [True, False])
def test_no_file_is_made_of_a_photo_that_is_lost_or_damaged(house: House, here: cases.House, lost: bool) -> None:
    keep(house)
    (plate,) = recorded_plates(house)
    damaged = bytearray(house.photos.get(plate.photo_sha256))
    damaged[99] ^= 1
    house.photos.drop(plate.photo_sha256)
    if not lost:
        house.photos.put(plate.photo_sha256, bytes(damaged))
    with pytest.raises(EvidenceRefused) as caught:
        make_case(house, here.journal, Wanted(tag=tag(house), by="AB"), here.key.public)
    assert plate.name in caught.value.message
    assert "records doctor" in caught.value.hint
    assert here.journal.of_kind("plate") == ()


def test_a_plate_that_was_shot_twice_counts_once(house: House, here: cases.House) -> None:
    for number in (1, 2, 3):
        keep(house, number)
    first, second, _ = recorded_plates(house)
    note_pair(here.journal, tag=tag(house), first=first.photo_sha256, second=second.photo_sha256, way="turned", by="AB")
    case = make_case(house, here.journal, Wanted(tag=tag(house), by="AB"), here.key.public)
    assert [plate.second_of for plate in case.plates] == [0, 1, 0]
    assert case.verdict is not None
    assert case.again is not None
    assert case.verdict.plates == case.again.plates == 2
    assert verify(seal(case, cases.DOSSIER, here.key).data, Asked(grading=False)).holds


def test_a_plan_for_plates_counts_no_second_photos(house: House, here: cases.House) -> None:
    agreed = ClaimPlan(
        supplier="Invented Growers", lot="L-7", unit="sack", units=9, draw=1, plates=2, words="Two.", by="AB"
    )
    seal_plan(here.journal, agreed, house_standard())
    for number in (1, 2, 3):
        keep(house, number)
    first, second, _ = recorded_plates(house)
    note_pair(here.journal, tag=tag(house), first=first.photo_sha256, second=second.photo_sha256, way="turned", by="AB")
    case = make_case(house, here.journal, Wanted(tag=tag(house), by="AB"), here.key.public)
    verified = verify(seal(case, cases.DOSSIER, here.key).data, Asked(grading=False))
    assert "number of plates" not in {check.key for check in verified.checks}


def test_plates_that_were_moved_from_another_lot_are_told(house: House, here: cases.House) -> None:
    """Sealed twice under one lot and then given to another: neither the lot nor its files can be washed off."""
    batch = keep(house, 1).batch_id
    keep(house, 2, batch="second")
    first = tag(house)
    for _ in range(2):
        note_made(here.journal, make_case(house, here.journal, Wanted(tag=first, by="AB"), here.key.public), b"x")
    agreed = ClaimPlan(
        supplier="Invented Growers", lot="ZZ", unit="sack", units=9, draw=1, plates=1, words="1", by="AB"
    )
    seal_plan(here.journal, agreed, house_standard())
    keep(house, 3, lot=LotFacts(supplier="Invented Growers", number="ZZ"), batch="third")
    other = next(lot["id"] for lot in listed(house, "lot") if lot["number"] == "ZZ")
    signed = Signed(by="AB", at=datetime.now(UTC), why="another sack")
    correct(house, "batch", batch, {"lot_id": str(other)}, signed=signed)
    case = make_case(house, here.journal, Wanted(tag=agreed.tag, by="AB"), here.key.public)
    others = [entry for entry in case.entries if entry.link.kind == "plate" and entry.link.about == first]
    assert [entry.body is not None for entry in others] == [True, False]
    verified = verify(seal(case, cases.DOSSIER, here.key).data, Asked(grading=False))
    assert verified.holds
    told = {check.words: check for check in verified.checks if check.holds is Holds.OPEN}
    assert "1 plate(s) were chained for another lot too, or for another name of this one." in told
    assert "2 file(s) were made of that other lot since it had them." in told
    assert "1 plan(s) were sealed after the first plate: these don't count." in told
    assert not [words for words in told if untold(words, "es")]


def test_plates_of_a_lot_that_was_corrected_are_chained_under_its_new_name(house: House, here: cases.House) -> None:
    """The records say that a lot's number was mistyped: its plates are this lot's from then on, chained late."""
    keep(house)
    chain_batches(house, here.journal, {plate.batch_id for plate in recorded_plates(house)})
    (lot,) = listed(house, "lot")
    correct(house, "lot", lot["id"], {"number": "L-8"}, signed=Signed(by="AB", at=datetime.now(UTC), why="mistyped"))
    case = make_case(house, here.journal, Wanted(tag=tag(house), by="AB"), here.key.public)
    assert case.about == "Lot L-8 of Invented Growers"
    assert len(here.journal.of_kind("plate")) == 2
    assert verify(seal(case, cases.DOSSIER, here.key).data, Asked(grading=False)).holds


def test_photos_of_a_lot_that_a_file_was_made_of_are_known(house: House, here: cases.House) -> None:
    keep(house, 1)
    sealed = tag(house)
    keep(house, 2, lot=None, batch="of no lot")
    chain_batches(house, here.journal, {plate.batch_id for plate in recorded_plates(house)})
    assert sealed_photos(here.journal) == frozenset()
    case = make_case(house, here.journal, Wanted(tag=sealed, by="AB"), here.key.public)
    note_made(here.journal, case, b"a manifest")
    assert sealed_photos(here.journal) == {plate.graded.sha256 for plate in case.plates}
    assert len(case.plates) == 1


def test_evidence_of_photos_that_were_forgotten_is_made_of_a_backup(
    files: House, here: cases.House, tmp_path: Path
) -> None:
    for number in range(1, 8):
        keep(files, number)
    back_up(files, tmp_path / "backup")
    told = Signed(by="AB", at=datetime.now(UTC), why="a year is over")
    forget_photos(files, before=datetime.now(UTC) + timedelta(days=1), signed=told, sealed=())
    wanted = Wanted(tag=tag(files), by="AB")
    with pytest.raises(EvidenceRefused, match="and 2 more were deleted by the house's own rule") as refused:
        make_case(files, here.journal, wanted, here.key.public)
    assert "records restore BACKUP --into NEW" in refused.value.hint
    restore(tmp_path / "backup", tmp_path / "NEW")
    with closing(open_house(f"sqlite:///{tmp_path / 'NEW' / 'records.sqlite3'}")) as restored:
        assert len(make_case(restored, here.journal, wanted, here.key.public).plates) == 7


def test_plates_that_were_withdrawn_since_are_named(house: House, here: cases.House) -> None:
    """The file is made, and its maker told what its check will say."""
    plates = [keep(house, number) for number in (1, 2, 3)]
    first, *_ = recorded_plates(house)
    chain_batches(house, here.journal, {first.batch_id})
    wanted = Wanted(tag=tag(house), by="AB")
    assert left_out(make_case(house, here.journal, wanted, here.key.public)) == ()
    told = Signed(by="AB", at=datetime.now(UTC), why="shot by mistake")
    correct(house, "plate", plates[0].plate_id, {}, signed=told, withdraw=True)
    case = make_case(house, here.journal, wanted, here.key.public)
    assert left_out(case) == (first.name,)
    verified = verify(seal(case, cases.DOSSIER, here.key).data, Asked(grading=False))
    assert [check.key for check in verified.checks if check.holds is Holds.NO] == ["plates"]


def test_what_cannot_be_sealed_is_refused(house: House, here: cases.House) -> None:
    key = here.key.public
    with pytest.raises(EvidenceRefused, match="no such plates"):
        make_case(house, here.journal, Wanted(tag="none", by="AB"), key)
    keep(house)
    with pytest.raises(EvidenceRefused, match="Initials"):
        make_case(house, here.journal, Wanted(tag=tag(house), by=" "), key)
    agreed = ClaimPlan(
        supplier="Invented Growers", lot="L-7", unit="sack", units=9, draw=1, plates=1, words="One.", by="AB"
    )
    seal_plan(here.journal, agreed, replace(house_standard(), version="agreed"))
    with pytest.raises(EvidenceRefused, match="sealed for"):
        make_case(house, here.journal, Wanted(tag=tag(house), by="AB"), key)
    for names in (("my table.csv",), ("t.csv", "T.csv"), ("../out",)):
        attached = tuple(Attached(name=name, data=b"1", words="a table") for name in names)
        with pytest.raises(EvidenceRefused, match="can't be attached") as refused:
            make_case(house, here.journal, Wanted(tag=tag(house), by="AB", attached=attached), key)
        assert "Rename" in refused.value.hint
    told = Signed(by="AB", at=datetime.now(UTC), why="a year is over")
    forget_photos(house, before=datetime.now(UTC) + timedelta(days=1), signed=told, sealed=())
    with pytest.raises(EvidenceRefused, match="deleted by the house's own rule"):
        make_case(house, here.journal, Wanted(tag=tag(house), by="AB"), key)
