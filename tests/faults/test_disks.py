"""The disk runs full, or can't be written: it is told, what was there stays, and with room again all goes on."""

from collections.abc import Callable, Iterator
from contextlib import closing, suppress
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from grader.consistency.gauge.plan import StudySize, plan_study
from grader.errors import GraderError
from grader.evidence.journal import Journal, JournalUnusable
from grader.records.database import House, RecordsRefused, RecordsUnusable, open_house
from grader.records.database.backing_up import back_up, restore
from grader.records.database.doctor import examine
from grader.records.database.plate_tables import Photo, Plate
from grader.records.gauge_studies import add_reading, begin_study, read_study
from grader.records.house_values import HouseValues, house_values, keep_house_values
from grader.records.kept_files import Signed
from grader.records.kept_standards import keep_standard, load_kept
from grader.records.naming import SUMMARY
from grader.records.readings import write_readings
from grader.records.summary import BatchEntry, PhotoEntry, write_summary
from grader.serving.pairing import Pairings, Place
from tests.evidence.cases import Clock
from tests.faults.disks import fill, read_only, small_disk
from tests.fuzz.target import files_of
from tests.records import made_up
from tests.records.database.conftest import keep
from tests.records.database.test_keeping import count
from tests.records.test_gauge_studies import line
from tests.records.test_history import STANDARD, run

SIZE_KB = 4000


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    with small_disk(tmp_path / "disk", size_kb=SIZE_KB) as place:
        yield place


def whole(house: House, plates: int) -> None:
    assert not list(examine(house, mend=False))
    assert (count(house, Plate), count(house, Photo)) == (plates, plates)
    assert len(list(house.photos.names())) >= plates


def test_records_on_a_disk_that_runs_full(disk: Path) -> None:
    house = open_house(f"sqlite:///{disk / 'records.sqlite3'}")
    keep(house, 0)
    filling = fill(disk)
    for number in range(1, 4):
        with pytest.raises((RecordsUnusable, OSError)):
            keep(house, number)
    whole(house, 1)
    filling.unlink()
    assert keep(house, 1).new
    whole(house, 2)
    house.close()


