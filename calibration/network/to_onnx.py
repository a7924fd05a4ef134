"""The trained weights as ONNX files: convolutions, rectifiers, pooling and doubling, nothing else.

Run: python -m calibration.network.to_onnx WEIGHTS.npz FOLDER     (needs onnx)
"""

import sys
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import onnx
from onnx import TensorProto, helper, numpy_helper, shape_inference
from onnx.utils import Extractor

from grader.arrays import Float32Array

# As in `model`, which needs PyTorch; this doesn't.
_LEVELS = 5
_CHANNELS_IN, _CHANNELS_OUT = 12, 14
_PARTS = {
    "down": (["picture"], ["e0b_r", "p1"]),
    "middle": (["p1"], ["d1b_r"]),
    "up": (["d1b_r", "e0b_r"], ["head"]),
}
"""What goes into each part that `grader.fries.network` runs, and what comes out of it."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Graph:
    """Nodes and constants as they are added; each method returns the name of what it makes."""

    weights: Mapping[str, Float32Array]
    nodes: list[Any] = field(default_factory=list)
    constants: list[Any] = field(default_factory=list)

    def add(self, kind: str, inputs: list[str], name: str, **how: Any) -> str:
        self.nodes.append(helper.make_node(kind, inputs, [name], name=name, **how))
        return name

    def given(self, name: str) -> list[str]:
        for end in (".w", ".b"):
            self.constants.append(numpy_helper.from_array(np.asarray(self.weights[name + end], np.float32), name + end))
        return [name + ".w", name + ".b"]

    def convolved(self, x: str, name: str, size: int) -> str:
        return self.add("Conv", [x, *self.given(name)], name, kernel_shape=[size] * 2, pads=[size // 2] * 4)

    def block(self, x: str, name: str) -> str:
        return self.add("Relu", [self.convolved(x, name, 3)], f"{name}_r")

    def doubled(self, x: str, name: str) -> str:
        return self.add("ConvTranspose", [x, *self.given(name)], name, kernel_shape=[2, 2], strides=[2, 2])


def network(weights: Mapping[str, Float32Array]) -> Any:
    """The checked ONNX model of weights `NAME.w`, `NAME.b`; it takes a picture of any size that 16 divides."""
    graph, x, seen = _Graph(weights=weights), "picture", []
    for level in range(_LEVELS):
        if level:
            x = graph.add("MaxPool", [x], f"p{level}", kernel_shape=[2, 2], strides=[2, 2])
        x = graph.block(graph.block(x, f"e{level}a"), f"e{level}b")
        seen.append(x)
    x = graph.block(x, "m")
    for level in reversed(range(_LEVELS - 1)):
        x = graph.add("Concat", [graph.doubled(x, f"u{level}"), seen[level]], f"c{level}", axis=1)
        x = graph.block(graph.block(x, f"d{level}a"), f"d{level}b")
    x = graph.convolved(x, "head", 1)
    ends = [
        [helper.make_tensor_value_info(name, TensorProto.FLOAT, [1, channels, "h", "w"])]
        for name, channels in (("picture", _CHANNELS_IN), (x, _CHANNELS_OUT))
    ]
    model = helper.make_model(
        helper.make_graph(graph.nodes, "fries", *ends, graph.constants),
        opset_imports=[helper.make_opsetid("", 13)],
    )
    model.ir_version = 8
    onnx.checker.check_model(model)
    return model


def parts(whole: Any) -> dict[str, Any]:
    """The parts of a network, by name, each checked."""
    cut = Extractor(shape_inference.infer_shapes(whole))
    models = {name: cut.extract_model(given, told) for name, (given, told) in _PARTS.items()}
    for model in models.values():
        onnx.checker.check_model(model)
    return models


if __name__ == "__main__":
    for name, model in parts(network(dict(np.load(sys.argv[1])))).items():
        onnx.save(model, Path(sys.argv[2]) / f"{name}.onnx")
