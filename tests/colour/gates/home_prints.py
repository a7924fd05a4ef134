"""Cards as home printers make them (invented): what each colour strays by follows the colour, and a little chance.

No source: tone curve, cast of the greys, and chroma and hue by hue, drawn at random and made as large as asked for.
"""

import numpy as np

from grader.arrays import FloatArray

_BY_CHANCE = 1 / np.sqrt(3)
"""CIELAB units in each of three axes: 1 in all."""


def printed(design_lab: FloatArray, *, off: float, rng: np.random.Generator) -> FloatArray:
    """(n, 3) CIELAB that a printer makes of a design (n, 3); `off`: root mean square distance, CIELAB units."""
    light = np.clip(design_lab[:, 0] / 94, 0, 1)
    middle, chroma = 4 * light * (1 - light), np.hypot(*design_lab[:, 1:].T)
    hue = np.arctan2(design_lab[:, 2], design_lab[:, 1])
    by_tone = rng.normal() * middle + abs(rng.normal()) * (1 - light) ** 2 + rng.normal() * middle * (1 - 2 * light)
    richer, turned = (chroma / 60 * (rng.normal() + 0.4 * _waves(hue, rng)) for _ in range(2))
    cast_a, cast_b = 0.6 * rng.normal(size=2)
    stray = np.column_stack(
        [
            by_tone,
            cast_a * middle + richer * np.cos(hue) - turned * np.sin(hue),
            cast_b * middle + richer * np.sin(hue) + turned * np.cos(hue),
        ]
    )
    stray *= off / np.sqrt((stray**2).sum(axis=1).mean())
    return np.asarray(design_lab + stray + rng.normal(0, _BY_CHANCE, stray.shape), float)


def _waves(hue: FloatArray, rng: np.random.Generator) -> FloatArray:
    turns = np.arange(1, 4)
    return np.asarray(np.cos(hue[:, None] * turns + rng.uniform(0, 2 * np.pi, 3)) @ rng.normal(size=3), float)
