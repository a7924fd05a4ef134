"""A study of the method as a folder: it comes back as it was written, and a cut-short write costs nothing."""

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np
import pytest

from grader.consistency.gauge.plan import StudySize, plan_study
from grader.errors import DocumentFaulty, GraderError
from grader.records.gauge_studies import (
    PLAN,
    READ,
    STANDARD,
    KeptStudy,
    NoSuchStudyError,
    ReadLine,
    add_reading,
    begin_study,
    named_folder,
    read_study,
    study_names,
)
from tests.records import made_up

ON = date(2026, 11, 26)


def begun(folder: Path) -> KeptStudy:
    plan = plan_study(StudySize(people=("AB", "CD"), plates=3), rng=np.random.default_rng(1))
    return begin_study(folder, plan, standard=made_up.standard(), on=ON)


def line(number: int, place: float = 2.5, sha: str = "0") -> ReadLine:
    return ReadLine(
        number=number,
        file=f"{number:03}.jpg",
        sha256=(sha + f"{number:x}").rjust(64, "0"),
        at=datetime(2026, 11, 26, 9, tzinfo=UTC),
        method_version="2",
        means={"place": place},
    )


def test_a_study_comes_back_as_it_was_begun(tmp_path: Path) -> None:
    study = begun(tmp_path / "one")
    assert read_study(tmp_path / "one") == study
    assert len(study.missing) == 12


def test_readings_are_added_and_the_newest_of_a_photo_counts(tmp_path: Path) -> None:
    study = add_reading(begun(tmp_path), line(1, 2.0))
    study = add_reading(add_reading(study, line(2)), line(1, 2.2, sha="a"))
    again = read_study(tmp_path)
    assert again == study
    assert len(again.lines) == 3
    assert again.means[1] == {"place": 2.2}
    assert [photo.number for photo in again.missing] == list(range(3, 13))


def test_one_photo_is_not_two(tmp_path: Path) -> None:
    study = add_reading(begun(tmp_path), line(1))
    with pytest.raises(GraderError, match="given as photo 1 already"):
        add_reading(study, replace_number(line(1), 2))
    with pytest.raises(GraderError, match="no photo 13"):
        add_reading(study, line(13))
    assert len(read_study(tmp_path).lines) == 1


def replace_number(one: ReadLine, number: int) -> ReadLine:
    return one.model_copy(update={"number": number})


def test_a_write_that_was_cut_short_costs_only_that_photo(tmp_path: Path) -> None:
    study = add_reading(begun(tmp_path), line(1))
    whole = (tmp_path / READ).read_bytes()
    for cut in range(1, len(whole)):
        (tmp_path / READ).write_bytes(whole + whole[:cut])
        assert read_study(tmp_path).lines == study.lines
    assert add_reading(read_study(tmp_path), line(2)).lines == read_study(tmp_path).lines


def test_nothing_is_begun_over_another_study(tmp_path: Path) -> None:
    study = begun(tmp_path)
    with pytest.raises(NoSuchStudyError, match="already"):
        begin_study(tmp_path, study.plan, standard=replace(made_up.standard(), name="Another"), on=ON)
    assert read_study(tmp_path) == study


def test_a_plan_that_was_cut_short_after_its_standard_can_be_begun_again(tmp_path: Path) -> None:
    study = begun(tmp_path)
    (tmp_path / PLAN).unlink()
    assert begun(tmp_path) == read_study(tmp_path) == study


def test_another_standard_in_the_way_of_a_study_is_named_and_left(tmp_path: Path) -> None:
    (tmp_path / STANDARD).write_text("of the house", encoding="utf-8")
    with pytest.raises(NoSuchStudyError, match=STANDARD):
        begun(tmp_path)
    assert [(file.name, file.read_text(encoding="utf-8")) for file in tmp_path.iterdir()] == [
        (STANDARD, "of the house")
    ]


def test_what_was_changed_is_told(tmp_path: Path) -> None:
    with pytest.raises(NoSuchStudyError, match="holds no study"):
        read_study(tmp_path)
    add_reading(begun(tmp_path), line(1))
    (tmp_path / READ).write_text('{"number": 1}\n')
    with pytest.raises(DocumentFaulty, match="line 1"):
        read_study(tmp_path)
    (tmp_path / STANDARD).write_text("name = 3")
    with pytest.raises(DocumentFaulty, match="standard"):
        read_study(tmp_path)


def test_studies_of_the_page_by_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path))
    assert study_names() == ()
    begun(named_folder("three phones"))
    assert study_names() == ("three phones",)
    with pytest.raises(NoSuchStudyError, match="can't be the name"):
        named_folder("../elsewhere")
