"""Plates of earlier runs read again, and put to what compares them."""

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from grader.consistency.comparing import Found, compare_groups
from grader.errors import DocumentFaulty, GraderError
from grader.records.comparisons import (
    PlatesLackError,
    RangeUnknownError,
    asked_range,
    grouped,
    lots_words,
    paired,
    read_pairs,
    result_record,
    spread,
)
from grader.records.plate_readings import read_plates
from tests.records.test_history import STANDARD, run


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return run(tmp_path / "graded", batches=3, photos=2)


@pytest.fixture
def about(tmp_path: Path) -> Callable[[str], Path]:
    def written(text: str) -> Path:
        path = tmp_path / "about.csv"
        path.write_text(text, encoding="utf-8")
        return path

    return written


def record_of(folder: Path) -> dict[str, Any]:
    record: dict[str, Any] = json.loads((folder / "p0.json").read_text(encoding="utf-8"))
    return record


def test_means_are_those_of_the_fries_on_disk(folder: Path) -> None:
    plate = read_plates([folder], standard=STANDARD)[0]
    fries = record_of(folder)["fries"]
    places = [fry["scale_place"] for fry in fries if fry["scale_place"] is not None and not fry["off_scale"]]
    place = plate.means["place"]
    assert place.fries == len(places)
    assert place.mean == pytest.approx(np.mean(places))
    assert place.sd == pytest.approx(np.std(places, ddof=1))
    lengths = [fry["length_mm"] for fry in fries if fry["length_mm"] is not None]
    assert plate.means["length"].mean == pytest.approx(np.mean(lengths))
    assert plate.photo == "p0.jpg"


def test_what_a_photo_shares_does_not_shrink_with_its_fries(folder: Path) -> None:
    plate = read_plates([folder], standard=STANDARD)[0]
    for mean in plate.means.values():
        assert mean.measured_u >= mean.shared_u >= 0
    causes = record_of(folder)["colour_quality"]["shared_lab_u"].values()
    lightness = np.sqrt(sum(cause[0] ** 2 for cause in causes))
    assert plate.means["L"].shared_u == pytest.approx(lightness, abs=1e-3)


def test_each_photo_counts_once_and_refused_ones_do_not(folder: Path) -> None:
    plates = read_plates([folder, folder], standard=STANDARD)
    assert len(plates) == 6
    assert len({plate.batch_key for plate in plates}) == 3


def test_a_table_says_what_batches_are_of(folder: Path, about: Callable[[str], Path]) -> None:
    table = about("batch;shift;lot\nbatch 0;early;L1\nbatch 1;late;L1\nbatch 2;late;L2\n")
    plates = read_plates([folder], standard=STANDARD, about=table)
    drawn = grouped(plates, by="shift", quantity="place", within_lots=True)
    assert [plate.group for plate in drawn] == ["early", "early", "late", "late", "late", "late"]
    assert drawn[0].fries_u > 0
    said = lots_words(drawn)
    assert said is not None
    assert "early: L1; late: L1, L2" in said
    assert lots_words(drawn[2:]) is None


def test_a_table_with_a_run_tells_batches_of_one_name_apart(tmp_path: Path, about: Callable[[str], Path]) -> None:
    north, south = (run(tmp_path / name, batches=2, photos=2, first=first) for name, first in (("n", 0), ("s", 10)))
    table = about("run,batch,kitchen\nn,batch 0,North\nn,batch 1,North\ns,batch 0,South\ns,batch 1,South\n")
    plates = read_plates([north, south], standard=STANDARD, about=table)
    assert {plate.group for plate in grouped(plates, by="kitchen", quantity="L")} == {"North", "South"}
    assert {plate.group for plate in grouped(plates, by="run", quantity="L")} == {"n", "s"}


