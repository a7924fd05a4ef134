"""Batches of one fryer drawn from known levels: what changes over time is held against."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

import numpy as np

from grader.arrays import FloatArray
from grader.consistency.model import Count, Event, EventKind, PlateSummary

START = datetime(2026, 9, 1, 9, tzinfo=UTC)
EVERY = timedelta(hours=4)
"""From batch to batch."""


def moment(batch: float) -> datetime:
    """When a batch is made, counted from 0; 2.5 is between the third and the fourth."""
    return START + batch * EVERY


def new_lot(before: int, name: str = "") -> Event:
    """A lot that begins with a batch, counted from 0."""
    return Event(at=moment(before - 0.5), kind=EventKind.NEW_LOT, lot=name)


def plates_of(
    levels: Sequence[float] | FloatArray,
    rng: np.random.Generator,
    *,
    plates: int = 3,
    between: float = 0.35,
    batches: float = 0.0,
    fries: int = 40,
) -> list[PlateSummary]:
    """Plates of batches with those levels; fries of a plate scatter by 1, its plates and batches by what is given."""
    drawn = []
    for batch, level in enumerate(levels):
        of_batch = level + rng.normal(0, batches) if batches else level
        for plate in range(plates):
            places = of_batch + rng.normal(0, between) + rng.normal(0, 1, fries)
            drawn.append(
                PlateSummary(
                    plate=f"{batch + 1}.{plate + 1}",
                    batch=f"batch {batch + 1}",
                    taken_at=moment(batch) + plate * timedelta(minutes=2),
                    kitchen="Quay",
                    fryer="left",
                    standard_name="house",
                    standard_version="1",
                    standard_sha256="0" * 64,
                    coloured=fries,
                    place_mean=float(places.mean()),
                    place_shared_u=0.1,
                    place_sd=float(places.std(ddof=1)),
                    shares={"dark_end": Count(k=float(rng.binomial(fries, 0.08)), n=fries)},
                )
            )
    return drawn
