"""Plates drawn from known groups, batches and fries: what comparisons and capabilities are held against."""

from collections.abc import Sequence

import numpy as np

from grader.consistency.capability import SpreadPlate
from grader.consistency.comparing import GroupedPlate


def grouped(
    rng: np.random.Generator,
    means: Sequence[float],
    batches: Sequence[int],
    *,
    sds: tuple[float, float, float],
    plates: tuple[int, int] = (1, 3),
) -> list[GroupedPlate]:
    """Of each group so many batches of unequal numbers of plates; standard deviations of batches, plates, fries."""
    drawn = []
    for group, (mean, count) in enumerate(zip(means, batches, strict=True)):
        for batch in range(count):
            of_batch = mean + rng.normal(0, sds[0])
            for _ in range(rng.integers(plates[0], plates[1] + 1)):
                fries_u = sds[2] / np.sqrt(rng.integers(20, 60))
                value = of_batch + rng.normal(0, sds[1]) + rng.normal(0, fries_u)
                drawn.append(GroupedPlate(group="ABCDEF"[group], batch=str(batch), value=value, fries_u=fries_u))
    return drawn


def spread(
    rng: np.random.Generator, mean: float, *, batches: int, plates: int, sds: tuple[float, float, float]
) -> list[SpreadPlate]:
    """Plates of one kitchen, now and then one fewer in a batch; standard deviations of batches, plates, fries."""
    drawn = []
    for batch in range(batches):
        of_batch = mean + rng.normal(0, sds[0])
        for _ in range(plates if batch == 0 or rng.random() < 0.7 else max(1, plates - 1)):
            fries = of_batch + rng.normal(0, sds[1]) + rng.normal(0, sds[2], rng.integers(30, 60))
            drawn.append(
                SpreadPlate(batch=str(batch), mean=float(fries.mean()), sd=float(fries.std(ddof=1)), fries=len(fries))
            )
    return drawn
