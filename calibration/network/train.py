"""Trains the network for a given time on rendered plates, and tells how it does on plates that were held out.

Run: python -m calibration.network.train FOLDER OUT SECONDS RATE [STATE.pt]
FOLDER is what `render` filled; its first 60 plates are held out. OUT gets weights.npz (for `to_onnx`) and state.pt (to
go on from). Needs PyTorch and a graphics card. RATE is where the learning rate starts; it falls to nothing.
"""

import math
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import torch
import torch.nn.functional as F  # noqa: N812  (its customary name)
from torch import nn

from calibration.network.crops import Plates, draw_crops, read_plates
from calibration.network.model import Network

HELD_OUT, SEED = 60, 5
_CROPS, _WARM_STEPS = 24, 300
_HELD_OUT_SEED = 1
_WEIGHTS = {"fry": 1.0, "seam": 2.0, "direction": 0.25, "middle": 0.4, "height": 0.15}


def main(folder: Path, out: Path, seconds: float, rate: float, state: Path | None) -> None:
    """Read, train, judge, write."""
    end = time.monotonic() + seconds
    device = "cuda" if torch.cuda.is_available() else "cpu"
    torch.manual_seed(SEED)
    files = sorted(folder.glob("*.json"))
    held_out, plates = read_plates(files[:HELD_OUT], device), read_plates(files[HELD_OUT:], device)
    network = Network().to(device).to(memory_format=torch.channels_last)
    if state:
        network.load_state_dict(torch.load(state, map_location=device))

    def loss(crops: torch.Tensor, wanted: dict[str, torch.Tensor]) -> torch.Tensor:
        with torch.autocast(device, dtype=torch.bfloat16, enabled=device == "cuda"):
            said = network(crops.contiguous(memory_format=torch.channels_last))
        return truth_loss(said, wanted)

    steps = train(network, plates, end, rate, loss)
    print(steps, "steps; held out:", judged(network, held_out), flush=True)
    np.savez_compressed(out / "weights.npz", **network.weights())
    torch.save(network.state_dict(), out / "state.pt")


def train(
    network: nn.Module,
    plates: Plates,
    end: float,
    rate: float,
    loss: Callable[[torch.Tensor, dict[str, torch.Tensor]], torch.Tensor],
) -> int:
    """Train until a time; the network is left with the running mean of its weights. Returns the steps taken."""
    rng = np.random.default_rng(SEED)
    optimiser = torch.optim.AdamW(network.parameters(), lr=rate, weight_decay=1e-2)
    mean = {name: values.clone() for name, values in network.state_dict().items()}
    start, step = time.monotonic(), 0
    while (share := (time.monotonic() - start) / (end - start)) < 1:
        for group in optimiser.param_groups:
            group["lr"] = rate * min(1, (step + 1) / _WARM_STEPS) * (0.5 + 0.5 * math.cos(math.pi * share)) + 1e-6
        off = loss(*draw_crops(plates, _CROPS, rng))
        optimiser.zero_grad(set_to_none=True)
        off.backward()
        nn.utils.clip_grad_norm_(network.parameters(), 5.0)
        optimiser.step()
        step += 1
        _average(mean, network, min(0.999, (1 + step) / (20 + step)))
    network.load_state_dict(mean)
    return step


def _average(mean: dict[str, torch.Tensor], network: nn.Module, keep: float) -> None:
    with torch.no_grad():
        for name, values in network.state_dict().items():
            if values.is_floating_point():
                mean[name].mul_(keep).add_(values, alpha=1 - keep)


def truth_loss(said: torch.Tensor, wanted: dict[str, torch.Tensor]) -> torch.Tensor:
    """How far what the network said is off, as one number."""
    return torch.stack([_WEIGHTS[name] * value for name, value in losses(said, wanted).items()]).sum()


def losses(said: torch.Tensor, wanted: dict[str, torch.Tensor]) -> dict[str, torch.Tensor]:
    """How far what the network said is off, thing by thing; off fries only fry and seam count."""
    said, on = said.float(), wanted["on"]
    area = on.sum() + 1
    seam_weight = torch.tensor(3.0, device=said.device)
    height = F.smooth_l1_loss(said[:, 12:13], wanted["height"].clamp(max=6), reduction="none", beta=0.2)
    return {
        "fry": F.binary_cross_entropy_with_logits(said[:, :4], wanted["fry"]),
        "seam": F.binary_cross_entropy_with_logits(said[:, 4:8], wanted["seam"], pos_weight=seam_weight),
        "direction": ((said[:, 8:10] - wanted["direction"]).abs() * on).sum() / area,
        "middle": ((said[:, 10:12] - wanted["middle"]).abs() * on).sum() / area,
        "height": (height * on).sum() / area,
    }


def judged(network: nn.Module, plates: Plates, batches: int = 20, crops: int = 16) -> dict[str, float]:
    """Mean losses on plain crops; of fries and seams, which share of their px is found, and is right where told."""
    rng, totals = np.random.default_rng(_HELD_OUT_SEED), dict[str, float]()
    network.eval()
    with torch.no_grad():
        for _ in range(batches):
            picture, wanted = draw_crops(plates, crops, rng, plain=True)
            said = network(picture)
            figures = {name: value / batches for name, value in losses(said, wanted).items()}
            for name, place in (("fry", slice(4)), ("seam", slice(4, 8))):
                told, true = said[:, place] > 0, wanted[name] > 0.5
                figures |= {f"{name} both": (told & true).sum(), f"{name} told": told.sum(), f"{name} true": true.sum()}
            for name, value in figures.items():
                totals[name] = totals.get(name, 0.0) + float(value)
    for name in ("fry", "seam"):
        both, told, true = (totals.pop(f"{name} {kind}") for kind in ("both", "told", "true"))
        totals |= {f"{name} found": both / true, f"{name} right": both / told}
    return {name: round(value, 4) for name, value in totals.items()}


if __name__ == "__main__":
    main(
        Path(sys.argv[1]),
        Path(sys.argv[2]),
        float(sys.argv[3]),
        float(sys.argv[4]),
        Path(sys.argv[5]) if len(sys.argv) > 5 else None,
    )
