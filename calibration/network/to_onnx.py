"""The network in eight bits as an ONNX file: nothing but the standard's own operators, and whole numbers as they are.

Run: python -m calibration.network.to_onnx ROUNDED.npz FILE.onnx     (needs onnx)
"""

import sys
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import onnx
from numpy.typing import NDArray
from onnx import TensorProto, helper, numpy_helper

# As in `model` and `rounded`, which need PyTorch; this doesn't.
_LEVELS = 5
_CHANNELS_IN, _CHANNELS_OUT = 12, 14
_FIRST, _LAST = "e0a", "head"
_NOTHING = "nothing"
"""The whole number of nothing: no layer says less."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Graph:
    """Nodes and constants as they are added; each method that adds a node returns the name of what it makes."""

    arrays: Mapping[str, NDArray[Any]]
    nodes: list[Any] = field(default_factory=list)
    constants: dict[str, Any] = field(default_factory=dict)

    def add(self, kind: str, inputs: list[str], name: str, **how: Any) -> str:
        self.nodes.append(helper.make_node(kind, inputs, [name], name=name, **how))
        return name

    def constant(self, name: str, values: NDArray[Any]) -> str:
        self.constants[name] = numpy_helper.from_array(np.asarray(values), name)
        return name

    def step(self, name: str) -> list[str]:
        """The step and the nothing of a layer's whole numbers."""
        return [self.constant(f"{name}.s", self.arrays[f"{name}.s"].astype(np.float32)), _NOTHING]

    def exact(self, x: str, name: str) -> str:
        """A convolution of numbers as they are."""
        given = [self.constant(f"{name}.{kind}", self.arrays[f"{name}.{kind}"].astype(np.float32)) for kind in "wb"]
        return self.add("Conv", [x, *given], name, **_padded(self.arrays[f"{name}.w"]))

    def rounded(self, x: str, name: str, step_in: str, step_out: str) -> str:
        """A convolution of whole numbers; its bias counts in products of their steps."""
        weight, steps, bias = (self.arrays[f"{name}.{kind}"] for kind in ("w", "ws", "b"))
        whole_bias = np.round(bias / (self.arrays[f"{step_in}.s"].astype(np.float64) * steps))
        weights = [
            self.constant(f"{name}.w", weight.astype(np.int8)),
            self.constant(f"{name}.ws", steps.astype(np.float32)),
            self.constant(f"{name}.wz", np.zeros(len(weight), np.int8)),
        ]
        counted = self.constant(f"{name}.b", whole_bias.astype(np.int32))
        inputs = [x, *self.step(step_in), *weights, *self.step(step_out), counted]
        return self.add("QLinearConv", inputs, name, **_padded(weight))


def _padded(weight: NDArray[Any]) -> dict[str, list[int]]:
    size = weight.shape[-1]
    return {"kernel_shape": [size] * 2, "pads": [size // 2] * 4}


def network(arrays: Mapping[str, NDArray[Any]]) -> Any:
    """The checked ONNX model of what `RoundedNetwork.arrays` tells; it takes a picture of any size that 16 divides."""
    graph = _Graph(arrays=arrays)
    graph.constant(_NOTHING, np.array(0, np.uint8))
    x = graph.add("QuantizeLinear", [graph.exact("picture", _FIRST), *graph.step(_FIRST)], "e0a_q")
    step, seen = _FIRST, []
    for level in range(_LEVELS):
        for end in "ab" if level else "b":
            if end == "a":
                x = graph.add("MaxPool", [x], f"p{level}", kernel_shape=[2, 2], strides=[2, 2])
            x = graph.rounded(x, f"e{level}{end}", step, f"e{level}{end}")
            step = f"e{level}{end}"
        seen.append(x)
    x, step = graph.rounded(x, "m", step, "m"), "m"
    for level in reversed(range(_LEVELS - 1)):
        beside = f"e{level}b"
        x = graph.rounded(x, f"u{level}", step, beside)
        x = graph.add("DepthToSpace", [x], f"u{level}_doubled", blocksize=2, mode="DCR")
        x, step = graph.add("Concat", [x, seen[level]], f"c{level}", axis=1), beside
        for end in "ab":
            x, step = graph.rounded(x, f"d{level}{end}", step, f"d{level}{end}"), f"d{level}{end}"
    x = graph.exact(graph.add("DequantizeLinear", [x, *graph.step(step)], "deep"), _LAST)
    ends = [
        [helper.make_tensor_value_info(name, TensorProto.FLOAT, [1, channels, "h", "w"])]
        for name, channels in (("picture", _CHANNELS_IN), (x, _CHANNELS_OUT))
    ]
    whole = helper.make_graph(graph.nodes, "fries", *ends, list(graph.constants.values()))
    model = helper.make_model(whole, opset_imports=[helper.make_opsetid("", 21)])
    model.ir_version = 10
    onnx.checker.check_model(model)
    return model


if __name__ == "__main__":
    onnx.save(network(dict(np.load(sys.argv[1]))), sys.argv[2])
