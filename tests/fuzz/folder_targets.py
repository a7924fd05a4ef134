"""Folders that come in from elsewhere: results of earlier runs, tables filled in, backups, the house's own files."""

import hashlib
import json
from collections.abc import Callable, Iterable, Sequence
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np

from grader.consistency.gauge.plan import StudySize, plan_study
from grader.errors import GraderError
from grader.line.fry_numbers import read_chips
from grader.line.levels import read_levels
from grader.line.lot_fry_table import read_planned, read_strips
from grader.line.trial_table import read_plates as read_trial
from grader.records.comparisons import read_pairs
from grader.records.database import open_house
from grader.records.database.backing_up import LIST, back_up, restore
from grader.records.database.doctor import examine
from grader.records.database.house import FILE
from grader.records.gauge_studies import begin_study, read_study
from grader.records.history import past_plates
from grader.records.house_values import HouseValues, house_values, keep_house_values
from grader.records.judged_batches import limits_of_batch
from grader.records.naming import SUMMARY
from grader.records.plate_readings import read_plates
from grader.records.shift_plates import read_events
from grader.records.strip_lengths import tubers_of
from grader.serving.pairing import Pairings, Place
from grader.trueness.kit_files import read_kit, write_kit
from tests.fuzz.mutating import BYTES, JSON, TEXT
from tests.fuzz.target import Read, Target, files_of, in_folder, with_file
from tests.records import made_up
from tests.records.database.conftest import keep
from tests.records.test_history import STANDARD, run
from tests.trueness.made_up import kit

_WAYS = {"json": JSON, "jsonl": JSON, "toml": TEXT, "csv": TEXT, "sqlite3": BYTES}


def _target(
    name: str, make: Callable[[Path], object], read: Callable[[Path], Iterable[Callable[[], object]]]
) -> Target:
    """A folder that `make` fills; `read` gives all that reads it."""

    def seeds(scratch: Path) -> Sequence[bytes]:
        if not (scratch / "in").exists():
            make(scratch / "in")
        return in_folder(files_of(scratch / "in"), _WAYS)[0]

    def opened(scratch: Path) -> Read:
        readers = tuple(read(scratch / "in"))

        def all_of_them() -> None:
            refused: list[GraderError] = []
            for reader in readers:
                try:
                    reader()
                except GraderError as error:
                    refused.append(error)
            if refused:
                raise refused[0]

        return with_file(scratch / "in", all_of_them)

    return Target(name=name, seeds=seeds, ways=(in_folder({}, _WAYS)[1],), open=opened)


def _run(folder: Path) -> None:
    run(folder, batches=2, photos=2)
    summary = json.loads((folder / SUMMARY).read_text())
    summary["batches"][0]["verdict"] = json.loads((folder / "p0.json").read_text())["verdict"]
    (folder / SUMMARY).write_text(json.dumps(summary))
    (folder / "about.csv").write_text("batch,kitchen,taken_at\nbatch 0,Harbour,2026-11-02T18:30\nbatch 1,Quay,\n")


def _read_run(folder: Path) -> Iterable[Callable[[], object]]:
    return (
        lambda: past_plates([folder], standard=STANDARD),
        lambda: read_plates([folder], standard=STANDARD, about=folder / "about.csv"),
        lambda: limits_of_batch(folder, "batch 0"),
        lambda: tubers_of(folder, folder, standard=STANDARD),
    )


_TABLES = {
    "strips.csv": "basket,lot,carton,tuber,place,sugar_end,number,stem_number\n1,new,1,2,3.5,yes,1,2\n2,kept,1,1,2,,\n",
    "trial.csv": "time_s;celsius;place\n150;175;2,5\n130;180;3\n",
    "levels.csv": "level,place\n0.5,2.5\n3,3.5\n12,4\n",
    "chips.csv": "number,L,a,b\n000,75,1,22\n0,70,2,24\n1,65,5,26\n2,60,8,30\n",
    "events.csv": "at,kind,kitchen,fryer,lot,words\n2026-11-02T18:30,oil changed,Harbour,left,,new oil\n",
    "pairs.csv": "first,second\na.jpg,b.jpg\n",
}


def _tables(folder: Path) -> None:
    folder.mkdir()
    for name, text in _TABLES.items():
        (folder / name).write_text(text)


def _read_tables(folder: Path) -> Iterable[Callable[[], object]]:
    return (
        lambda: read_strips(folder / "strips.csv"),
        lambda: read_planned(folder / "strips.csv"),
        lambda: read_trial(folder / "trial.csv"),
        lambda: read_levels(folder / "levels.csv"),
        lambda: read_chips(folder / "chips.csv"),
        lambda: read_events(folder / "events.csv", zone=UTC),
        lambda: read_pairs(folder / "pairs.csv"),
    )


def _gauge(folder: Path) -> None:
    plan = plan_study(StudySize(people=("AB", "CD"), plates=3), rng=np.random.default_rng(1))
    begin_study(folder, plan, standard=made_up.standard(), on=date(2026, 11, 26))
    line = {"number": 1, "file": "001.jpg", "sha256": "0" * 64, "at": "2026-11-26T09:00:00Z", "method_version": "2"}
    (folder / "read.jsonl").write_text(json.dumps({**line, "means": {"place": 2.5}}) + "\n")


def _house(folder: Path) -> None:
    keep_house_values(HouseValues(kitchen="Harbour", zone="Europe/Lisbon", plate_g=250.0), folder)
    pairings = Pairings(folder / "phones.json")
    until = datetime.now(UTC) + timedelta(days=1)
    pairings.pair(pairings.new_code(Place(kitchen="Harbour", zone="Europe/Lisbon", shift="late", until=until)))


def _read_house(folder: Path) -> Iterable[Callable[[], object]]:
    return (lambda: house_values(folder), lambda: Pairings(folder / "phones.json").place("token"))


def _backup(folder: Path) -> None:
    house = open_house(f"sqlite:///{folder.parent / 'first' / FILE}")
    for number in range(2):
        keep(house, number)
    back_up(house, folder)
    house.close()


def _read_backup(folder: Path) -> Iterable[Callable[[], object]]:
    turn = iter(range(10**9))

    def restored() -> None:
        """As whoever changed the database would do it: the list says its hash anew."""
        into, told = folder.parent / f"into{next(turn)}", (folder / LIST).read_bytes()
        try:
            listed = json.loads(told)
            listed["database_sha256"] = hashlib.sha256((folder / FILE).read_bytes()).hexdigest()
            (folder / LIST).write_text(json.dumps(listed))
        except (ValueError, TypeError, RecursionError):
            pass
        try:
            restore(folder, into)
            house = open_house(f"sqlite:///{into / FILE}")
            try:
                list(examine(house, mend=False))
            finally:
                house.close()
        finally:
            (folder / LIST).write_bytes(told)

    return (restored,)


TARGETS = (
    _target("results of earlier runs", _run, _read_run),
    _target("tables filled in", _tables, _read_tables),
    _target("kit of trueness", lambda folder: write_kit(folder, kit()), lambda folder: (lambda: read_kit(folder),)),
    _target("study of the method", _gauge, lambda folder: (lambda: read_study(folder),)),
    _target("house values, phones", _house, _read_house),
    _target("backup of the records", _backup, _read_backup),
)
