"""A graded plate kept: all of it once, or none of it."""

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import func, select

from grader.records.database import (
    House,
    LotFacts,
    RecordsRefused,
    RecordsUnusable,
    keep_decision,
    keep_graded,
    know_kitchen,
)
from grader.records.database.correcting import listed
from grader.records.database.fry_rows import TABLE_NAMES, file_cells
from grader.records.database.plate_tables import (
    BatchDecision,
    Fry,
    Grading,
    GradingRecord,
    HouseStandard,
    Photo,
    Plate,
)
from grader.records.database.setting import taken
from grader.records.readings import verdict_record
from grader.records.summary import COLUMNS, fries_of_photo
from grader.standard import read_standard, standard_sha256, write_standard
from tests.bars.records import graded_plate, house_standard, photo_bytes
from tests.records import made_up
from tests.records.database.conftest import FRIES, LOT, SETTING, keep


def count(house: House, table: type) -> int:
    with house.reading() as connection:
        return connection.scalar(select(func.count()).select_from(table)) or 0


def test_every_fry_comes_back_as_its_row_in_the_file_has_it(house: House) -> None:
    data = photo_bytes(1, 5000)
    graded = graded_plate(1, data, fries=FRIES)
    kept = keep_graded(house, graded, data, standard=house_standard(), setting=SETTING)
    with house.reading() as connection:
        asked = select(Fry.__table__).where(Fry.grading_id == kept.grading_id).order_by(Fry.number)
        rows = connection.execute(asked).mappings().all()
    expected = [list(cells) for cells in fries_of_photo("first", graded, house_standard().scale)]
    assert [file_cells(dict(row), batch="first", photo=graded.name) for row in rows] == expected
    assert {column.name for column in Fry.__table__.columns} == {"grading_id", *TABLE_NAMES.values()}
    assert len(TABLE_NAMES) == len(COLUMNS) - 2


def test_the_verdict_is_kept_whole_and_its_outcome_apart(house: House) -> None:
    data = photo_bytes(1, 5000)
    graded = graded_plate(1, data, fries=FRIES)
    keep_graded(house, graded, data, standard=house_standard(), setting=SETTING)
    with house.reading() as connection:
        record = connection.scalars(select(GradingRecord.record)).one()
        outcome = connection.scalars(select(Grading.outcome)).one()
    assert record["verdict"] == verdict_record(graded.verdict)
    assert graded.verdict is not None
    assert outcome == graded.verdict.outcome.value


def test_kept_twice_is_kept_once(house: House) -> None:
    first, again = keep(house), keep(house, batch="another", fryer="right")
    assert first.new
    assert not again.new
    assert replace(again, new=True) == first  # it stays in the batch in which it was kept first
    assert [count(house, table) for table in (Photo, Plate, Grading, Fry)] == [1, 1, 1, FRIES]


def test_a_newer_method_and_another_standard_add_a_grading_each(house: House) -> None:
    data = photo_bytes(1, 5000)
    graded = graded_plate(1, data, fries=FRIES)
    other = replace(house_standard(), version="other")
    for one, standard in (
        (graded, house_standard()),
        (replace(graded, method_version="later"), house_standard()),
        (graded, other),
    ):
        assert keep_graded(house, one, data, standard=standard, setting=SETTING).new
    assert [count(house, table) for table in (Photo, Plate, Grading, HouseStandard)] == [1, 1, 3, 2]


def test_a_kept_standard_reads_back_to_the_same_hash(house: House) -> None:
    keep(house)
    with house.reading() as connection:
        row = connection.execute(select(HouseStandard.sha256, HouseStandard.text)).one()
    assert row.text == write_standard(house_standard())
    assert standard_sha256(read_standard(row.text, name="kept")) == row.sha256


def test_a_refused_photo_is_kept_with_its_reason(house: House) -> None:
    data = photo_bytes(9, 5000)
    refused = replace(made_up.refused(), sha256=graded_plate(1, data, fries=FRIES).sha256)
    keep_graded(house, refused, data, standard=house_standard(), setting=SETTING)
    with house.reading() as connection:
        row = connection.execute(select(Grading.outcome, Grading.fries, Grading.place_mean)).one()
        record = connection.scalars(select(GradingRecord.record)).one()
    assert tuple(row) == ("refused", 0, None)
    assert record["reasons"][0]["code"] == "card_not_found"


def test_bytes_that_are_not_the_graded_ones_are_refused_and_nothing_is_kept(house: House) -> None:
    graded = graded_plate(1, photo_bytes(1, 5000), fries=FRIES)
    with pytest.raises(RecordsRefused):
        keep_graded(house, graded, b"other bytes", standard=house_standard(), setting=SETTING)
    assert count(house, Photo) == 0
    assert list(house.photos.names()) == []


