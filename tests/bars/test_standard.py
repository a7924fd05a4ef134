"""What house standards are held to: every fault told at once, nothing lost on any way, scales as true as rendered."""

from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from grader.errors import DocumentFaulty
from grader.pages.components.standard_draft import checked, values_of
from grader.records.kept_files import Signed, kept_text, read_kept
from grader.standard import (
    Standard,
    at_stage,
    load_shipped,
    read_standard,
    stage_names,
    standard_content,
    write_content,
    write_standard,
)
from tests.bars.grading import Graded
from tests.bars.scales import STEPS, Made, drawn_scale, named_plates
from tests.records.test_kept_standards import SIGNED
from tests.standard.test_writing import standards

pytestmark = pytest.mark.bar

DRAWS = 60
ANCHOR_OFF_AT_MOST = 1.5
RIGHT_AT_LEAST = 0.95
ANCHORS_OF = 0.95
"""Of the scales drawn: one in twenty may be farther off."""
CONTENT = standard_content(load_shipped()["strips-9.5mm-skin-on"])


def plain_fields(content: Any, place: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """The places of all fields that hold a plain value or a colour."""
    if isinstance(content, dict):
        return [one for key, inner in content.items() for one in plain_fields(inner, (*place, key))]
    if isinstance(content, list) and content and isinstance(content[0], dict):
        return [one for index, inner in enumerate(content) for one in plain_fields(inner, (*place, index))]
    return [place]


def as_told(place: tuple[str | int, ...]) -> str:
    """As a message names the field, written without the code under test."""
    told = ""
    for part in place:
        told += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if told else part
    return told


def broken(content: Any, places: list[tuple[str | int, ...]]) -> Any:
    """The same content with a table where each of these fields was: no field of a standard takes one."""

    def copied(value: Any, place: tuple[str | int, ...]) -> Any:
        if place in places:
            return {"wrong": 1}
        if isinstance(value, dict):
            return {key: copied(inner, (*place, key)) for key, inner in value.items()}
        if isinstance(value, list):
            return [copied(inner, (*place, index)) for index, inner in enumerate(value)]
        return value

    return copied(content, ())


@settings(max_examples=60, deadline=None)
@given(st.lists(st.sampled_from(plain_fields(CONTENT)), min_size=1, max_size=20, unique=True))
def test_all_faults_of_a_bad_standard_stand_in_one_message(places: list[tuple[str | int, ...]]) -> None:
    with pytest.raises(DocumentFaulty) as caught:
        read_standard(write_content(broken(CONTENT, places)), name="bad.toml")
    wanted = {as_told(place) for place in places}
    assert {fault.field for fault in caught.value.faults} == wanted
    assert all(f"{field}: " in caught.value.message for field in wanted)


def test_a_standard_with_every_field_broken_says_so_of_every_field() -> None:
    places = plain_fields(CONTENT)
    with pytest.raises(DocumentFaulty) as caught:
        read_standard(write_content(broken(CONTENT, places)), name="bad.toml")
    told = {fault.field for fault in caught.value.faults}
    print(f"{len(places)} fields broken, {len(told)} told in one message")
    assert told == {as_told(place) for place in places}


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(standards())
def test_a_standard_comes_back_by_every_way(standard: Standard) -> None:
    """As a file, as a kept version, through the page's fields, and from each of its stages."""
    text = write_standard(standard)
    assert read_standard(text, name="written") == standard
    kept = read_kept(kept_text(standard, SIGNED, before="").encode(), key="house", turn=1)
    assert kept is not None
    assert (kept.standard, kept.signed) == (standard, Signed(by=SIGNED.by, at=SIGNED.at, why=SIGNED.why))
    assert checked(values_of(standard)).standard == standard
    for name in stage_names(standard):
        assert write_standard(at_stage(standard, name)) == text


@pytest.fixture(scope="module")
def made(graded_plates: Graded, graded_samples: Graded) -> tuple[Made, ...]:
    """Scales of nine rendered plates, three a step, in all kinds of light, oil and ink."""
    named = named_plates([*graded_plates.scores, *graded_samples.scores])
    counts = {step: sum(one.plate.step == step for one in named) for step in STEPS}
    print(f"plates there are: {counts}")
    rng = np.random.default_rng(12)
    return tuple(drawn_scale(named, rng) for _ in range(DRAWS))


@pytest.mark.parametrize(
    "step",
    [
        "pale",
        "right",
        pytest.param(
            "dark",
            marks=pytest.mark.xfail(
                strict=True,
                reason="dark fries are read too light in some lights: off by 1.0 in the middle, 2.1 at 95 % of draws",
            ),
        ),
    ],
)
def test_anchors_of_nine_plates_lie_where_they_were_rendered(step: str, made: tuple[Made, ...]) -> None:
    off = np.array([one.off_de[STEPS.index(step)] for one in made])
    high = float(np.quantile(off, ANCHORS_OF))
    print(
        f"{step}: anchors off by {np.median(off):.2f} CIE 2000 in the middle, {high:.2f} at {ANCHORS_OF:.0%} of draws"
    )
    assert high <= ANCHOR_OFF_AT_MOST


def test_unseen_plates_are_put_on_their_own_step(made: tuple[Made, ...]) -> None:
    right, unseen = sum(one.right for one in made), sum(one.unseen for one in made)
    print(f"of {unseen} plates not drawn, over {DRAWS} scales, {right / unseen:.1%} put on their own step")
    assert right >= RIGHT_AT_LEAST * unseen
