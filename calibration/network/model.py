"""The network: a small U of convolutions from a picture's light and colour to fries, seams, directions and heights.

In: (n, 12, h, w), the three channels of `crops.inputs` with each 2 x 2 px folded into one. Out: (n, 14, h, w): fry (4,
for the folded px) and seam (4) as logits, cosine and sine of twice the direction, the way to the fry's middle (2, in
`crops.REACH_PX`), its height (in 10 mm), and one that nothing is asked of.
"""

from collections.abc import Mapping
from typing import Any

import numpy as np
import torch
import torch.nn.functional as F  # noqa: N812  (its customary name)
from numpy.typing import NDArray
from torch import nn

from grader.arrays import Float32Array

WIDTHS = (24, 40, 64, 96, 128)
CHANNELS_IN, CHANNELS_OUT = 12, 14


class Block(nn.Module):
    """Convolution 3 x 3, normalised, rectified."""

    def __init__(self, channels_in: int, channels_out: int) -> None:
        super().__init__()
        self.c = nn.Conv2d(channels_in, channels_out, 3, padding=1, bias=False)
        self.n = nn.BatchNorm2d(channels_out)

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        """Run it."""
        return F.relu(self.n(self.c(x)))

    def folded(self) -> tuple[torch.Tensor, torch.Tensor]:
        """Weight and bias of the one convolution that does the same once training is over."""
        scale = self.n.weight / torch.sqrt(self.n.running_var + self.n.eps)
        return self.c.weight * scale[:, None, None, None], self.n.bias - self.n.running_mean * scale


class Network(nn.Module):
    """Down through five widths and up again, each level seeing what the way down saw."""

    def __init__(self) -> None:
        super().__init__()
        parts: dict[str, nn.Module] = {}
        for level, width in enumerate(WIDTHS):
            parts[f"e{level}a"] = Block(WIDTHS[level - 1] if level else CHANNELS_IN, width)
            parts[f"e{level}b"] = Block(width, width)
        parts["m"] = Block(WIDTHS[-1], WIDTHS[-1])
        for level, width in enumerate(WIDTHS[:-1]):
            parts[f"u{level}"] = nn.ConvTranspose2d(WIDTHS[level + 1], width, 2, 2)
            parts[f"d{level}a"] = Block(2 * width, width)
            parts[f"d{level}b"] = Block(width, width)
        parts["head"] = nn.Conv2d(WIDTHS[0], CHANNELS_OUT, 1)
        self.m = nn.ModuleDict(parts)

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        """Run it."""
        seen = []
        for level in range(len(WIDTHS)):
            if level:
                x = F.max_pool2d(x, 2)
            x = self.m[f"e{level}b"](self.m[f"e{level}a"](x))
            seen.append(x)
        x = self.m["m"](x)
        for level in reversed(range(len(WIDTHS) - 1)):
            both = torch.cat([self.m[f"u{level}"](x), seen[level]], 1)
            x = self.m[f"d{level}b"](self.m[f"d{level}a"](both))
        return self.m["head"](x)

    @classmethod
    def of(cls, weights: Mapping[str, NDArray[Any]]) -> "Network":
        """The network that `weights` was told of, to be run (`eval`), not to be trained."""
        network = cls()
        for name, part in network.m.items():
            weight, bias = (torch.tensor(weights[f"{name}.{kind}"]) for kind in "wb")
            if isinstance(part, Block):
                nn.init.constant_(part.n.running_var, 1 - part.n.eps)
                weight_at, bias_at = part.c.weight, part.n.bias
            else:
                weight_at, bias_at = part.weight, part.bias
            weight_at.data.copy_(weight)
            bias_at.data.copy_(bias)
        return network

    def weights(self) -> dict[str, Float32Array]:
        """Weight and bias of each convolution, `NAME.w` and `NAME.b`, as `to_onnx` takes them."""
        arrays = {}
        for name, part in self.m.items():
            weight, bias = part.folded() if isinstance(part, Block) else (part.weight, part.bias)
            arrays[f"{name}.w"], arrays[f"{name}.b"] = (
                np.asarray(values.detach().float().cpu().numpy()) for values in (weight, bias)
            )
        return arrays
