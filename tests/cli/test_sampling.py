"""The commands about sampling: what they say, and what they refuse."""

from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import Result

from grader.cli.exits import Exit
from grader.sampling.model import CHECK

Call = Callable[..., Result]
WHY_NO_FRY = "36 of them tell as much of the lot as 27 drawn one by one"


def said(result: Result) -> str:
    assert result.exit_code == Exit.DONE, result.output
    return result.stdout


def test_a_lot_gets_its_plan_its_risks_and_its_outcome(call: Call) -> None:
    told = said(call("sampling", "lot", 1000, "--unit", "bag", "--aql", 2.5, "--found", 5))
    assert "Draw 80 of 1000 by chance, each bag being one: accept with up to 5" in told
    assert "letter J, AQL 2.5, normal inspection" in told
    assert "producer's risk" in told
    assert "consumer's risk" in told
    assert "go out on average" in told
    assert "5 found: Accepted." in told
    assert WHY_NO_FRY in told
    assert CHECK not in told.lower()


def test_a_small_lot_is_inspected_whole(call: Call) -> None:
    told = said(call("sampling", "lot", 10, "--unit", "plate", "--aql", 1.0, "--bad", 0.1))
    assert "Inspect all 10, each plate being one" in told
    assert "A lot with 1 % nonconforming (0 of 10) is rejected 0 times in 100" in told
    assert "A lot with 10 % (1 of 10) is accepted 0 times in 100" in told


def test_earlier_lots_tell_how_severely(call: Call) -> None:
    told = said(call("sampling", "lot", 1000, "--unit", "bag", "--past", "a, r, a, r", "--found", 4))
    assert "After these lots: tightened inspection." in told
    assert "4 found: Rejected." in told
    assert CHECK in told.lower()  # the rules that switch are from memory
    chosen = said(call("sampling", "lot", 1000, "--unit", "bag", "--past", "a, r, a, r", "--inspection", "normal"))
    assert "After these lots: tightened inspection." in chosen
    assert "AQL 2.5, normal inspection" in chosen
    offered = said(call("sampling", "lot", 1000, "--unit", "bag", "--past", "a" * 10))
    assert "Reduced inspection may be agreed if the limit number of Table VIII is kept" in offered
    agreed = said(call("sampling", "lot", 1000, "--unit", "bag", "--past", "a" * 10, "--reduced", "--found", 3))
    assert "3 found: Accepted, but the next lot is to be inspected normally." in agreed


def test_a_listed_plan(call: Call) -> None:
    told = said(call("sampling", "lot", 30_000, "--unit", "container", "--by", "21-cfr-158-3", "--aql", 6.5))
    assert "Draw 29 of 30000" in told
    assert "accept with up to 4" in told


@pytest.mark.parametrize(
    ("given", "says"),
    [
        (("lot", 1000, "--unit", "fry"), WHY_NO_FRY),
        (("lot", 1, "--unit", "bag", "--level", "IV"), "no level IV"),
        (("lot", 1000, "--unit", "bag", "--by", "nobody"), "no plans of nobody"),
        (("lot", 1000, "--unit", "bag", "--by", "21-cfr-158-3", "--aql", 1.0), "no AQL 1"),
        (("lot", 1000, "--unit", "bag", "--past", "axr"), "x says nothing of a lot"),
        (("lot", 1000, "--unit", "bag", "--found", 81), "can't be found among 80"),
        (("lot", 1000, "--unit", "bag", "--bad", 5), "--bad"),
        (("next", "--unit", "bag", "--good", 0.3, "--bad", 0.1), "must be below the bad one"),
        (("next", "--unit", "bag", "--good", 0.1, "--bad", 0.1001), "more than 5000 units"),
        (("next", "--unit", "bag", "--good", 0.1, "--bad", 0.3, "--drawn", 2, "--found", 3), "can't be found among 2"),
        (("next", "--unit", "strips", "--good", 0.1, "--bad", 0.3), WHY_NO_FRY),
    ],
)
def test_what_can_not_be_asked(call: Call, given: tuple[object, ...], says: str) -> None:
    result = call("sampling", *given)
    assert result.exit_code == Exit.FAULTY_INPUT
    assert says in result.stderr


