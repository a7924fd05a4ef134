"""A study on disk: nothing lost, all faults at once, never overwritten."""

import json
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from grader.errors import DocumentFaulty
from grader.trueness.documents import keep_study, load_studies, read_study, studies_folder, write_study
from grader.trueness.study import Study
from tests.card_values.test_keeping import full_disk
from tests.trueness.made_up import Off, study


@pytest.fixture(scope="module")
def made() -> Study:
    return study(Off(bias=0.3, pieces=0.4, photos=0.2, rest=0.3), np.random.default_rng(1))


def test_what_was_written_comes_back_the_same(made: Study) -> None:
    assert read_study(write_study(made), name="study.json") == made


def test_it_is_plain_json_that_other_programs_read(made: Study) -> None:
    record = json.loads(write_study(made))
    assert record["made_on"] == "2026-11-25"
    assert record["agreements"][0]["quantity"] == "length_mm"
    assert record["limits"]["reason"]


def _spoiled(made: Study, **changes: Any) -> bytes:
    record = json.loads(write_study(made))
    for where, value in changes.items():
        *path, last = where.split("__")
        part = record
        for key in path:
            part = part[int(key)] if key.isdigit() else part[key]
        part[last] = value
    return json.dumps(record).encode()


def test_all_faults_are_told_at_once(made: Study) -> None:
    data = _spoiled(made, made_on="yesterday", tally__met="many", agreements__0__bias__value=None, spare=1)
    with pytest.raises(DocumentFaulty) as refusal:
        read_study(data, name="study.json")
    assert {fault.field for fault in refusal.value.faults} == {
        "made_on", "tally.met", "agreements[1].bias.value", "spare",
    }  # fmt: skip
    assert refusal.value.hint


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"format_version": 2}, "format_version"),
        ({"expires_on": "2026-11-24"}, "expires_on"),
        ({"expires_on": "2027-11-26"}, "expires_on"),
        ({"by": " "}, "by"),
        ({"print_run": ""}, "print_run"),
        ({"lights": []}, "lights"),
        ({"agreements__0__bias__low": 9.0}, "agreements[1].bias"),
        ({"agreements__0__within_u": 1.2}, "agreements[1].within_u"),
        ({"agreements__0__sd": -0.1}, "agreements[1].sd"),
        ({"agreements__0__light": "moonlight"}, "agreements[1].light"),
        ({"agreements__0__lower": {"value": 9.0, "low": 8.0, "high": 10.0}}, "agreements[1].lower"),
        ({"limits__length_bias_mm": 0.0}, "limits.length_bias_mm"),
    ],
)
def test_what_cannot_be_is_a_fault(made: Study, changes: dict[str, Any], field: str) -> None:
    with pytest.raises(DocumentFaulty) as refusal:
        read_study(_spoiled(made, **changes), name="study.json")
    assert field in {fault.field for fault in refusal.value.faults}


@pytest.mark.parametrize("data", [b"", b"{", b"\xff\xfe", b"[]", b'{"a": NaN}'])
def test_what_is_no_study_at_all_is_told_so(data: bytes) -> None:
    with pytest.raises(DocumentFaulty):
        read_study(data, name="study.json")


def test_studies_of_one_day_are_all_kept(made: Study, tmp_path: Path) -> None:
    folder = tmp_path / "studies"
    assert load_studies(folder) == ()
    kept = [keep_study(folder, made) for _ in range(2)]
    assert [path.name for path in kept] == [
        "K7Q2X.card-a6.2026-11-25.01.json", "K7Q2X.card-a6.2026-11-25.02.json",
    ]  # fmt: skip
    assert load_studies(folder) == (made, made)


def test_a_damaged_study_stops_rather_than_being_left_out(made: Study, tmp_path: Path) -> None:
    keep_study(tmp_path, made).write_bytes(b"{}")
    with pytest.raises(DocumentFaulty, match=r"K7Q2X\.card-a6"):
        load_studies(tmp_path)


def test_what_cannot_be_written_leaves_nothing_that_stops_the_others(made: Study, tmp_path: Path) -> None:
    with full_disk(), pytest.raises(OSError, match="File too large"):
        keep_study(tmp_path, made)
    with pytest.raises(ValueError, match="surrogate"):
        keep_study(tmp_path, replace(made, by="half a pair: \ud800"))
    assert list(tmp_path.iterdir()) == []


def test_too_many_of_one_day_are_told(made: Study, tmp_path: Path) -> None:
    for turn in range(1, 100):
        (tmp_path / f"K7Q2X.card-a6.2026-11-25.{turn:02}.json").write_bytes(b"")
    with pytest.raises(FileExistsError):
        keep_study(tmp_path, made)


def test_they_lie_in_the_users_own_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path))
    assert studies_folder().parent == tmp_path


def test_the_figures_are_those_of_their_day(made: Study) -> None:
    assert made.expires_on == date(2027, 11, 25)
