"""Runs over folders: gone on from where they were cut short, nothing known by its name alone, nothing held for long."""

import base64
import gc
import json
import weakref
import zlib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from grader.records.database import Setting, open_house
from grader.records.database.importing import BatchKeeper
from grader.records.summary import BatchEntry
from grader.running.crew import Here, Pending, Ready
from grader.running.folder import run
from grader.running.journal import JOURNAL, FolderInUse
from grader.running.one_photo import Grading, NotHere, OtherEdition, PhotoTask, grade_task
from tests.records import made_up
from tests.running.folders import Ended, MadeUp, Pretends, go, plates, results

NAMES = ("a/p1.jpg", "a/p2-refused.jpg", "a/p3.jpg", "b/p1.jpg", "b/p4.jpg", "c/p5.jpg")


@pytest.fixture(autouse=True)
def pipeline(monkeypatch: pytest.MonkeyPatch) -> Callable[..., MadeUp]:
    """Puts a made-up pipeline in place: `pipeline(dies_at=3)`."""

    def put(**how: Any) -> MadeUp:
        grade = MadeUp(**how)
        monkeypatch.setattr("grader.records.guarded.grade_photo", grade)
        return grade

    put()
    return put


def test_a_run_that_was_cut_short_goes_on_and_ends_as_one_that_was_not(
    pipeline: Callable[..., MadeUp], tmp_path: Path
) -> None:
    batches = plates(tmp_path / "in", *NAMES)
    go(batches, tmp_path / "whole")
    for cut in range(len(NAMES)):
        out = tmp_path / f"cut{cut}"
        first = pipeline(dies_at=cut)
        with pytest.raises(KeyboardInterrupt):
            go(batches, out)
        assert not (out / "summary.json").exists()
        rest = pipeline()
        go(batches, out)
        assert len(first.asked) + len(rest.asked) == len(NAMES)
        assert results(out) == results(tmp_path / "whole")


def test_nothing_is_graded_twice_and_nothing_is_known_by_its_name(
    pipeline: Callable[..., MadeUp], tmp_path: Path
) -> None:
    batches, out = plates(tmp_path / "in", *NAMES), tmp_path / "out"
    go(batches, out)
    again = pipeline()
    go(batches, out)
    assert again.asked == []
    (tmp_path / "in/b/p4.jpg").write_bytes(b"photographed anew")
    go(batches, out)
    assert again.asked == ["p4.jpg"]
    assert "p4-2.json" not in results(out)