def test_folders_of_one_name_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Their batches would be taken for each other, and both for one group."""
    for name in ("north", "south"):
        (tmp_path / name).mkdir()
    folders = [
        run(tmp_path / name / "out", batches=1, photos=2, first=first) for name, first in (("north", 0), ("south", 9))
    ]
    with pytest.raises(GraderError, match="can't be told apart") as told:
        read_plates(folders, standard=STANDARD)
    assert str(folders[0]) in str(told.value)
    monkeypatch.chdir(folders[0])
    assert {plate.run for plate in read_plates([Path(), folders[0]], standard=STANDARD)} == {"out"}


def test_all_faults_of_a_table_are_told_at_once(folder: Path, about: Callable[[str], Path]) -> None:
    with pytest.raises(DocumentFaulty) as told:
        read_plates([folder], standard=STANDARD, about=about("batch,shift\nbatch 0,early\nbatch 0,late\n,late\n"))
    assert len(told.value.faults) == 2
    with pytest.raises(DocumentFaulty, match="says none of kitchen"):
        read_plates([folder], standard=STANDARD, about=about("batch,colour\nbatch 0,red\n"))


def test_what_nobody_said_is_asked_for(folder: Path) -> None:
    plates = read_plates([folder], standard=STANDARD)
    with pytest.raises(PlatesLackError, match="which shift these batches") as told:
        grouped(plates, by="shift", quantity="place")
    assert "--about" in told.value.hint
    with pytest.raises(PlatesLackError, match="which lot"):
        grouped(plates, by="run", quantity="place", within_lots=True)


def test_a_folder_without_results_is_told(tmp_path: Path) -> None:
    with pytest.raises(GraderError, match="holds no results of a run") as told:
        read_plates([tmp_path], standard=STANDARD)
    assert "Errno" not in told.value.message


def test_photos_of_two_kitchens_are_paired_by_name_or_by_table(tmp_path: Path) -> None:
    north, south = (run(tmp_path / name, batches=1, photos=4, first=first) for name, first in (("n", 0), ("s", 2)))
    here, there = (read_plates([folder], standard=STANDARD) for folder in (north, south))
    with pytest.raises(PlatesLackError, match=r"same photos: p2\.jpg, p3\.jpg"):
        paired(here, there, quantity="place")
    there = tuple(plate for plate in there if plate.photo in {"p4.jpg", "p5.jpg"})
    with pytest.raises(PlatesLackError, match="No two photos"):
        paired(here, there, quantity="place")
    table = tmp_path / "pairs.csv"
    table.write_text("first,second\np0.jpg,p4.jpg\np1,p5\n", encoding="utf-8")
    both = paired(here, there, quantity="place", pairs=read_pairs(table))
    assert [pair.plate for pair in both] == ["p0", "p1"]
    assert both[0].first == pytest.approx(both[0].second)
    assert both[0].first_u > 0
    with pytest.raises(PlatesLackError, match="not among the results: p9"):
        paired(here, there, quantity="place", pairs={"p9": "p4"})
    table.write_text("first,second\np0,p4\np0,p5\n", encoding="utf-8")
    with pytest.raises(DocumentFaulty, match="there twice"):
        read_pairs(table)


def test_photos_of_one_name_are_not_taken_for_each_other(tmp_path: Path) -> None:
    """A photo p1 in each of two batches of one kitchen: which of them the other kitchen's p1 shows, nobody knows."""
    north, south = (run(tmp_path / name, batches=1, photos=3, first=first) for name, first in (("n", 0), ("s", 3)))
    here, there = (read_plates([folder], standard=STANDARD) for folder in (north, south))
    there = tuple(replace(plate, photo=f"p{k}.jpg") for k, plate in enumerate(there))
    assert [pair.plate for pair in paired(here, there, quantity="place")] == ["p0", "p1", "p2"]
    again = (*here, replace(here[0], photo="p1.png", batch="another", sha256="ab" * 32))
    for both in ((again, there), (there, again)):
        with pytest.raises(PlatesLackError, match="More than one photo of a kitchen has this name: p1"):
            paired(*both, quantity="place")
    assert [pair.plate for pair in paired(again, there, quantity="place", pairs={"p0": "p2"})] == ["p0"]


def test_a_table_tells_the_time_where_a_photo_does_not(folder: Path, about: Callable[[str], Path]) -> None:
    for file in folder.glob("p*.json"):
        record = json.loads(file.read_text(encoding="utf-8"))
        record["picture"]["taken_at"] = "2026-11-03T09:00:00+01:00" if file.stem == "p0" else None
        file.write_text(json.dumps(record), encoding="utf-8")
    table = about("batch,taken_at\nbatch 0,2026-11-02T18:30+00:00\nbatch 1,2026-11-02T20:30+02:00\n")
    said = {plate.photo: plate.taken_at for plate in read_plates([folder], standard=STANDARD, about=table)}
    assert said["p0.jpg"] == datetime(2026, 11, 3, 8, tzinfo=UTC)
    assert said["p1.jpg"] == said["p2.jpg"] == datetime(2026, 11, 2, 18, 30, tzinfo=UTC)
    assert said["p4.jpg"] is None
    with pytest.raises(DocumentFaulty, match="must be a day and time"):
        read_plates([folder], standard=STANDARD, about=about("batch,taken_at\nbatch 0,yesterday\n"))


def test_a_range_comes_from_the_standard_or_is_asked_for() -> None:
    scale = STANDARD.scale
    assert asked_range(STANDARD, "place", None, None) == (scale.target_from, scale.target_to)
    assert asked_range(STANDARD, "length", 50.0, None) == (50.0, None)
    with pytest.raises(RangeUnknownError, match="no range for Length"):
        asked_range(STANDARD, "length", None, None)
    with pytest.raises(RangeUnknownError, match="holds nothing"):
        asked_range(STANDARD, "place", 4.0, 3.0)


def test_results_go_to_json_whole(folder: Path, about: Callable[[str], Path]) -> None:
    table = about("batch,shift\nbatch 0,early\nbatch 1,late\nbatch 2,late\n")
    plates = read_plates([folder], standard=STANDARD, about=table)
    drawn = grouped(plates, by="shift", quantity="place")
    drawn = [replace(plate, value=3 + 0.01 * number**1.5) for number, plate in enumerate(drawn)]
    record = result_record(compare_groups(drawn, worth_acting_on=0.5))
    again = json.loads(json.dumps(record, allow_nan=False))
    assert [group["name"] for group in again["groups"]] == ["early", "late"]
    assert again["differences"][0]["found"] in set(Found)
    assert len(spread(plates, quantity="place", standard=STANDARD, within=(3.0, 4.0))) == 6
