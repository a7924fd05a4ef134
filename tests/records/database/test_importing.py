"""Whole batches brought in: resumed, never twice, one bad photo beside good ones; graded anew by a newer method."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime

import pytest
from sqlalchemy import func, select

from grader.grading import GradedPhoto
from grader.records.database import House
from grader.records.database import importing as room
from grader.records.database.correcting import correct
from grader.records.database.importing import Imported, PhotoToImport, import_batch
from grader.records.database.plate_tables import BatchDecision, Fry, Grading, Plate
from grader.records.database.reading import Wanted, batches_page
from grader.records.database.regrading import regrade
from grader.records.guarded import of_fault, refusal
from grader.records.kept_files import Signed
from tests.bars.records import graded_plate, house_standard, photo_bytes
from tests.records.database.conftest import FRIES, SETTING, keep

FILES = {f"plate-{number}.jpg": photo_bytes(number, 5000) for number in range(1, 5)}


class MadeUpGrading:
    """A made-up pipeline that counts what it grades; the bytes of `bad` are refused."""

    def __init__(self, *, bad: str = "", method: str = "1") -> None:
        self.asked: list[str] = []
        self._bad, self._method = bad, method

    def __call__(self, name: str, data: bytes) -> GradedPhoto:
        self.asked.append(name)
        if name == self._bad:
            return refusal(name, data, of_fault(ZeroDivisionError(), doing="grading"))
        number = next(number for number, known in enumerate(FILES.values(), 1) if known == data)
        return replace(graded_plate(number, data, fries=FRIES), name=name, method_version=self._method)


def photos(*left_out: str) -> list[PhotoToImport]:
    return [
        PhotoToImport(name=name, sha256=graded_plate(1, data).sha256, read=lambda data=data: data)  # type: ignore[misc]
        for name, data in FILES.items()
        if name not in left_out
    ]


def bring_in(house: House, grade: MadeUpGrading, wanted: Sequence[PhotoToImport] | None = None) -> Imported:
    wanted = photos() if wanted is None else wanted
    return import_batch(house, wanted, grade=grade, standard=house_standard(), setting=SETTING)


def counts(house: House) -> list[int]:
    with house.reading() as connection:
        tables = (Plate, Grading, Fry, BatchDecision)
        return [connection.scalar(select(func.count()).select_from(table)) or 0 for table in tables]


@pytest.fixture(autouse=True)
def made_up_method(monkeypatch: pytest.MonkeyPatch) -> None:
    """The made-up plates say that method 1 graded them."""
    monkeypatch.setattr("grader.records.database.importing.METHOD_VERSION", "1")
    monkeypatch.setattr("grader.records.database.regrading.METHOD_VERSION", "1")


def test_a_batch_is_kept_with_its_decision_and_then_passed_over(house: House) -> None:
    done = bring_in(house, MadeUpGrading())
    assert (done.new, done.known, done.problems) == (4, 0, ())
    assert done.outcome
    again = MadeUpGrading()
    assert (bring_in(house, again).new, again.asked) == (0, [])
    assert counts(house) == [4, 4, 4 * FRIES, 1]


def test_a_batch_that_was_cut_short_ends_as_one_that_was_not(house: House) -> None:
    class Died(BaseException):
        pass

    class Dies(MadeUpGrading):
        def __call__(self, name: str, data: bytes) -> GradedPhoto:
            if len(self.asked) == 2:
                raise Died
            return super().__call__(name, data)

    with pytest.raises(Died):
        bring_in(house, Dies())
    assert counts(house) == [2, 2, 2 * FRIES, 0]
    done = bring_in(house, MadeUpGrading())
    assert (done.new, done.known) == (2, 2)
    assert counts(house) == [4, 4, 4 * FRIES, 1]
    assert [line.plates for line in batches_page(house, Wanted())] == [4]


def test_a_photo_added_to_a_folder_makes_a_new_decision(house: House) -> None:
    bring_in(house, MadeUpGrading(), photos("plate-4.jpg"))
    done = bring_in(house, MadeUpGrading())
    assert (done.new, done.known) == (1, 3)
    assert counts(house)[3] == 2


def test_one_bad_photo_never_stops_the_rest(house: House) -> None:
    def burst() -> bytes:
        raise OSError(5, "the card reader was unplugged")

    unreadable = replace(photos()[0], read=burst)
    done = bring_in(house, MadeUpGrading(bad="plate-2.jpg"), [unreadable, *photos("plate-1.jpg")])
    assert done.new == 3  # the refused one is kept too, with its reason
    ((name, words),) = done.problems
    assert name == "plate-1.jpg"
    assert "unplugged" in words
    with house.reading() as connection:
        assert "refused" in connection.scalars(select(Grading.outcome)).all()


def test_the_same_photo_twice_in_a_folder_is_one_plate(house: House) -> None:
    done = bring_in(house, MadeUpGrading(), [*photos(), replace(photos()[0], name="copy.jpg")])
    assert (done.new, counts(house)[0]) == (4, 4)


def test_all_plates_of_a_batch_have_the_day_of_its_first(house: House) -> None:
    setting = replace(SETTING, day=None)
    import_batch(house, photos(), grade=MadeUpGrading(), standard=house_standard(), setting=setting)
    assert [(line.plates, line.day.isoformat()) for line in batches_page(house, Wanted())] == [(4, "2026-03-05")]


def test_a_newer_method_grades_anew_and_the_earlier_results_stay(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    bring_in(house, MadeUpGrading())
    for module in ("importing", "regrading"):
        monkeypatch.setattr(f"grader.records.database.{module}.METHOD_VERSION", "2")
    newer = MadeUpGrading(method="2")
    (done,) = regrade(house, grade_by=lambda _: newer, by="CD")
    assert (done.new, len(newer.asked)) == (4, 4)
    assert counts(house) == [4, 8, 8 * FRIES, 2]
    assert list(regrade(house, grade_by=lambda _: newer, by="CD")) == []
    assert len(newer.asked) == 4
    assert room.batch_is_kept(house, [photo.sha256 for photo in photos()], house_standard())


@pytest.mark.parametrize("what", ["batch", "kitchen"])
def test_what_was_withdrawn_is_not_graded_anew_and_stops_nothing(
    house: House, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    bring_in(house, MadeUpGrading())
    keep(house, 9, kitchen="Quayside", batch="second")
    signed = Signed(by="CD", at=datetime(2026, 4, 1, tzinfo=UTC), why="of a trial")
    correct(house, what, 1, {}, signed=signed, withdraw=True)
    for module in ("importing", "regrading"):
        monkeypatch.setattr(f"grader.records.database.{module}.METHOD_VERSION", "2")
    monkeypatch.setitem(FILES, "made-up", photo_bytes(9, 5000))
    assert [
        (done.name, done.new) for done in regrade(house, grade_by=lambda _: MadeUpGrading(method="2"), by="CD")
    ] == [("second", 1)]


def test_a_batch_that_could_not_be_graded_anew_is_told(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    bring_in(house, MadeUpGrading())
    for module in ("importing", "regrading"):
        monkeypatch.setattr(f"grader.records.database.{module}.METHOD_VERSION", "2")
    for sha256 in list(house.photos.names()):
        house.photos.drop(sha256)
    (done,) = regrade(house, grade_by=lambda _: MadeUpGrading(method="2"), by="CD")
    assert done.new == 0
    assert len(done.problems) == 4


def test_a_plate_moved_to_another_batch_is_decided_there(house: House) -> None:
    bring_in(house, MadeUpGrading())
    other = keep(house, 9, batch="other")
    signed = Signed(by="CD", at=datetime(2026, 4, 1, tzinfo=UTC), why="laid in the wrong folder")
    moved = {"batch_id": str(other.batch_id)}
    for plate in range(1, 5):
        correct(house, "plate", plate, moved, signed=signed)
    setting = replace(SETTING, batch="first")
    newer = replace(house_standard(), version="later")
    import_batch(house, photos(), grade=MadeUpGrading(), standard=newer, setting=setting)
    lines = {line.name: line for line in batches_page(house, Wanted())}
    assert (lines["other"].plates, lines["first"].plates) == (5, 0)
    assert lines["other"].outcome
