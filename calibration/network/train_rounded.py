"""Trains the network on with the rounding to eight bits in it, until it says what it said before, whatever it sees.

Run: python -m calibration.network.train_rounded FOLDER WEIGHTS.npz OUT SECONDS RATE [ROUNDED.npz]
FOLDER is what `render` filled, WEIGHTS.npz what `train` wrote; the first 60 plates are held out. OUT gets rounded.npz
(for `to_onnx`, and to go on from). Needs PyTorch and a graphics card.
"""

import sys
import time
from pathlib import Path

import numpy as np
import torch
import torch.nn.functional as F  # noqa: N812  (its customary name)

from calibration.network.crops import draw_crops, read_plates
from calibration.network.model import Network
from calibration.network.rounded import RoundedNetwork
from calibration.network.train import HELD_OUT, SEED, judged, train
from calibration.network.unlike import unlike

_SETTLED_ON = 64
_UNLIKE_SHARE = 0.5
_SURE = 8.0


def main(folder: Path, weights: Path, out: Path, seconds: float, rate: float, rounded: Path | None) -> None:
    """Read, settle, train, judge, write."""
    end = time.monotonic() + seconds
    device = "cuda" if torch.cuda.is_available() else "cpu"
    torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True
    torch.manual_seed(SEED)
    files = sorted(folder.glob("*.json"))
    held_out, plates = read_plates(files[:HELD_OUT], device), read_plates(files[HELD_OUT:], device)
    before = Network.of(dict(np.load(weights))).to(device).eval()
    network = RoundedNetwork(dict(np.load(weights))).to(device)
    if rounded:
        network.go_on_from(dict(np.load(rounded)))
    else:
        network.settle(draw_crops(plates, _SETTLED_ON, np.random.default_rng(SEED))[0])
    rng = np.random.default_rng(SEED)
    print("as trained:", judged(before, held_out), "\nrounded:", judged(network, held_out), flush=True)

    def change(crops: torch.Tensor, _: dict[str, torch.Tensor]) -> torch.Tensor:
        seen = unlike(crops, rng) if rng.random() < _UNLIKE_SHARE else crops
        with torch.no_grad():
            said_before = before(seen)
        return _change(network(seen), said_before)

    steps = train(network, plates, end, rate, change)
    print(steps, "steps; held out:", judged(network, held_out), flush=True)
    np.savez_compressed(out / "rounded.npz", **network.arrays())


def _change(said: torch.Tensor, before: torch.Tensor) -> torch.Tensor:
    """How far it says other than before: log odds as far as they aren't sure; direction and height where fries are."""
    odds = F.smooth_l1_loss(said[:, :8].clamp(-_SURE, _SURE), before[:, :8].clamp(-_SURE, _SURE))
    on = (before[:, :4].amax(1, keepdim=True) > 0).float()
    rest = ((said[:, 8:13] - before[:, 8:13]).abs() * on).sum() / (on.sum() + 1)
    return odds + 0.25 * rest


if __name__ == "__main__":
    main(
        Path(sys.argv[1]),
        Path(sys.argv[2]),
        Path(sys.argv[3]),
        float(sys.argv[4]),
        float(sys.argv[5]),
        Path(sys.argv[6]) if len(sys.argv) > 6 else None,
    )
