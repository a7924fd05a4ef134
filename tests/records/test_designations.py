"""Published designations on disk: beside the verdict, each with how far it was read."""

import json
from io import StringIO

from rich.console import Console

from grader.cli.telling import tell_batch
from grader.grading import plates_of
from grader.records.readings import photo_record
from grader.records.summary import BatchEntry, PhotoEntry, summary_record
from tests.records import made_up


def _batch() -> BatchEntry:
    graded = made_up.graded()
    photos = tuple(PhotoEntry(stem=stem, source=stem, graded=graded) for stem in ("p1", "p1-2"))
    return BatchEntry(name="b1", photos=photos, verdict=graded.verdict)


def test_they_stand_in_the_file_of_a_photo_and_change_no_verdict() -> None:
    record = photo_record(made_up.graded(), standard=made_up.standard())
    us, codex = sorted(record["designations"]["standards"], key=lambda one: "Codex" in one["name"])
    assert [one["name"] for one in us["held"]] == ["Extra long", "Long", "Medium", "Short"]
    assert {one["outcome"] for one in us["held"]} == {"can't tell"}  # five fries tell nothing
    assert {one["mark"] for one in codex["held"]} == {"VERIFIED*", "MEMORY"}
    assert all(one["caution"] == "check against the standard before contract use" for one in codex["held"])
    assert us["not_held"]["fry colour"] == ["extra light", "light", "medium light", "medium", "dark"]
    assert us["held"][0]["shares"][0].keys() == record["verdict"]["limits"][0].keys()
    assert "designation" not in json.dumps(record["verdict"])


def test_what_was_refused_meets_nothing() -> None:
    assert photo_record(made_up.refused(), standard=made_up.standard())["designations"] is None


def test_a_photo_given_twice_is_one_plate() -> None:
    batch = _batch()
    assert len(plates_of(batch.graded)) == 1
    (told,) = summary_record([batch], standard=made_up.standard())["batches"]
    assert told["designations"] == photo_record(batch.graded[0], standard=made_up.standard())["designations"]


def test_the_command_line_tells_them_in_one_sentence() -> None:
    told = StringIO()
    tell_batch(Console(file=told, width=400), _batch(), made_up.standard())
    (line,) = [line for line in told.getvalue().splitlines() if line.startswith("Published designations")]
    assert "would meet none" in line
    assert "check against the standard before contract use" in line
