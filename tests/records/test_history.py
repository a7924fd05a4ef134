"""Earlier runs read again from disk."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from grader.decision import HOUSE_DEFAULT, Question
from grader.decision.model import Outcome
from grader.errors import GraderError
from grader.records.history import past_plates, terms_asked
from grader.records.readings import write_readings
from grader.records.summary import BatchEntry, PhotoEntry, write_summary
from grader.standard import at_stage, load_shipped
from tests.records import made_up

STANDARD = load_shipped()["strips-9.5mm-skin-on"]


def run(folder: Path, *, batches: int, photos: int, first: int = 0) -> Path:
    """The results of a run, each photo with a sum of its own; in each batch another was refused."""
    folder.mkdir()
    entries = []
    for batch in range(batches):
        told = []
        for photo in range(photos):
            number = first + batch * photos + photo
            graded = replace(made_up.graded(f"p{number}.jpg", Outcome.PASS), sha256=f"{number:064d}")
            told.append(PhotoEntry(stem=f"p{number}", source="plates", graded=graded))
        told.append(PhotoEntry(stem=f"r{first + batch}", source="plates", graded=made_up.refused()))
        for entry in told:
            write_readings(folder, entry.stem, entry.graded, standard=STANDARD)
        entries.append(BatchEntry(name=f"batch {batch}", photos=tuple(told), verdict=None))
    write_summary(folder, entries, standard=STANDARD)
    return folder


def test_every_measured_plate_once_however_often_it_was_graded(tmp_path: Path) -> None:
    one, more = run(tmp_path / "one", batches=2, photos=3), run(tmp_path / "more", batches=1, photos=2, first=6)
    plates = past_plates([one, more, one], standard=STANDARD)
    assert len(plates) == 8
    assert len({plate.batch for plate in plates}) == 3
    assert all(len(plate.places) > 0 for plate in plates)


def test_twenty_plates_make_it_the_houses_own(tmp_path: Path) -> None:
    few, many = run(tmp_path / "few", batches=3, photos=6), run(tmp_path / "many", batches=1, photos=2, first=18)
    assert terms_asked(Question.RELEASE, [few], standard=STANDARD).apart == HOUSE_DEFAULT
    assert terms_asked(Question.RELEASE, [few, many], standard=STANDARD).apart.plates == 20
    assert terms_asked(Question.RELEASE, [], standard=STANDARD).apart == HOUSE_DEFAULT


def test_a_claim_takes_no_history(tmp_path: Path) -> None:
    folder = run(tmp_path / "one", batches=1, photos=2)
    with pytest.raises(GraderError, match="own plates alone"):
        terms_asked(Question.CLAIM, [folder], standard=STANDARD)
    assert terms_asked(Question.CLAIM, [], standard=STANDARD).question is Question.CLAIM


def test_all_that_is_wrong_with_folders_at_once(tmp_path: Path) -> None:
    other, broken = run(tmp_path / "other", batches=1, photos=2), run(tmp_path / "broken", batches=1, photos=2, first=9)
    summary = json.loads((other / "summary.json").read_text())
    summary["standard"]["version"] = "another"
    (other / "summary.json").write_text(json.dumps(summary))
    (broken / "p9.json").write_text("{")
    with pytest.raises(GraderError) as caught:
        past_plates([tmp_path / "nowhere", other, broken], standard=STANDARD)
    said = caught.value.message.splitlines()
    assert len(said) == 3
    assert "nowhere" in said[0]
    assert "version another" in said[1]
    assert "broken" in said[2]


def test_results_of_other_values_or_of_another_stage_are_not_taken(tmp_path: Path) -> None:
    folder = run(tmp_path / "one", batches=1, photos=2)
    scale = replace(STANDARD.scale, target_to=4.5)
    with pytest.raises(GraderError, match="of other values"):
        past_plates([folder], standard=replace(STANDARD, scale=scale))
    with pytest.raises(GraderError, match="holds finished fries, not blanched ones"):
        past_plates([folder], standard=at_stage(STANDARD, "blanched"))


def test_results_from_before_there_were_stages_are_of_finished_fries(tmp_path: Path) -> None:
    folder = run(tmp_path / "one", batches=1, photos=2)
    summary = json.loads((folder / "summary.json").read_text())
    summary["standard"] = {"name": STANDARD.name, "version": STANDARD.version}
    (folder / "summary.json").write_text(json.dumps(summary))
    assert len(past_plates([folder], standard=STANDARD)) == 2
