from dataclasses import replace
from datetime import UTC, datetime

import pytest

from grader.decision import Question, Terms
from grader.records.database import House, LotFacts, RecordsRefused, keep_graded
from grader.records.database.correcting import correct
from grader.records.database.doctor import examine
from grader.records.database.forgetting import forget_photos
from grader.records.kept_files import Signed
from tests.bars.records import graded_plate, house_standard, photo_bytes
from tests.records.database.conftest import SETTING, keep

SIGNED = Signed(by="AB", at=datetime(2026, 11, 1, tzinfo=UTC), why="six months are over")
LATER = datetime(2026, 6, 1, tzinfo=UTC)
"""All plates that `keep` keeps were photographed in March."""


def photos(house: House) -> set[str]:
    return set(house.photos.names())


def keep_claimed(house: House, number: int, *, lot: str) -> str:
    """A plate that was judged for a claim; its photo."""
    data = photo_bytes(number, 5000)
    graded = graded_plate(number, data, fries=12)
    assert graded.verdict is not None
    graded = replace(graded, verdict=replace(graded.verdict, terms=Terms(question=Question.CLAIM)))
    setting = replace(SETTING, lot=LotFacts(supplier="Invented Growers", number=lot), batch=f"claim {number}")
    keep_graded(house, graded, data, standard=house_standard(), setting=setting)
    return graded.sha256


def test_old_photos_go_and_what_was_read_of_them_stays(house: House) -> None:
    kept = keep(house, 1)
    assert photos(house)
    told = forget_photos(house, before=LATER, signed=SIGNED, sealed=())
    assert (told.photos, told.spared, told.bytes) == (1, 0, 5000)
    assert not photos(house)
    assert keep(house, 1).grading_id == kept.grading_id
    assert forget_photos(house, before=LATER, signed=SIGNED, sealed=()).photos == 0


def test_younger_photos_stay(house: House) -> None:
    keep(house, 1)
    assert forget_photos(house, before=datetime(2026, 3, 1, tzinfo=UTC), signed=SIGNED, sealed=()).photos == 0
    assert photos(house)


def test_a_photo_that_was_withdrawn_is_no_older_for_it(house: House) -> None:
    plate = keep(house, 1).plate_id
    correct(house, "plate", plate, {}, signed=SIGNED, withdraw=True)
    assert forget_photos(house, before=datetime(2026, 3, 1, tzinfo=UTC), signed=SIGNED, sealed=()).photos == 0
    assert photos(house)
    assert forget_photos(house, before=LATER, signed=SIGNED, sealed=()).photos == 1


def test_photos_in_a_claim_are_spared_and_so_are_all_of_their_lot(house: House) -> None:
    keep(house, 1, lot=LotFacts(supplier="Invented Growers", number="claimed"))
    keep(house, 2, lot=LotFacts(supplier="Invented Growers", number="another"))
    keep(house, 3, lot=LotFacts(supplier="Another supplier", number="claimed"))
    claimed = keep_claimed(house, 4, lot="claimed")
    told = forget_photos(house, before=LATER, signed=SIGNED, sealed=())
    assert (told.photos, told.spared) == (2, 2)
    assert len(photos(house)) == 2
    assert claimed in photos(house)


def test_sealed_photos_are_spared_and_so_are_all_of_their_lot(house: House) -> None:
    """What a sealed file decides, the records don't know: its photos are told by their hashes."""
    keep(house, 1, lot=LotFacts(supplier="Invented Growers", number="sealed"))
    (sealed,) = photos(house)
    keep(house, 2, lot=LotFacts(supplier="Invented Growers", number="sealed"), batch="second")
    keep(house, 3, lot=LotFacts(supplier="Invented Growers", number="another"))
    told = forget_photos(house, before=LATER, signed=SIGNED, sealed={sealed, "0" * 64})
    assert (told.photos, told.spared) == (1, 2)
    assert sealed in photos(house)
    assert len(photos(house)) == 2


def test_a_sealed_photo_is_spared_though_its_plate_was_withdrawn(house: House) -> None:
    plate = keep(house, 1).plate_id
    correct(house, "plate", plate, {}, signed=SIGNED, withdraw=True)
    assert forget_photos(house, before=LATER, signed=SIGNED, sealed=photos(house)).spared == 1
    assert photos(house)


def test_a_rehearsal_says_what_would_go_and_deletes_nothing(house: House) -> None:
    keep(house, 1)
    assert forget_photos(house, before=LATER, signed=SIGNED, sealed=(), rehearse=True).photos == 1
    assert photos(house)
    assert forget_photos(house, before=LATER, signed=SIGNED, sealed=()).photos == 1


def test_who_and_why_are_asked_for(house: House) -> None:
    keep(house, 1)
    for signed in (replace(SIGNED, by=" "), replace(SIGNED, why="")):
        with pytest.raises(RecordsRefused, match="initials and a reason"):
            forget_photos(house, before=LATER, signed=signed, sealed=())
    assert photos(house)


def test_a_forgetting_that_was_cut_short_is_finished_by_the_doctor(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    keep(house, 1)

    def refuse(_sha256: str) -> None:
        raise PermissionError(13, "Permission denied")

    with monkeypatch.context() as patch:
        patch.setattr(house.photos, "drop", refuse)
        with pytest.raises(PermissionError):
            forget_photos(house, before=LATER, signed=SIGNED, sealed=())
    assert photos(house)
    assert [finding.mended for finding in examine(house, mend=True)] == [True]
    assert not photos(house)
    assert not list(examine(house, mend=False))
