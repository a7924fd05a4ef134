"""What a result may claim stands on the verdict wherever a verdict is shown: files, picture, command line, page."""

import io
import json
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from rich.console import Console

from grader.card_values import KnownValues
from grader.cli.telling import RunTelling
from grader.drawing import draw_plate
from grader.grading import GradedBatch
from grader.pages.components.grading import Grader
from grader.records.house import kept_studies
from grader.records.readings import photo_record, standing_record
from grader.records.summary import BatchEntry, PhotoEntry, summary_record
from grader.trueness import keep_study, standing_of, studies_folder
from tests.records import made_up as graded_up
from tests.trueness.made_up import Off, study

CLAIM = "Colour: trend only · Length: as the printed rule says"


def _batch() -> BatchEntry:
    graded = graded_up.graded()
    return BatchEntry(
        name="b1", photos=(PhotoEntry(stem="p1", source="p1.jpg", graded=graded),), verdict=graded.verdict
    )


def test_it_stands_in_the_files_of_a_photo_and_of_a_run() -> None:
    record = photo_record(graded_up.graded(), standard=graded_up.standard())
    assert record["standing"]["colour"] == "trend only"
    assert record["standing"]["length"] == "as the printed rule says"
    assert record["standing"]["colour_lift"]
    (batch,) = summary_record([_batch()], standard=graded_up.standard())["batches"]
    assert batch["standing"] == record["standing"]
    json.dumps(batch)


def test_what_was_refused_claims_nothing() -> None:
    assert photo_record(graded_up.refused(), standard=graded_up.standard())["standing"] is None
    assert standing_record(None) is None


def test_it_stands_in_the_picture() -> None:
    from dataclasses import replace

    graded = graded_up.graded()
    with_claim, without = (
        draw_plate(graded, graded_up.standard()),
        draw_plate(replace(graded, standing=None), graded_up.standard()),
    )
    assert with_claim is not None
    assert without is not None
    more = len(with_claim) - len(without)
    assert 0 < more < 100
    band = with_claim[: len(with_claim) // 4]
    assert (band > 200).all(axis=-1).sum() > (without[: len(without) // 4] > 200).all(axis=-1).sum()


def test_the_command_line_tells_it_with_each_batch_and_why_once() -> None:
    shown = io.StringIO()
    with RunTelling(Console(width=200, file=shown), standard=graded_up.standard()) as telling:
        telling.add(_batch())
        telling.add(_batch())
        telling.tell(Path("out"))
    told = shown.getvalue()
    assert told.count(CLAIM) == 2
    assert told.count("Nobody measured what colours") == 1


def test_a_batch_claims_no_more_than_its_weakest_photo() -> None:
    graded = graded_up.graded()
    batch = GradedBatch(photos=(graded, graded_up.refused()), standard=graded_up.standard(), verdict=graded.verdict)
    assert batch.standing == graded.standing
    assert _batch().standing == graded.standing


def test_the_page_shows_it_in_the_band_and_why_below(monkeypatch: pytest.MonkeyPatch) -> None:
    from grader.pages.components import verdicts

    shown: list[str] = []
    monkeypatch.setattr("streamlit.html", shown.append)
    monkeypatch.setattr("streamlit.caption", shown.append)
    standing = standing_of(None, None, date(2026, 11, 25), "1")
    verdicts.show_band(graded_up.verdict(), standing)
    verdicts.show_band(None, None)
    verdicts.show_claims(standing)
    assert CLAIM in shown[0]
    assert "trend only" not in shown[1]
    assert "Nobody measured" in shown[2]


def test_a_new_study_grades_a_photo_anew_on_the_page(monkeypatch: pytest.MonkeyPatch) -> None:
    graded: list[int] = []

    def grade(_data: bytes, *, studies: tuple[object, ...], **_: object) -> object:
        graded.append(len(studies))
        return graded_up.graded()

    monkeypatch.setattr("grader.pages.components.grading.grade_guarded", grade)
    made = study(Off(bias=0.1, rest=0.2), np.random.default_rng(1))
    known = KnownValues(values=(), on=date(2026, 11, 25))
    grader = Grader()
    for studies in ((), (), (made,), (made,)):
        grader.grade("a.jpg", b"1", graded_up.standard(), lambda _, __: None, known=known, studies=studies)
    assert graded == [0, 1]


def test_the_edge_reads_the_studies_that_are_kept(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path))
    assert kept_studies() == ()
    made = study(Off(bias=0.1, rest=0.2), np.random.default_rng(1))
    keep_study(studies_folder(), made)
    assert kept_studies() == (made,)
