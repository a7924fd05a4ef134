"""Kept standards on the command line: kept, shown, changed as a file, succeeded, judged by, their history told."""

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import Result

from grader.cli.exits import Exit
from grader.standard import load_shipped, standard_sha256, write_standard
from tests.cli.test_grade import Make

Call = Callable[..., Result]
FIRST = load_shipped()["strips-9.5mm-skin-on"]

pytestmark = pytest.mark.usefixtures("made_up_grading")


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


@pytest.fixture
def house(call: Call, tmp_path: Path) -> Path:
    """A standard's file, kept as "house"."""
    file = tmp_path / "house.toml"
    file.write_text(write_standard(FIRST), encoding="utf-8")
    kept = call("standard", "keep", file, "--by", "AB", "--why", "agreed")
    assert kept.exit_code == Exit.DONE, kept.output
    assert "house@1" in kept.stdout
    return file


def succeed(call: Call, file: Path, *more: str) -> Result:
    return call("standard", "succeed", "house", file, "--by", "CD", "--why", "too many dark ones", *more)


def test_from_keeping_to_history(call: Call, house: Path, folder: Make, tmp_path: Path) -> None:
    changed = tmp_path / "changed.toml"
    assert call("standard", "show", "house", "--out", changed).exit_code == Exit.DONE
    text = changed.read_text(encoding="utf-8")
    assert text == house.read_text(encoding="utf-8")
    changed.write_text(text.replace("target_to = 4.7", "target_to = 4.5"), encoding="utf-8")
    told = succeed(call, changed, "--version", "2")
    assert told.exit_code == Exit.DONE, told.output
    assert "scale.target_to 4.7 -> 4.5" in told.stdout
    graded = call("grade", folder("p1.jpg", "p2-refused.jpg"), "--standard", "house", "--out", tmp_path / "out")
    assert graded.exit_code == Exit.DONE, graded.output
    versions = json.loads(call("standard", "history", "house", "--json").stdout)["versions"]
    assert [(one["by"], one["why"], one["plates_judged"]) for one in versions] == [
        ("AB", "agreed", 0),
        ("CD", "too many dark ones", 1),
    ]
    assert versions[1]["changes"] == ['version "1" -> "2"', "scale.target_to 4.7 -> 4.5"]
    record = json.loads((tmp_path / "out" / "p1.json").read_text())["standard"]
    assert (record["version"], record["sha256"]) == ("2", versions[1]["sha256"])
    assert versions[0]["sha256"] == standard_sha256(FIRST)
    told_in_words = call("standard", "history", "house").stdout
    assert "has judged 1 plate on" in told_in_words
    assert "has judged nothing yet" in told_in_words
    assert told_in_words.index("house@2") < told_in_words.index("house@1")


def test_list_and_show(call: Call, house: Path) -> None:
    assert house.exists()
    assert "house@1" in call("standard", "list").stdout
    listed = json.loads(call("standard", "list", "--json").stdout)
    assert [(one["key"], one["turn"]) for one in listed["kept"]] == [("house", 1)]
    shown = json.loads(call("standard", "show", "house@1", "--json").stdout)
    assert shown["says"]["scale"]["target_to"] == 4.7
    words = call("standard", "show", "house").stdout
    assert "blanched target 0 to 2.2, matt, spread at most 0.6 steps" in words


def test_nothing_is_kept_at_first(call: Call) -> None:
    assert "No standard is kept yet" in call("standard", "list").stdout
    nothing = call("standard", "history", "house")
    assert nothing.exit_code == Exit.FAULTY_INPUT
    assert "Kept are: none yet." in nothing.stderr


def test_all_that_speaks_against_keeping_at_once(call: Call, house: Path) -> None:
    result = call("standard", "keep", house, "--by", " ", "--why", "", "--as", "House")
    assert result.exit_code == Exit.FAULTY_INPUT
    assert all(field in result.stderr for field in ("key:", "by:", "why:"))
    again = succeed(call, house)
    assert again.exit_code == Exit.FAULTY_INPUT
    assert "changes nothing since version 1" in again.stderr


def test_an_edit_behind_the_programs_back_is_told_and_judges_nothing(
    call: Call, house: Path, own_home: Path, folder: Make, tmp_path: Path
) -> None:
    kept = own_home / "standards" / "house" / "0001.toml"
    kept.write_text(kept.read_text(encoding="utf-8").replace("target_to = 4.7", "target_to = 5.7"), encoding="utf-8")
    for command in (("standard", "history", "house"), ("grade", folder("p1.jpg"), "--standard", "house")):
        result = call(*command, *(("--out", tmp_path / "out") if command[0] == "grade" else ()))
        assert result.exit_code == Exit.FAULTY_INPUT
        assert "0001.toml: was changed since it was kept" in result.stderr
    assert "was changed since it was kept" in call("standard", "list").stdout
    assert len(json.loads(call("standard", "list", "--json").stdout)["changed"]) == 1
    other = call("grade", folder("p1.jpg"), "--standard", house, "--out", tmp_path / "out")
    assert other.exit_code == Exit.DONE, other.output


def test_a_file_shown_never_overwrites(call: Call, house: Path) -> None:
    before = house.read_bytes()
    assert call("standard", "show", "house", "--out", house).exit_code == Exit.NOT_WRITTEN
    assert house.read_bytes() == before


def test_every_limit_of_a_standard_is_shown(call: Call, tmp_path: Path) -> None:
    by_mass = replace(FIRST.limits.length_shares[1], by="mass", at_least_share=0.31)
    shares = {"crumb_share_at_most": 0.11, "curved_share_at_most": 0.12, "torn_end_share_at_most": 0.13}
    limits = replace(FIRST.limits, length_shares=(FIRST.limits.length_shares[0], by_mass), **shares)
    file = tmp_path / "all.toml"
    file.write_text(write_standard(replace(FIRST, name="Invented", limits=limits)), encoding="utf-8")
    told = call("standard", "show", file).stdout
    for words in (
        "at least 65 % are 50.8 mm (2 in) or longer",
        "at least 31 % of the estimated mass are 76.2 mm (3 in) or longer",
        "15 % scraps (under 25.4 mm (1 in))",
        "11 % crumbs (under 12 mm)",
        "12 % curved (bow from 10 %)",
        "13 % torn ends (gap from 1.5 mm)",
    ):
        assert words in told
    assert "crumbs" not in call("check", "strips-9.5mm-skin-on").stdout
