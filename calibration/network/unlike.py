"""Pictures unlike any plate, made of plates: on these, too, the rounded network must say what the trained one says.

Parts of other plates cut in, faces darker or browner than their neighbours along a straight edge, grain, another scale.
"""

import numpy as np
import torch
import torch.nn.functional as F  # noqa: N812  (its customary name)

_SHARE = 0.5
_ZOOMS = (0.7, 1.6)
_MULTIPLE = 32
_SHIFT, _GRAIN = 0.35, 0.06
_BLOBS_PX = 14


def unlike(crops: torch.Tensor, rng: np.random.Generator) -> torch.Tensor:
    """Folded crops (n, 12, h, w) as `crops.inputs` makes them, half of them changed so, all at one other scale."""
    pictures = _zoomed(F.pixel_shuffle(crops, 2), float(rng.uniform(*_ZOOMS)), crops.shape[-1] * 2)
    count, device = len(pictures), crops.device

    def some() -> torch.Tensor:
        return torch.from_numpy(rng.random((count, 1, 1, 1)) < _SHARE).to(device)

    def drawn(spread: float, *size: int) -> torch.Tensor:
        return torch.randn(count, *size, device=device) * spread

    others = pictures[torch.randperm(count, device=device)]
    pictures = torch.where(some() & _blobs(pictures), others, pictures)
    pictures = torch.where(some() & _sides(pictures, rng), others, pictures)
    pictures = pictures + some() * _sides(pictures, rng) * drawn(_SHIFT, 3, 1, 1)
    pictures = pictures + some() * drawn(_GRAIN, *pictures.shape[1:]) * drawn(1.0, 3, 1, 1)
    return F.pixel_unshuffle(pictures, 2)


def _zoomed(pictures: torch.Tensor, zoom: float, most_px: int) -> torch.Tensor:
    size = _MULTIPLE * round(pictures.shape[-1] * zoom / _MULTIPLE)
    return F.interpolate(pictures, size=(size, size), mode="bilinear", antialias=True)[..., :most_px, :most_px]


def _blobs(pictures: torch.Tensor) -> torch.Tensor:
    """(n, 1, h, w) round parts of each picture."""
    height, width = pictures.shape[2:]
    coarse = torch.randn(len(pictures), 1, height // _BLOBS_PX, width // _BLOBS_PX, device=pictures.device)
    return F.interpolate(coarse, size=(height, width), mode="bicubic") > 0.5


def _sides(pictures: torch.Tensor, rng: np.random.Generator) -> torch.Tensor:
    """(n, 1, h, w) one side of a straight line through each picture."""
    height, width = pictures.shape[2:]
    angle, share = (torch.from_numpy(rng.uniform(0, most, (len(pictures), 1, 1))) for most in (2 * np.pi, 1.0))
    rows, columns = (torch.arange(size).sub(size * (0.3 + 0.4 * share)) for size in (height, width))
    side = torch.cos(angle) * rows.mT + torch.sin(angle) * columns
    return (side > 0)[:, None].to(pictures.device)
