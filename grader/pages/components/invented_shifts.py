"""An example for those whose records are empty: eight weeks of a fryer that nobody has, drawn by chance."""

from datetime import UTC, datetime, timedelta

import numpy as np

from grader.consistency.model import Count, Event, EventKind, PlateSummary
from grader.records.readings import standard_record
from grader.records.shift_sources import ShiftSource
from grader.standard.model import Standard

_START = datetime(2026, 9, 7, 10, tzinfo=UTC)
_EVERY = timedelta(hours=12)
_PLATES, _FRIES, _BATCHES = 3, 40, 56
_LOT, _OIL, _HOTTER = 30, 42, 50
"""Before which batch a lot and an oil begin, and from which on somebody fries too long, all counted from 0."""


def invented_shifts(standard: Standard) -> ShiftSource:
    """The same plates each time, about the middle of the standard's target."""
    rng = np.random.default_rng(20)
    sha256 = standard_record(standard)["sha256"]
    middle = (standard.scale.target_from + standard.scale.target_to) / 2
    plates = []
    for batch in range(_BATCHES):
        level = middle + 0.45 * (_LOT <= batch < _OIL) + 0.6 * (batch >= _HOTTER)
        for number in range(_PLATES):
            places = level + rng.normal(0, 0.15) + rng.normal(0, 0.4, _FRIES)
            plates.append(
                PlateSummary(
                    plate=f"plate {batch + 1}.{number + 1}",
                    batch=f"batch {batch + 1}",
                    taken_at=_START + batch * _EVERY + number * timedelta(minutes=3),
                    kitchen="Invented kitchen",
                    fryer="left",
                    stage=standard.stage,
                    standard_name=standard.name,
                    standard_version=standard.version,
                    standard_sha256=sha256,
                    coloured=_FRIES,
                    place_mean=float(places.mean()),
                    place_shared_u=0.15,
                    place_sd=float(places.std(ddof=1)),
                    measured=_FRIES,
                    length_mean_mm=float(rng.normal(78, 2)),
                    length_sd_mm=12.0,
                    shares={"dark_end": Count(k=float(rng.binomial(_FRIES, rng.beta(3, 37))), n=_FRIES)},
                )
            )
    events = (
        Event(at=_before(_LOT), kind=EventKind.NEW_LOT, lot="A-112", words="invented"),
        Event(at=_before(_OIL), kind=EventKind.OIL_CHANGED, words="invented"),
    )
    return ShiftSource(plates=tuple(plates), events=events)


def _before(batch: int) -> datetime:
    return _START + batch * _EVERY - timedelta(hours=2)