def test_the_next_unit(call: Call) -> None:
    asked = ("sampling", "next", "--unit", "plate", "--good", 0.05, "--bad", 0.4)
    assert "0 drawn, 0 nonconforming: Take another plate." in said(call(*asked))
    assert "After 4: it can't be accepted yet, reject from 2 on." in said(call(*asked, "--drawn", 3, "--found", 1))
    assert "Reject the lot." in said(call(*asked, "--drawn", 3, "--found", 2))
    done = said(call(*asked, "--drawn", 5, "--found", 0))
    assert "Accept the lot." in done
    assert "times in 100, after" in done


def test_the_next_plate(call: Call) -> None:
    asked = ("--good", 4.0, "--bad", 4.6, "--plate-sd", 0.3)
    first = said(call("sampling", "next-plate", *asked))
    assert first.startswith("0 plates: Take another plate.")
    assert "that all its photos share" in first
    assert "1 plate, 4.30 in the mean: Take another plate." in said(call("sampling", "next-plate", 4.3, *asked))
    assert "Accept the lot." in said(call("sampling", "next-plate", 3.9, 4.0, *asked))
    assert "Reject the lot." in said(call("sampling", "next-plate", 4.7, 4.9, *asked))
    assert call("sampling", "next-plate", 4.7, "--good", 4.0, "--bad", 4.0).exit_code == Exit.FAULTY_INPUT


def test_plates_for_a_colour_and_for_a_share(call: Call, tmp_path: Path) -> None:
    good = said(call("sampling", "colour", 4.2, "--curve", tmp_path / "colour.svg"))
    assert "A lot whose true mean place is 4.2 (target 2.9 to 4.7): 2 plates. It then passes 9" in good
    assert "release: pass from 0.9, fail to 0.1" in good
    assert "(target 0 to 2.2)" in said(call("sampling", "colour", 1.0, "--stage", "blanched"))
    bad = said(call("sampling", "colour", 6.0, "--question", "claim"))
    assert "It then fails" in bad
    none = said(call("sampling", "colour", 4.4, "--shared", 0.5))
    assert "not even 60 plates do" in none
    assert "better light and a card that was measured" in none
    share = said(call("sampling", "share", 0.02, "--limit", 0.1, "--curve", tmp_path / "share.svg"))
    assert "A lot with a true share of 2 % (at most 10 %): 2 plates." in share
    for name in ("colour.svg", "share.svg"):
        assert (tmp_path / name).read_text().startswith("<svg")


def test_curves_of_plans(call: Call, tmp_path: Path) -> None:
    call("sampling", "lot", 1000, "--unit", "bag", "--curve", tmp_path / "lot.svg")
    call("sampling", "next", "--unit", "bag", "--good", 0.05, "--bad", 0.3, "--curve", tmp_path / "next.svg")
    assert "AQL 2.5 %" in (tmp_path / "lot.svg").read_text()
    assert "units drawn on the average" in (tmp_path / "next.svg").read_text()
    lost = call("sampling", "lot", 1000, "--unit", "bag", "--curve", tmp_path / "no" / "lot.svg")
    assert lost.exit_code == Exit.NOT_WRITTEN
    assert "There is no folder for" in lost.stderr


@pytest.mark.parametrize(
    "told",
    [("--level", "I"), ("--past", "aaa"), ("--inspection", "tightened"), ("--reduced",)],
    ids=lambda told: told[0],
)
def test_what_a_listed_standard_does_not_know_is_refused(call: Call, told: tuple[str, ...]) -> None:
    result = call("sampling", "lot", 1000, "--unit", "bag", "--aql", "6.5", "--by", "21-cfr-158-3", *told)
    assert result.exit_code == 2
    assert told[0] in result.output
    assert "mil-std-105e" in result.output


def test_plans_are_listed(call: Call) -> None:
    told = said(call("list"))
    assert "Published sampling plans:" in told
    assert "mil-std-105e" in told
    assert "21-cfr-158-3" in told
