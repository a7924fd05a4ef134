"""What a run goes on from comes back bit by bit."""

import json
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import array_shapes, arrays

from grader.arrays import FloatArray
from grader.decision.model import Outcome
from grader.fries.model import FryFlag
from grader.grading import GradedPhoto
from grader.running.exact import as_json, from_json
from grader.running.summed import summed
from tests.records import made_up


@dataclass(frozen=True, kw_only=True)
class Holds:
    number: float
    array: FloatArray
    flags: FryFlag
    outcome: Outcome | None
    texts: tuple[str, ...]
    pair: tuple[int | None, str]


@given(
    number=st.floats(),
    array=arrays(np.float64, array_shapes(min_dims=0, max_dims=3, min_side=0, max_side=3)),
    flags=st.sets(st.sampled_from(FryFlag)),
    outcome=st.none() | st.sampled_from(Outcome),
    texts=st.lists(st.text()),
    pair=st.tuples(st.none() | st.integers(), st.text()),
)
def test_every_value_comes_back(number: float, array: FloatArray, flags: set[FryFlag], **others: Any) -> None:
    joined = FryFlag.NONE
    for flag in flags:
        joined |= flag
    texts = tuple(others.pop("texts"))
    held = Holds(number=number, array=array, flags=joined, texts=texts, **others)
    back = from_json(Holds, json.loads(json.dumps(as_json(held))))
    assert same(held, back)


@pytest.mark.parametrize("graded", [made_up.graded(), made_up.refused()], ids=["measured", "refused"])
def test_a_graded_photo_comes_back(graded: GradedPhoto) -> None:
    kept = summed(graded)
    assert same(kept, from_json(GradedPhoto, json.loads(json.dumps(as_json(kept)))))


def same(one: Any, other: Any) -> bool:
    """Equal to the last bit, through dataclasses that don't compare themselves; nan is nan."""
    match one:
        case np.ndarray():
            alike = one.dtype == other.dtype and one.shape == other.shape
            return alike and all(same(left, right) for left, right in zip(one.flat, other.flat, strict=True))
        case float():
            return bool(one.hex() == other.hex())
        case tuple():
            return len(one) == len(other) and all(same(left, right) for left, right in zip(one, other, strict=True))
    if hasattr(one, "__dataclass_fields__"):
        names = [field.name for field in fields(one)]
        return type(one) is type(other) and all(same(getattr(one, name), getattr(other, name)) for name in names)
    return type(one) is type(other) and one == other
