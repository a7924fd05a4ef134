"""Plates and events as charts want them: of runs on disk, and of a table that says what happened when."""

from collections.abc import Sequence
from datetime import UTC, datetime, tzinfo
from pathlib import Path

from grader.consistency.model import Event, EventKind, PlateSummary
from grader.counted import first_of
from grader.errors import GraderError
from grader.records.plate_readings import PlateReadings
from grader.records.readings import standard_record
from grader.standard.model import Standard
from grader.trueness.tables import Row, read_rows


class TimesUnknownError(GraderError, ValueError):
    """Plates that nobody knows the time of can't stand on a chart over time."""


def shift_plates(readings: Sequence[PlateReadings], *, standard: Standard) -> tuple[PlateSummary, ...]:
    """Plates of runs, the earliest first.

    Raises
    ------
    TimesUnknownError
        Photos don't say when they were taken, and nobody else did.
    """
    timeless = [plate.photo for plate in readings if plate.taken_at is None]
    if timeless:
        raise TimesUnknownError(
            f"Nobody knows when these photos were taken: {first_of(timeless)}.",
            hint="Give --about a table with the columns batch and taken_at (2026-09-14 18:20), a line for each batch.",
        )
    record = standard_record(standard)
    summaries = [
        _summary(plate, at, standard, record["sha256"])
        for plate, at in ((plate, plate.taken_at) for plate in readings)
        if at is not None
    ]
    return tuple(sorted(summaries, key=lambda plate: plate.taken_at))


def _summary(plate: PlateReadings, at: datetime, standard: Standard, sha256: str) -> PlateSummary:
    place, length = plate.means.get("place"), plate.means.get("length")
    return PlateSummary(
        plate=plate.sha256,
        batch=plate.batch_key,
        taken_at=at,
        kitchen=plate.about.get("kitchen", ""),
        station=plate.about.get("station", ""),
        fryer=plate.about.get("fryer", ""),
        shift=plate.about.get("shift", ""),
        lot=plate.about.get("lot", ""),
        supplier=plate.about.get("supplier", ""),
        stage=standard.stage,
        standard_name=standard.name,
        standard_version=standard.version,
        standard_sha256=sha256,
        coloured=0 if place is None else place.fries,
        place_mean=None if place is None else place.mean,
        place_shared_u=None if place is None else place.shared_u,
        place_sd=None if place is None else place.sd,
        measured=0 if length is None else length.fries,
        length_mean_mm=None if length is None else length.mean,
        length_sd_mm=None if length is None else length.sd,
        shares=plate.shares,
    )


def read_events(path: Path, *, zone: tzinfo | None) -> tuple[Event, ...]:
    """The events of a CSV table: at, kind, and any of kitchen, fryer, lot, words.

    Times without an offset are of `zone` (None: this machine's).

    Raises
    ------
    DocumentFaulty
        With all faults of the table.
    OSError
        It can't be read.
    """
    hint = "Correct the table; its first line names columns."
    return read_rows(path, ("at", "kind"), lambda row: _event(row, zone), hint=hint)


def _event(row: Row, zone: tzinfo | None) -> Event | None:
    at, kind = moment(row.text("at"), zone), row.choice("kind", tuple(EventKind))
    if at is None:
        row.fault("at", f'is "{row.text("at")}"; it must be a time like 2026-09-14 18:20')
    if at is None or kind is None:
        return None
    told = {key: row.text(key) for key in ("kitchen", "fryer", "lot", "words")}
    return Event(at=at, kind=EventKind(kind), **told)


def moment(text: str, zone: tzinfo | None) -> datetime | None:
    """A time as people write it, in UTC; None where it is none. Without an offset it is of `zone` (None: here)."""
    try:
        at = datetime.fromisoformat(text)
        return (at if at.tzinfo is not None else at.replace(tzinfo=zone)).astimezone(UTC)
    except (ValueError, OverflowError):  # the latter for the first and last days that there are
        return None