def test_records_whose_disk_runs_full_between_photo_and_rows(disk: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The photo has just found room; its rows find none. It stays without a plate until it is kept."""
    house = open_house(f"sqlite:///{disk / 'records.sqlite3'}")
    keep(house, 0)
    put, filled = house.photos.put, list[Path]()

    def put_and_fill(sha256: str, data: bytes) -> None:
        put(sha256, data)
        filled.append(fill(disk))

    monkeypatch.setattr(house.photos, "put", put_and_fill)
    with pytest.raises(RecordsUnusable) as caught:
        _keep_many(house, filled)
    assert "disk" in f"{caught.value.message}{caught.value.hint}"
    monkeypatch.undo()
    filled[-1].unlink()
    plates = count(house, Plate)
    assert keep(house, plates).new
    whole(house, plates + 1)
    house.close()


def _keep_many(house: House, filled: list[Path]) -> None:
    """Until it fails: the log may have a page left from before."""
    for number in range(1, 200):
        keep(house, number)
        filled[-1].unlink()


def test_records_on_a_disk_that_cannot_be_written(disk: Path) -> None:
    place = f"sqlite:///{disk / 'records.sqlite3'}"
    house = open_house(place)
    keep(house, 0)
    house.close()  # a disk with files open for writing can't be made read-only
    with read_only(disk):
        with pytest.raises((RecordsUnusable, OSError)):
            keep(house, 1)
        house.close()
        with pytest.raises(RecordsUnusable, match="can't be used") as caught:
            open_house(place)
        assert caught.value.hint
    assert keep(house, 1).new
    whole(house, 2)
    house.close()


def _result_files(folder: Path) -> Callable[[], object]:
    run(folder / "results", batches=1, photos=1)
    return lambda: _write_results(folder / "results")


def _write_results(folder: Path) -> None:
    entry = PhotoEntry(stem="p0", source="plates", graded=replace(made_up.graded("other.jpg"), sha256="f" * 64))
    write_readings(folder, "p0", entry.graded, standard=STANDARD)
    batch = BatchEntry(name="another", photos=(entry,) * 300, verdict=None)
    write_summary(folder, [batch], standard=STANDARD)


def _values(folder: Path) -> Callable[[], object]:
    keep_house_values(HouseValues(kitchen="Harbour"), folder)
    return lambda: keep_house_values(HouseValues(kitchen="Quay " * 2000), folder)


def _standards(folder: Path) -> Callable[[], object]:
    first = Signed(by="AB", at=datetime(2026, 11, 2, tzinfo=UTC), why="first")
    own = replace(made_up.standard(), name="Our strips", version="1")
    keep_standard(folder / "standards", "ours", own, first, succeeds=False)
    return lambda: keep_standard(
        folder / "standards", "ours", replace(own, version="2", note="another"), first, succeeds=True
    )


def _phones(folder: Path) -> Callable[[], object]:
    pairings = Pairings(folder / "phones.json")
    until = datetime.now(UTC) + timedelta(hours=8)
    place = Place(kitchen="Harbour", zone="Europe/Lisbon", shift="dinner " * 1000, until=until)
    assert pairings.pair(pairings.new_code(place))
    return lambda: pairings.pair(pairings.new_code(place))


def _chain(folder: Path) -> Callable[[], object]:
    journal = Journal(folder=folder / "evidence", now=Clock())
    journal.add("plate", {"photo": "0" * 64})
    return lambda: [journal.add("plate", {"photo": f"{n:064d}", "words": "x" * 5000}) for n in range(9)]


def _study(folder: Path) -> Callable[[], object]:
    plan = plan_study(StudySize(people=("AB", "CD"), plates=3), rng=np.random.default_rng(1))
    study = begin_study(folder / "study", plan, standard=made_up.standard(), on=date(2026, 11, 26))
    study = add_reading(study, line(1, 2.0))
    return lambda: [add_reading(study, line(number)) for number in range(2, 12)]


WRITERS = {
    "results": _result_files,
    "house values": _values,
    "kept standards": _standards,
    "paired phones": _phones,
    "chain of records": _chain,
}


@pytest.mark.parametrize("what", WRITERS)
@pytest.mark.parametrize("fault", ["full", "read-only"])
def test_a_file_that_cannot_be_written_stays_as_it_was(disk: Path, what: str, fault: str) -> None:
    write = WRITERS[what](disk)
    before = files_of(disk)
    if fault == "full":
        filling = fill(disk)
        with pytest.raises((GraderError, OSError)) as caught:
            write()
        filling.unlink()
    else:
        with read_only(disk), pytest.raises((GraderError, OSError)) as caught:
            write()
    assert str(caught.value)
    after = files_of(disk)
    if what == "chain of records":
        chained = Journal(folder=disk / "evidence", now=Clock()).entries()
        assert chained[0].body == {"photo": "0" * 64}
        assert fault == "full" or len(chained) == 1
    elif what == "results":
        assert {name: after[f"results/{name}"] for name in (SUMMARY, "fries.csv")} == {
            name: before[f"results/{name}"] for name in (SUMMARY, "fries.csv")
        }
    else:
        assert {name: after[name] for name in before} == before
    write()  # with room again it goes on
    if what == "house values":
        assert house_values(disk).kitchen.startswith("Quay")
    if what == "kept standards":
        assert [kept.turn for kept in load_kept(disk / "standards", "ours")] == [1, 2]


def test_a_study_on_a_disk_that_runs_full_loses_no_earlier_reading(disk: Path) -> None:
    write = _study(disk)
    filling = fill(disk)
    with suppress(OSError):  # a disk's last page may still hold these few lines
        write()
    filling.unlink()
    assert read_study(disk / "study").means[1] == {"place": 2.0}


def test_a_chain_on_a_full_disk_says_so(disk: Path) -> None:
    write = _chain(disk)
    fill(disk)
    with pytest.raises(JournalUnusable, match="disk"):
        write()


def test_a_backup_onto_a_full_disk_is_none(disk: Path, tmp_path: Path) -> None:
    with closing(open_house(f"sqlite:///{tmp_path / 'house' / 'records.sqlite3'}")) as house:
        keep(house, 0)
        filling = fill(disk)
        with pytest.raises((RecordsUnusable, OSError)):
            back_up(house, disk / "copy")
        with pytest.raises(RecordsRefused, match="no whole backup"):
            restore(disk / "copy", tmp_path / "new")
        filling.unlink()
        assert back_up(house, disk / "again").plates == 1
