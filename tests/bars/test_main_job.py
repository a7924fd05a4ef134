"""The main job on the sample pictures, held against its bars; each prints its figure."""

import json
from pathlib import Path

import pytest

from grader.grading import grade_photo
from grader.standard import load_shipped
from tests.bars.grading import Graded, batch_of
from tests.bars.main_job import (
    BARS,
    VERDICTS,
    Bar,
    failed_keys,
    figures_reached,
    line,
    refusals_reached,
    verdict_is_right,
    verdicts_reached,
)
from tests.scoring.figures import by_group

SAMPLE_PHOTOS = 13


@pytest.mark.bar
@pytest.mark.parametrize("bar", BARS, ids=lambda bar: bar.name)
def test_figure_reaches_its_bar(bar: Bar, graded_samples: Graded) -> None:
    groups = by_group(graded_samples.scores)
    reached = next(one for one in figures_reached(groups) if one.name == bar.name)
    print(line(reached))
    assert reached.met, line(reached)


@pytest.mark.bar
def test_bad_plates_are_refused_for_the_right_reason_and_no_good_one_is(graded_samples: Graded) -> None:
    assert len(graded_samples.scores) == SAMPLE_PHOTOS
    reached = list(refusals_reached(graded_samples))
    print(*map(line, reached), sep="\n")
    assert {one.name for one in reached} == {"bad-covered", "bad-glare"}
    assert all(one.met for one in reached)


@pytest.mark.bar
@pytest.mark.parametrize("batch", VERDICTS)
def test_batch_comes_to_its_verdict(batch: str, graded_samples: Graded) -> None:
    reached = next(one for one in verdicts_reached(graded_samples) if one.name == f"batch {batch}")
    print(line(reached))
    assert reached.met, line(reached)


@pytest.mark.bar
def test_real_fries_without_a_card_are_refused_for_it(real_fries: tuple[Path, ...]) -> None:
    assert len(real_fries) == 2
    standard = load_shipped()["strips-9.5mm-skin-on"]
    for photo in real_fries:
        graded = grade_photo(photo.read_bytes(), name=photo.name, standard=standard)
        print(photo.name, [reason.code for reason in graded.reasons])
        assert graded.refused
        assert graded.reasons[0].code == "card_not_found"
        assert graded.reasons[0].hint


@pytest.mark.bar
def test_what_was_written_is_what_other_programs_expect(graded_samples: Graded, results_folder: Path) -> None:
    assert all(score.has_result for score in graded_samples.scores)
    for score in graded_samples.scores:
        record = json.loads((results_folder / f"{score.name}.json").read_text(encoding="utf-8"))
        assert set(record) >= {"photo", "sha256", "status", "reasons", "fries"}
        assert record["status"] == ("refused" if score.refused else "measured")
        for fry in record["fries"]:
            assert set(fry) >= {"id", "length_mm", "straight_mm", "width_mm", "lab", "dark_end_mm", "whole"}
            for measured in ("length_mm", "straight_mm", "width_mm", "lab", "dark_end_mm"):
                assert (fry[measured] is None) == (fry[f"{measured}_u"] is None)


@pytest.mark.parametrize(
    ("name", "batch"),
    [("b1-plate2.jpg", "b1"), ("any-b2-plate3.jpg", "b2"), ("heap.jpg", "heap"), ("mat1-spread.png", "mat1-spread")],
)
def test_plates_of_one_batch_are_judged_together(name: str, batch: str) -> None:
    assert batch_of(name) == batch


def _verdict(*failed: str) -> dict[str, object]:
    keys = ("colour", "spread", "length_50.8", "short", "sliver", "dark_end")
    limits = [{"key": key, "outcome": "fail" if key in failed else "pass"} for key in keys]
    return {"outcome": "fail" if failed else "pass", "limits": limits}


@pytest.mark.parametrize(
    ("batch", "failed", "right"),
    [
        ("b1", (), True),
        ("b1", ("sliver",), False),
        ("b2", ("colour",), True),
        ("b2", ("colour", "length_50.8"), False),
        ("b2", (), False),
        ("b3", ("length_50.8", "short", "dark_end"), True),
        ("b3", ("length_50.8", "sliver", "dark_end", "spread"), False),
        ("b3", ("length_50.8", "dark_end"), False),
    ],
)
def test_a_wrong_verdict_is_seen(batch: str, failed: tuple[str, ...], right: bool) -> None:
    verdict = _verdict(*failed)
    assert failed_keys(verdict) == set(failed)
    assert verdict_is_right(batch, verdict) is right
    assert not verdict_is_right(batch, None)


def test_a_figure_that_is_not_there_meets_no_bar() -> None:
    bar = Bar(group="mat", figure="pq", at_least=0.5)
    assert not bar.met_by(float("nan"))
    assert bar.met_by(0.5)
    assert not bar.met_by(0.49)
