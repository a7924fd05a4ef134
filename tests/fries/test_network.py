"""The network in eight bits: the same everywhere, and what the ONNX standard says that it is."""

import math
from typing import Any

import cv2
import numpy as np
import onnx
import pytest
from onnx import numpy_helper
from onnx.reference import ReferenceEvaluator

from grader.arrays import Float32Array
from grader.fries.network import DEEPEST, run_network
from grader.places import calibration_folder
from tests.fries.rendered import rendered

SIXTEEN_BITS = 32767
MOST = 255


@pytest.fixture(scope="module")
def model() -> Any:
    return onnx.load(calibration_folder() / "network" / "fries.onnx")


def picture(height: int, width: int) -> Float32Array:
    """Light of a rendered plate in place of light and both colours, folded."""
    view, _ = rendered("ink066")
    light = view.luminance_log[300 : 300 + 2 * height, 300 : 300 + 2 * width].reshape(height, 2, width, 2)
    return np.concatenate([light.transpose(1, 3, 0, 2).reshape(4, height, width)] * 3)


def test_it_says_what_the_standards_own_program_says(model: Any) -> None:
    """ONNX's reference evaluator, numpy alone. A sum that lies between two whole numbers may be rounded otherwise."""
    seen = picture(2 * DEEPEST, 3 * DEEPEST)
    (standard,) = ReferenceEvaluator(model).run(None, {"picture": seen[None]})
    off = np.abs(run_network(seen) - standard[0])[:8]
    assert np.median(off) < 0.02
    assert off.max() < 0.5
    assert standard[0, :8].std() > 1


def test_no_processor_can_overrun(model: Any) -> None:
    """Where two products are summed in sixteen bits before all else, the largest still fit: all processors agree."""
    weights = {one.name: numpy_helper.to_array(one) for one in model.graph.initializer}
    rounded = [node for node in model.graph.node if node.op_type == "QLinearConv"]
    assert len(rounded) == 22
    for node in rounded:
        weight = weights[node.input[3]]
        assert weight.dtype == np.int8
        assert 2 * MOST * int(np.abs(weight.astype(int)).max()) <= SIXTEEN_BITS


def test_nothing_is_left_of_more_than_eight_bits_but_the_ends(model: Any) -> None:
    kinds = [node.op_type for node in model.graph.node]
    assert kinds.count("Conv") == 2
    assert {node.domain for node in model.graph.node} == {""}


@pytest.mark.parametrize("threads", [1, 2, 3])
def test_however_many_threads_share_the_work_it_says_the_same(threads: int) -> None:
    seen, before = picture(4 * DEEPEST, 5 * DEEPEST), cv2.getNumThreads()
    alone = run_network(seen)
    try:
        cv2.setNumThreads(threads)
        assert np.array_equal(run_network(seen), alone)
    finally:
        cv2.setNumThreads(before)
    assert math.prod(alone.shape) == 14 * 4 * DEEPEST * 5 * DEEPEST