def test_a_fault_in_the_middle_leaves_nothing(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> None:
        raise RecordsUnusable("the disk is full", hint="")

    monkeypatch.setattr("grader.records.database.keeping.insert", fails)
    with pytest.raises(RecordsUnusable):
        keep(house)
    assert [count(house, table) for table in (Photo, Plate, Grading, HouseStandard)] == [0, 0, 0, 0]


# --- where a plate comes from ---


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"kitchen": "New", "zone": ""}, "isn't known yet"),
        ({"kitchen": "New", "zone": "Europe/Nowhere"}, "no time zone"),
        ({"zone": "Europe/Paris"}, "kept with the zone"),
        ({"kitchen": "  "}, "kitchen is blank"),
        ({"batch": ""}, "batch is blank"),
        ({"fryer": "x" * 121}, "more than 120"),
        ({"lot": replace(LOT, solids_percent=120.0)}, "120 %"),
    ],
)
def test_a_setting_that_says_too_little_or_contradicts_is_refused(
    house: House, changed: dict[str, Any], words: str
) -> None:
    keep(house, 1)
    with pytest.raises(RecordsRefused, match=words):
        keep(house, 2, **changed)
    assert count(house, Plate) == 1


def test_what_is_told_of_a_lot_later_is_added_and_what_contradicts_refused(house: House) -> None:
    keep(house, 1)
    keep(house, 2, lot=replace(LOT, variety="Russet", received=date(2026, 3, 1)))
    (lot,) = listed(house, "lot")
    assert (lot["variety"], lot["received"], lot["why"]) == (
        "Russet",
        date(2026, 3, 1),
        "told later: variety, received",
    )
    keep(house, 3)  # saying less is no contradiction
    with pytest.raises(RecordsRefused, match="variety: Russet, not Maris"):
        keep(house, 4, lot=replace(LOT, variety="Maris"))


def test_batches_are_told_apart_by_all_that_is_said_of_them(house: House) -> None:
    changes: list[dict[str, Any]] = [
        {},
        {"fryer": "right"},
        {"shift": "dinner"},
        {"lot": LotFacts(supplier="Invented Growers", number="L-8")},
        {"day": date(2026, 3, 6)},
        {"batch": "second"},
        {},
    ]
    batches = {keep(house, number, **changed).batch_id for number, changed in enumerate(changes)}
    assert len(batches) == 6


def test_a_kitchen_is_known_before_anything_is_graded(house: House) -> None:
    know_kitchen(house, SETTING)
    assert [kitchen["name"] for kitchen in listed(house, "kitchen")] == ["Harbour"]
    with pytest.raises(RecordsRefused):
        know_kitchen(house, replace(SETTING, kitchen="Elsewhere", zone=""))


@pytest.mark.parametrize(
    ("told", "file_at", "expected", "source"),
    [
        ("2026-07-01T12:00:00", None, datetime(2026, 7, 1, 11, tzinfo=UTC), "photo"),  # Lisbon in summer: UTC+1
        ("2026-01-01T12:00:00", None, datetime(2026, 1, 1, 12, tzinfo=UTC), "photo"),
        ("2026-07-01T12:00:00+03:00", None, datetime(2026, 7, 1, 9, tzinfo=UTC), "photo"),
        ("2026-10-25T01:30:00", None, datetime(2026, 10, 25, 0, 30, tzinfo=UTC), "photo"),  # the clock shows it twice
        (None, datetime(2026, 1, 2, tzinfo=UTC), datetime(2026, 1, 2, tzinfo=UTC), "file"),
        (None, None, datetime(2026, 2, 2, tzinfo=UTC), "keeping"),
    ],
)
def test_when_a_photo_was_taken(told: str | None, file_at: datetime | None, expected: datetime, source: str) -> None:
    """Summer time in Lisbon as the IANA database has it: UTC+1 from the last Sunday of March to that of October."""
    found = taken(told, ZoneInfo("Europe/Lisbon"), file_at=file_at, now=datetime(2026, 2, 2, tzinfo=UTC))
    assert (found.at, found.source) == (expected, source)


# --- decisions ---


def test_the_same_decision_twice_is_one_and_another_is_another(house: House) -> None:
    kept = [keep(house, 1), keep(house, 2)]
    verdict = graded_plate(1, b"", fries=FRIES).verdict
    told = {"standard": house_standard(), "method_version": "1"}
    first = keep_decision(house, kept, verdict, **told)  # type: ignore[arg-type]
    assert keep_decision(house, list(reversed(kept)), verdict, **told) == first  # type: ignore[arg-type]
    assert keep_decision(house, kept[:1], verdict, **told) != first  # type: ignore[arg-type]
    assert count(house, BatchDecision) == 2


def test_a_decision_over_plates_of_two_batches_is_refused(house: House) -> None:
    kept = [keep(house, 1), keep(house, 2, batch="second")]
    for plates in (kept, []):
        with pytest.raises(RecordsRefused, match="batches"):
            keep_decision(house, plates, None, standard=house_standard(), method_version="1")
