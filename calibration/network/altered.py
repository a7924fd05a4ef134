"""Crops made as photos are that no scene shows: smoothed, in sloping light or half in shadow, blurred, noisy."""

import math

import numpy as np
import torch
import torch.nn.functional as F  # noqa: N812  (its customary name)


def altered(rgb: torch.Tensor, numbers: torch.Tensor, rng: np.random.Generator) -> torch.Tensor:
    """Encoded sRGB (n, 3, h, w), 0 to 1, altered; the fries' numbers (n, h, w) say whose texture goes."""
    rgb = _relit(_smoothed(rgb, numbers, rng), rng)
    if rng.random() < 0.5:
        rgb = _blurred(rgb, float(rng.uniform(0.4, 1.1)))
    noise = rng.choice([0, 0.004, 0.01, 0.02], (len(rgb), 1, 1, 1)).astype(np.float32)
    return (rgb + torch.randn_like(rgb) * torch.from_numpy(noise).to(rgb.device)).clamp(0, 1)


def _smoothed(rgb: torch.Tensor, numbers: torch.Tensor, rng: np.random.Generator) -> torch.Tensor:
    """In 30 % of crops fries lose most of their texture: cameras smooth it away, and painted pieces have none."""
    count, fries = len(rgb), int(numbers.max()) + 1
    flat, pixels = numbers.reshape(count, 1, -1), rgb.reshape(count, 3, -1)
    total = torch.zeros(count, 3, fries, device=rgb.device).scatter_add_(2, flat.expand(-1, 3, -1), pixels)
    area = torch.zeros(count, 1, fries, device=rgb.device).scatter_add_(2, flat, torch.ones_like(pixels[:, :1]))
    mean = torch.gather(total / area.clamp(min=1), 2, flat.expand(-1, 3, -1)).reshape_as(rgb)
    chosen = rng.random((count, 1, 1, 1)) < 0.3
    share = np.where(chosen, rng.uniform(0.4, 0.97, (count, 1, 1, 1)), 0.0).astype(np.float32)
    return rgb + torch.from_numpy(share).to(rgb.device) * (numbers > 0)[:, None] * (mean - rgb)


def _relit(rgb: torch.Tensor, rng: np.random.Generator) -> torch.Tensor:
    """12 % of crops under a slope of light, 15 % with one side in a soft shadow; in linear light."""
    (count, _, height, width), device = rgb.shape, rgb.device

    def drawn(low: float, high: float) -> torch.Tensor:
        return torch.from_numpy(rng.uniform(low, high, (count, 1, 1)).astype(np.float32)).to(device)

    def some(share: float) -> torch.Tensor:
        return torch.from_numpy((rng.random((count, 1, 1)) < share).astype(np.float32)).to(device)

    y, x = torch.meshgrid(
        torch.linspace(-1, 1, height, device=device), torch.linspace(-1, 1, width, device=device), indexing="ij"
    )

    def across() -> torch.Tensor:
        angle = drawn(0, 2 * math.pi)
        return x * torch.cos(angle) + y * torch.sin(angle)

    slope = some(0.12) * drawn(0, 0.5) * across()
    soft, dim = drawn(2, 20) / (width / 2), drawn(0.5, 0.9)
    shade = 1 - some(0.15) * (1 - dim) * torch.sigmoid(4 * (across() - drawn(-0.7, 0.7)) / soft)
    linear = torch.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    linear = linear * (torch.exp(slope) * shade)[:, None]
    encoded = 1.055 * linear.clamp(min=1e-6) ** (1 / 2.4) - 0.055
    return torch.where(linear <= 0.0031308, linear * 12.92, encoded).clamp(0, 1)


def _blurred(rgb: torch.Tensor, sigma_px: float) -> torch.Tensor:
    place = torch.arange(-3, 4, device=rgb.device, dtype=torch.float32)
    kernel = torch.exp(-(place**2) / 2 / sigma_px**2)
    kernel = kernel / kernel.sum()
    rgb = F.conv2d(rgb, kernel.view(1, 1, 1, 7).expand(3, 1, 1, 7), padding=(0, 3), groups=3)
    return F.conv2d(rgb, kernel.view(1, 1, 7, 1).expand(3, 1, 7, 1), padding=(3, 0), groups=3)
