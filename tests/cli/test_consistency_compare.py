"""The commands that compare runs: what they say, what they refuse, and that --json stays JSON."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import Result

from grader.cli.exits import Exit
from tests.records.test_history import run

Call = Callable[..., Result]


@pytest.fixture
def graded(tmp_path: Path) -> Path:
    """A run of four batches whose plates differ a little, written as `grade` writes it."""
    folder = run(tmp_path / "graded", batches=4, photos=3)
    for number in range(12):
        file = folder / f"p{number}.json"
        record = json.loads(file.read_text(encoding="utf-8"))
        for fry in record["fries"]:
            if fry["scale_place"] is not None:
                fry["scale_place"] += 0.03 * (number * 7 % 12) - (0.2 if number >= 6 else 0)
        file.write_text(json.dumps(record), encoding="utf-8")
    return folder


@pytest.fixture
def about(tmp_path: Path) -> Path:
    table = tmp_path / "batches.csv"
    shifts = "early,L1", "early,L2", "late,L1", "late,L2"
    lines = [f"batch {number},{shift}" for number, shift in enumerate(shifts)]
    table.write_text("\n".join(["batch,shift,lot", *lines]), encoding="utf-8")
    return table


def said(result: Result) -> str:
    assert result.exit_code == Exit.DONE, result.output
    return result.stdout


def test_shifts_are_compared(call: Call, graded: Path, about: Path) -> None:
    told = said(call("consistency", "compare", graded, "--by", "shift", "--about", about, "--worth", 0.3))
    assert "early: " in told
    assert "6 plates in 2 batches" in told
    assert "late" in told
    assert "worth acting on" in told
    assert "same lots" not in told  # both shifts had both
    within = said(
        call("consistency", "compare", graded, "--by", "shift", "--about", about, "--worth", 0.3, "--within-lots")
    )
    assert "differences between lots are taken out" in within


def test_a_table_of_batches_is_not_left_aside_where_the_records_tell(call: Call, about: Path) -> None:
    refused = call("consistency", "compare", "--by", "shift", "--about", about, "--worth", 0.3)
    assert refused.exit_code == Exit.FAULTY_INPUT
    assert "goes with folders of results" in refused.stderr


def test_what_plates_of_one_run_differ_by_is_told(call: Call, graded: Path, about: Path) -> None:
    refused = call("consistency", "compare", graded, "--about", about, "--worth", 0.3)
    assert refused.exit_code == Exit.FAULTY_INPUT
    assert "all plates are of one run." in refused.stderr
    assert "--by and what they differ by: shift (2); lot (2)." in refused.stderr


def test_a_comparison_as_json(call: Call, graded: Path, about: Path) -> None:
    arguments = ("--by", "shift", "--about", about, "--worth", 0.3, "--json")
    record = json.loads(said(call("consistency", "compare", graded, *arguments)))
    assert (record["quantity"], record["by"], record["worth_acting_on"]) == ("place", "shift", 0.3)
    assert {group["name"] for group in record["groups"]} == {"early", "late"}
    assert record["differences"][0]["low"] < record["differences"][0]["high"]


def test_what_cannot_be_compared_is_refused_with_what_to_do(call: Call, graded: Path) -> None:
    alone = call("consistency", "compare", graded, "--worth", 0.3)
    assert alone.exit_code == Exit.FAULTY_INPUT
    assert "nothing to compare" in alone.stderr
    nobody = call("consistency", "compare", graded, "--worth", 0.3, "--by", "kitchen", "--json")
    assert nobody.exit_code == Exit.FAULTY_INPUT
    assert "--about" in json.loads(nobody.stdout)["error"]["hint"]


def test_capability_against_the_standards_target(call: Call, graded: Path) -> None:
    told = said(call("consistency", "capability", graded))
    assert "range 2.9 to 4.7 steps" in told
    for words in ("Cpk", "Ppk", "found outside", "method's own doubt"):
        assert words in told
    record = json.loads(said(call("consistency", "capability", graded, "--json")))
    assert record["plates"] == 12
    assert record["ppk"]["low"] < record["ppk"]["value"] < record["ppk"]["high"]


def test_fries_counted_outside_the_target_are_none_of_another_range(call: Call, graded: Path) -> None:
    told = said(call("consistency", "capability", graded, "--low", 3.2, "--high", 3.3))
    assert "expected outside" in told
    assert "found outside" not in told


def test_capability_of_lengths_wants_a_range(call: Call, graded: Path) -> None:
    assert "no range for Length" in call("consistency", "capability", graded, "--quantity", "length").stderr
    assert "50 to open mm" in said(call("consistency", "capability", graded, "--quantity", "length", "--low", 50))


def test_two_kitchens_by_a_table_of_pairs(call: Call, graded: Path, tmp_path: Path) -> None:
    other = run(tmp_path / "south", batches=2, photos=3, first=20)
    table = tmp_path / "pairs.csv"
    table.write_text("first,second\n" + "\n".join(f"p{n},p{20 + n}" for n in range(6)), encoding="utf-8")
    told = said(call("consistency", "two-kitchens", graded, other, "--pairs", table, "--worth", 0.3))
    assert "6 plates measured by graded and by south" in told
    assert "south reads" in told
    assert "|E_n| above 1 on" in told
    record = json.loads(
        said(call("consistency", "two-kitchens", graded, other, "--pairs", table, "--worth", 0.3, "--json"))
    )
    assert len(record["e_n"]) == 6


def test_the_same_photos_are_no_second_kitchen(call: Call, graded: Path) -> None:
    refused = call("consistency", "two-kitchens", graded, graded, "--worth", 0.3)
    assert refused.exit_code == Exit.FAULTY_INPUT
    assert "Both have the same photos" in refused.stderr
