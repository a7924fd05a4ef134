"""What charts and pages ask: plates as they were kept, corrected, the newest grading of each."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, date, datetime

import numpy as np
import pytest
from sqlalchemy import func, select

from grader.records.database import House, keep_decision, keep_graded
from grader.records.database.correcting import correct
from grader.records.database.plate_tables import Plate
from grader.records.database.reading import PAGE, Wanted, batches_page, chart_plates, plates_page
from grader.records.kept_files import Signed
from grader.standard import standard_sha256
from tests.bars.records import graded_plate, house_standard, photo_bytes
from tests.records.database.conftest import FRIES, LOT, SETTING, keep

STANDARD = standard_sha256(house_standard())
SIGNED = Signed(by="CD", at=datetime(2026, 4, 1, tzinfo=UTC), why="seen on the ticket")


def charted(house: House, **wanted: object) -> list[str]:
    return [plate.plate for plate in chart_plates(house, Wanted(**wanted), standard_sha256=STANDARD)]  # type: ignore[arg-type]


def test_who_reads_sees_one_state_whoever_writes_meanwhile(house: House) -> None:
    """A table, then another: a plate that is kept in between would have fries in the one and none in the other."""
    keep(house, 1)
    with house.reading() as connection:
        counted = select(func.count()).select_from(Plate)
        assert connection.scalar(counted) == 1
        with ThreadPoolExecutor(1) as pool:
            pool.submit(keep, house, 2).result()
        assert connection.scalar(counted) == 1
    assert len(charted(house)) == 2


def test_a_plate_is_summed_up_as_its_fries_are(house: House) -> None:
    data = photo_bytes(1, 5000)
    graded = graded_plate(1, data, fries=FRIES)
    keep_graded(house, graded, data, standard=house_standard(), setting=SETTING)
    (plate,) = chart_plates(house, Wanted(), standard_sha256=STANDARD)
    assert graded.plate is not None
    lengths = [fry.length_mm.value for fry in graded.plate.fries if fry.length_mm is not None]
    assert plate.length_mean_mm == pytest.approx(np.mean(lengths), abs=1e-3)
    assert plate.length_sd_mm == pytest.approx(np.std(lengths, ddof=1), abs=1e-3)
    assert graded.verdict is not None
    colour = next(limit for limit in graded.verdict.limits if limit.key == "colour")
    assert plate.place_mean == pytest.approx(colour.measured, abs=1e-3)
    assert plate.coloured == colour.counted
    for limit in graded.verdict.limits:
        if limit.unit == "share":
            assert plate.shares[limit.key].share == pytest.approx(limit.measured, abs=1e-3)
    assert (plate.kitchen, plate.fryer, plate.shift, plate.lot) == ("Harbour", "left", "lunch", "L-7")
    assert plate.supplier == "Invented Growers"
    assert plate.taken_at == datetime(2026, 3, 5, 12, 10, tzinfo=UTC)


def test_questions_are_narrowed_by_every_word(house: House) -> None:
    keep(house, 1)
    keep(house, 2, fryer="right", shift="dinner", lot=replace(LOT, number="L-8"))
    keep(house, 3, kitchen="Hill", zone="Europe/Paris")
    assert len(charted(house)) == 3
    assert charted(house, kitchen="Hill") == ["3"]
    assert charted(house, kitchen="Harbour", fryer="right") == ["2"]
    assert charted(house, shift="dinner") == charted(house, lot="L-8") == ["2"]
    assert charted(house, kitchen="Nowhere") == []
    assert charted(house, since=datetime(2026, 3, 5, 11, 30, tzinfo=UTC)) == ["1", "2"]  # Paris is an hour ahead
    assert charted(house, until=datetime(2026, 3, 5, 11, 30, tzinfo=UTC)) == ["3"]


def test_the_newest_grading_counts_and_refused_ones_are_on_no_chart(house: House) -> None:
    data = photo_bytes(1, 5000)
    graded = graded_plate(1, data, fries=FRIES)
    keep_graded(house, graded, data, standard=house_standard(), setting=SETTING)
    fewer = replace(graded_plate(1, data, fries=FRIES - 2), method_version="later")
    keep_graded(house, fewer, data, standard=house_standard(), setting=SETTING)
    assert [plate.measured for plate in chart_plates(house, Wanted(), standard_sha256=STANDARD)] == [FRIES - 2]
    assert [line.method_version for line in plates_page(house, Wanted())] == ["later"]
    assert chart_plates(house, Wanted(), standard_sha256="of another") == ()


def test_a_corrected_batch_is_read_as_corrected_and_a_withdrawn_plate_not_at_all(house: House) -> None:
    kept = [keep(house, number) for number in (1, 2)]
    other = keep(house, 3, lot=replace(LOT, number="L-9"), batch="other")
    (lot,) = (line.lot for line in batches_page(house, Wanted()) if line.batch_id == other.batch_id)
    assert lot == "L-9"
    correct(house, "batch", kept[0].batch_id, {"lot_id": "2"}, signed=SIGNED)
    assert {plate.lot for plate in chart_plates(house, Wanted(), standard_sha256=STANDARD)} == {"L-9"}
    correct(house, "plate", kept[0].plate_id, {}, signed=SIGNED, withdraw=True)
    assert charted(house) == ["2", "3"]
    correct(house, "plate", kept[1].plate_id, {"batch_id": str(other.batch_id)}, signed=SIGNED)
    sizes = {line.batch_id: line.plates for line in batches_page(house, Wanted())}
    assert sizes == {kept[0].batch_id: 0, other.batch_id: 2}


def test_pages_follow_each_other_without_a_gap(house: House) -> None:
    for number in range(PAGE + 7):
        keep(house, number, batch=f"batch {number // 3}")
    first = plates_page(house, Wanted(kitchen="Harbour"))
    rest = plates_page(house, Wanted(), before=(first[-1].taken_at, first[-1].plate_id))
    assert [line.plate_id for line in (*first, *rest)] == list(range(PAGE + 7, 0, -1))


def test_batches_show_their_newest_decision_and_how_many_plates(house: House) -> None:
    kept = [keep(house, 1), keep(house, 2)]
    keep(house, 3, batch="undecided yet", day=date(2026, 3, 6))
    verdict = graded_plate(1, b"", fries=FRIES).verdict
    assert verdict is not None
    for plates in (kept[:1], kept):
        keep_decision(house, plates, verdict, standard=house_standard(), method_version="1")
    newest, decided = batches_page(house, Wanted())
    assert (newest.name, newest.outcome, newest.plates) == ("undecided yet", "", 1)
    assert (decided.outcome, decided.headline, decided.plates) == (verdict.outcome.value, verdict.headline, 2)
    assert [line.name for line in batches_page(house, Wanted(outcome=verdict.outcome.value))] == ["first"]
    assert [line.name for line in batches_page(house, Wanted(), before=(newest.day, newest.batch_id))] == ["first"]