@pytest.mark.parametrize("what", ["standard", "stage", "method", "files"])
def test_what_follows_from_other_things_is_graded_anew(
    pipeline: Callable[..., MadeUp], tmp_path: Path, what: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    batches, out = plates(tmp_path / "in", *NAMES), tmp_path / "out"
    go(batches, out)
    grading, again = Grading(standard=made_up.standard()), pipeline()
    match what:
        case "standard":
            grading = Grading(standard=replace(made_up.standard(), version="2"))
        case "stage":
            grading = Grading(standard=replace(made_up.standard(), stage="held"))
        case "method":
            monkeypatch.setattr("grader.running.journal.METHOD_VERSION", "other")
        case _:
            for file in out.glob("*.labels.png"):
                file.unlink()
    go(batches, out, grading=grading)
    assert len(again.asked) == len(NAMES)
    assert sorted(results(out))[:3] == ["fries.csv", "p1-2.graded.jpg", "p1-2.json"]


def test_a_photo_moved_or_added_keeps_the_results_of_others(pipeline: Callable[..., MadeUp], tmp_path: Path) -> None:
    out = tmp_path / "out"
    go(plates(tmp_path / "in", "b/p.jpg"), out)
    before = (out / "p.json").read_bytes()
    again = pipeline()
    go(plates(tmp_path / "in", "a/p.jpg", "b/p.jpg"), out)
    assert again.asked == ["p.jpg"]
    assert (out / "p.json").read_bytes() == before
    record = json.loads((out / "summary.json").read_text())
    assert [batch["photos"][0]["name"] for batch in record["batches"]] == ["p-2", "p"]


@pytest.mark.parametrize("end", [b'{"stem": "half', b"\x00\xff\n", b'{"stem": 3}\tAAAA\n', b"[]\t\n"])
def test_a_journal_with_a_spoilt_end_costs_no_more_than_that(
    pipeline: Callable[..., MadeUp], tmp_path: Path, end: bytes
) -> None:
    batches, out = plates(tmp_path / "in", *NAMES), tmp_path / "out"
    go(batches, out)
    wanted = results(out)
    journal = out / JOURNAL
    whole = journal.read_bytes().splitlines(keepends=True)
    journal.write_bytes(b"".join(whole[:-1]) + end)
    again = pipeline()
    go(batches, out)
    go(batches, out)
    assert again.asked == ["p5.jpg"]
    assert results(out) == wanted


@pytest.mark.parametrize(
    "shown",
    [b"no zlib at all", zlib.compress(b"[]"), zlib.compress(b"{}"), zlib.compress(b"1" * 99)],
    ids=["no zlib", "a list", "nothing of a photo", "a number"],
)
def test_what_a_photo_showed_is_graded_anew_where_it_is_not_as_it_was_written(
    pipeline: Callable[..., MadeUp], tmp_path: Path, shown: bytes
) -> None:
    batches, out = plates(tmp_path / "in", *NAMES), tmp_path / "out"
    go(batches, out)
    wanted, journal = results(out), out / JOURNAL
    first, *rest = journal.read_bytes().splitlines(keepends=True)
    told = first.partition(b"\t")[0]
    journal.write_bytes(told + b"\t" + base64.b64encode(shown) + b"\n" + b"".join(rest))
    again = pipeline()
    go(batches, out)
    assert again.asked == ["p1.jpg"]
    assert results(out) == wanted


def test_a_photo_that_swells_is_graded_anew(pipeline: Callable[..., MadeUp], tmp_path: Path) -> None:
    """A journal from somebody else, of which a line unpacks to a hundred times the room that a photo takes."""
    batches, out = plates(tmp_path / "in", "a/p1.jpg"), tmp_path / "out"
    go(batches, out)
    told, _, packed = (out / JOURNAL).read_bytes().partition(b"\t")
    photo = zlib.decompress(base64.b64decode(packed))
    swollen = zlib.compress(b" " * 2**27 + photo)
    (out / JOURNAL).write_bytes(told + b"\t" + base64.b64encode(swollen) + b"\n")
    again = pipeline()
    go(batches, out)
    assert again.asked == ["p1.jpg"]


def test_files_are_made_where_an_earlier_run_wanted_none(pipeline: Callable[..., MadeUp], tmp_path: Path) -> None:
    batches, out = plates(tmp_path / "in", *NAMES), tmp_path / "out"
    go(batches, out, grading=Grading(standard=made_up.standard(), files=False))
    assert not list(out.glob("p*.json"))
    go(batches, out)
    assert len(list(out.glob("p*.json"))) == len(NAMES)
    again = pipeline()
    go(batches, out, grading=Grading(standard=made_up.standard(), files=False))
    assert again.asked == []


def test_two_runs_do_not_write_into_one_folder(tmp_path: Path) -> None:
    batches, out = plates(tmp_path / "in", *NAMES), tmp_path / "out"
    first = run(batches, grading=Grading(standard=made_up.standard()), out=out, crew=Here(), tell=lambda *_: None)
    next(first)
    with pytest.raises(FolderInUse, match="Another run"):
        go(batches, out)
    first.close()  # type: ignore[attr-defined]
    go(batches, out)


def test_no_batch_is_held_after_it_has_ended(tmp_path: Path) -> None:
    seen: list[weakref.ref[Any]] = []
    alive: list[int] = []

    def watch(entry: BatchEntry) -> None:
        seen.extend(weakref.ref(photo.graded.plate.labels) for photo in entry.photos if photo.graded.plate is not None)
        gc.collect()
        alive.append(sum(one() is not None for one in seen))

    go(plates(tmp_path / "in", *(f"{batch:02}/p{batch}.jpg" for batch in range(30))), tmp_path / "out", on_batch=watch)
    assert max(alive) <= 2


def test_a_photo_on_which_the_program_ended_is_refused_and_tried_again_next_time(
    pipeline: Callable[..., MadeUp], tmp_path: Path
) -> None:
    batches, out = plates(tmp_path / "in", *NAMES), tmp_path / "out"
    go(batches, out, crew=Pretends(lambda task: Ended() if task.path.name == "p3.jpg" else None))
    told = json.loads((out / "p3.json").read_text())
    assert (told["status"], told["reasons"][0]["code"]) == ("refused", "program_ended")
    assert "more memory" in told["reasons"][0]["hint"]
    assert json.loads((out / "p5.json").read_text())["status"] == "measured"
    again = pipeline()
    go(batches, out)
    assert again.asked == ["p3.jpg"]
    assert json.loads((out / "p3.json").read_text())["status"] == "measured"


def test_photos_that_workers_can_not_read_are_sent(tmp_path: Path) -> None:
    batches, sent = plates(tmp_path / "in", *NAMES), []

    def answer(task: PhotoTask) -> Pending[Any] | None:
        if task.data is None:
            return Ready(NotHere())
        sent.append(task.path.name)
        return None

    go(batches, tmp_path / "out", crew=Pretends(answer))
    go(batches, tmp_path / "here")
    assert sorted(sent) == sorted(Path(name).name for name in NAMES)
    assert results(tmp_path / "out") == results(tmp_path / "here")


def test_a_worker_takes_no_other_file_for_the_photo(tmp_path: Path) -> None:
    (tmp_path / "p.jpg").write_bytes(b"another photo of that name")
    grading = Grading(standard=made_up.standard())
    for path in (tmp_path / "p.jpg", tmp_path / "nowhere.jpg"):
        assert isinstance(grade_task(PhotoTask(path=path, sha256="0" * 64), grading), NotHere)


def test_a_worker_of_another_edition_says_so(tmp_path: Path) -> None:
    grading = Grading(standard=made_up.standard(), method_version="0")
    with pytest.raises(OtherEdition, match="method 0"):
        grade_task(PhotoTask(path=tmp_path, sha256=""), grading)


def test_what_is_finished_but_not_kept_in_these_records_is_graded_again(
    pipeline: Callable[..., MadeUp], tmp_path: Path
) -> None:
    batches, out = plates(tmp_path / "in", "a/p1.jpg", "a/p2.jpg"), tmp_path / "out"
    house = open_house(f"sqlite:///{tmp_path / 'records.sqlite3'}")
    standard = made_up.standard()
    keepers: list[BatchKeeper] = []

    def keeper_of(batch: Any) -> BatchKeeper:
        setting = Setting(kitchen="Harbour", zone="Europe/Lisbon", batch=batch.name)
        keepers.append(BatchKeeper(house=house, standard=standard, setting=setting))
        return keepers[-1]

    def keep() -> list[str]:
        again = pipeline()
        go(batches, out, grading=Grading(standard=standard, keep=True), keeper_of=keeper_of)
        return again.asked

    go(batches, out)
    assert keep() == ["p1.jpg", "p2.jpg"]
    assert keep() == []
    first, second = keepers
    assert not first.problems
    assert not second.problems
    assert [one.grading_id for one in first.kept] == [one.grading_id for one in second.kept]
    assert [one.new for one in (*first.kept, *second.kept)] == [True, True, False, False]
    house.close()
    (tmp_path / "records.sqlite3").unlink()
    house = open_house(f"sqlite:///{tmp_path / 'records.sqlite3'}")
    assert keep() == ["p1.jpg", "p2.jpg"], "records that were made anew hold none of them"
    assert [one.new for one in keepers[-1].kept] == [True, True]
    house.close()
