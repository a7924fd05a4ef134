"""Plates drawn by chance, with the parts of their scatter known."""

from datetime import UTC, datetime, timedelta

import numpy as np

from grader.arrays import FloatArray
from grader.consistency.model import Count, PlateSummary

START = datetime(2026, 9, 1, 6, tzinfo=UTC)


def plate(
    number: int, batch: str, value: float | None, *, at: datetime, shares: dict[str, Count] | None = None
) -> PlateSummary:
    return PlateSummary(
        plate=f"plate {number}",
        batch=batch,
        taken_at=at,
        standard_name="invented",
        standard_version="1",
        standard_sha256="0" * 64,
        coloured=40,
        place_mean=value,
        place_shared_u=0.05,
        place_sd=None if value is None else 1.0,
        shares=shares or {},
    )


def moment(batch: int) -> datetime:
    """Three batches a day."""
    return START + timedelta(hours=8 * batch)


def plates_of(values: FloatArray, *, first: int = 0) -> list[PlateSummary]:
    """Of plates' values (batches, plates)."""
    return [
        plate(100 * batch + number, f"batch {batch}", float(value), at=moment(batch) + timedelta(minutes=number))
        for batch, row in enumerate(values, first)
        for number, value in enumerate(row)
    ]


def drawn(
    rng: np.random.Generator, levels: FloatArray, *, batches_sd: float = 0.0, plates_sd: float = 0.35, fries: int = 40
) -> FloatArray:
    """(batches, 3) means of plates; levels (batches,), all in standard deviations of a plate's fries."""
    level = levels + rng.normal(0, batches_sd, len(levels)) if batches_sd else levels
    return np.asarray(level[:, None] + rng.normal(0, np.hypot(plates_sd, 1 / np.sqrt(fries)), (len(levels), 3)), float)
