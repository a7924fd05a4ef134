"""The trained network in eight bits, with the rounding in it, so that training can go on.

What passes between convolutions is a whole number from 0 to 255 times one step a layer; weights are whole numbers from
-63 to 63 times one step a channel, so that no processor's sums of two products run over sixteen bits, and all find the
same. The first convolution sees the picture as it is, and the last says its numbers as they are.
"""

from collections.abc import Mapping
from typing import Any

import numpy as np
import torch
import torch.nn.functional as F  # noqa: N812  (its customary name)
from numpy.typing import NDArray
from torch import nn

from calibration.network.model import WIDTHS

MOST, MOST_WEIGHT = 255, 63
FIRST, LAST = "e0a", "head"
LEVELS = range(len(WIDTHS))
WAY_UP = range(len(WIDTHS) - 2, -1, -1)
_LOWEST_SHARE, _HIGHEST_SHARE = 0.001, 0.9999
_LOOKED_AT = 4_000_000


class RoundedNetwork(nn.Module):
    """The network of weights `NAME.w`, `NAME.b` as `Network.weights` has them; each doubling is a 1 x 1 convolution.

    Both halves of what a level of the way up joins share one step, so that joining them changes no number. What was
    doubled isn't rectified by the trained network: here each of its channels is moved up until little is below nothing.
    """

    def __init__(self, weights: Mapping[str, NDArray[Any]]) -> None:
        super().__init__()
        arrays = {name: torch.tensor(np.asarray(values, np.float32)) for name, values in weights.items()}
        for level in WAY_UP:
            arrays[f"u{level}.w"] = arrays[f"u{level}.w"].permute(2, 3, 1, 0).reshape(-1, WIDTHS[level + 1], 1, 1)
            arrays[f"u{level}.b"] = arrays[f"u{level}.b"].repeat(4)
        self.m = nn.ParameterDict({name.replace(".", "_"): nn.Parameter(values) for name, values in arrays.items()})
        names = {step_of(name[:-2]) for name in arrays if name[:-2] != LAST}
        self.log_steps = nn.ParameterDict({name: nn.Parameter(torch.tensor(-20.0)) for name in sorted(names)})
        self._settling = False

    def go_on_from(self, arrays: Mapping[str, NDArray[Any]]) -> None:
        """Take what `arrays` told of a network that was trained before."""
        for key, values in self.m.items():
            name, kind = key.rsplit("_", 1)
            told = torch.tensor(arrays[f"{name}.{kind}"]).float()
            steps = arrays.get(f"{name}.ws") if kind == "w" else None
            values.data.copy_(told if steps is None else told * torch.tensor(steps)[:, None, None, None])
        for name, value in self.log_steps.items():
            value.data.copy_(torch.tensor(arrays[f"{name}.s"]).log())

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        """Run it."""
        x, seen = self._layer(x, FIRST), []
        for level in LEVELS:
            if level:
                x = self._layer(F.max_pool2d(x, 2), f"e{level}a")
            x = self._layer(x, f"e{level}b")
            seen.append(x)
        x = self._layer(x, "m")
        for level in WAY_UP:
            both = torch.cat([_doubled(self._layer(x, f"u{level}")), seen[level]], 1)
            x = self._layer(self._layer(both, f"d{level}a"), f"d{level}b")
        return F.conv2d(x, self.m[f"{LAST}_w"], self.m[f"{LAST}_b"])

    def settle(self, pictures: torch.Tensor) -> None:
        """Take all steps from how large numbers become on these pictures: once, before training."""
        self._settling = True
        with torch.no_grad():
            self(pictures)
        self._settling = False

    def arrays(self) -> dict[str, NDArray[Any]]:
        """`NAME.w`, whole numbers but in the first and last layer, their steps `NAME.ws`, `NAME.b`; steps `NAME.s`."""
        told: dict[str, NDArray[Any]] = {}
        for key, values in self.m.items():
            name, kind = key.rsplit("_", 1)
            told[f"{name}.{kind}"] = values.detach().float().cpu().numpy()
            if kind == "w" and name not in (FIRST, LAST):
                steps = _weight_steps(values.detach())
                told[f"{name}.w"] = torch.round(values.detach() / steps).cpu().numpy().astype(np.int8)
                told[f"{name}.ws"] = steps.flatten().cpu().numpy()
        return told | {f"{name}.s": np.exp(value.detach().cpu().numpy()) for name, value in self.log_steps.items()}

    def _layer(self, x: torch.Tensor, name: str) -> torch.Tensor:
        weight, bias = self.m[f"{name}_w"], self.m[f"{name}_b"]
        exact = self._settling or name == FIRST
        x = F.conv2d(x, weight if exact else _rounded_weight(weight), bias, padding=weight.shape[-1] // 2)
        return self._settled(x, name) if self._settling else _rounded(x, self.log_steps[step_of(name)].exp())

    def _settled(self, x: torch.Tensor, name: str) -> torch.Tensor:
        if name.startswith("u"):
            x = x + self._moved_up(x, int(name[1:]))[:, None, None]
        x = x.clamp(min=0)
        log_step = self.log_steps[step_of(name)]
        log_step.copy_(torch.maximum(log_step, (_quantile(x, _HIGHEST_SHARE) / MOST).log()))
        return x

    def _moved_up(self, x: torch.Tensor, level: int) -> torch.Tensor:
        """How far each channel of a doubling is moved up; what comes next is told."""
        width = WIDTHS[level]
        channels = x.unflatten(1, (4, width))
        by = torch.stack([-_quantile(channels[:, :, channel], _LOWEST_SHARE) for channel in range(width)]).clamp(min=0)
        self.m[f"u{level}_b"] += by.repeat(4)
        self.m[f"d{level}a_b"] -= self.m[f"d{level}a_w"][:, :width].sum((2, 3)) @ by
        return by.repeat(4)


def step_of(name: str) -> str:
    """Which step a layer's numbers have: a doubling has that of the layer it is joined with."""
    return f"e{name[1:]}b" if name.startswith("u") else name


def _rounded(x: torch.Tensor, step: torch.Tensor) -> torch.Tensor:
    counts = (x / step).clamp(0, MOST)
    return (counts + (counts.round() - counts).detach()) * step


def _weight_steps(weight: torch.Tensor) -> torch.Tensor:
    return weight.abs().amax((1, 2, 3), keepdim=True).clamp(min=1e-6) / MOST_WEIGHT


def _rounded_weight(weight: torch.Tensor) -> torch.Tensor:
    steps = _weight_steps(weight.detach())
    return weight + (torch.round(weight.detach() / steps) * steps - weight.detach())


def _doubled(x: torch.Tensor) -> torch.Tensor:
    """(n, 4 c, h, w), the four places first, to (n, c, 2 h, 2 w)."""
    n, _, height, width = x.shape
    places = x.reshape(n, 2, 2, -1, height, width).permute(0, 3, 4, 1, 5, 2)
    return places.reshape(n, -1, 2 * height, 2 * width)


def _quantile(x: torch.Tensor, share: float) -> torch.Tensor:
    flat = x.flatten()
    return torch.quantile(flat[:: max(1, len(flat) // _LOOKED_AT)], share)
