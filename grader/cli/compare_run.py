"""Where the plates of a comparison come from: folders of results, or the records."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from grader.errors import GraderError
from grader.records.comparisons import PlatesLackError
from grader.records.database.house import open_kept
from grader.records.kept_plates import kept_plates
from grader.records.plate_readings import PlateReadings, read_plates
from grader.records.shift_sources import day_begins, kitchen_zone
from grader.standard.model import Standard


class SourceUnclearError(GraderError, ValueError):
    """Folders and the records were asked for at once."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Folders of results with a table about them; without any, the records, narrowed by kitchen and days.

    Days are those of the kitchen's own clock; where none is named, of this machine's.
    """

    runs: Sequence[Path]
    about: Path | None = None
    records: str | None = None
    kitchen: str = ""
    first_day: datetime | None = None
    last_day: datetime | None = None


def plates_of(source: Source, *, standard: Standard) -> tuple[PlateReadings, ...]:
    """The plates that were asked for.

    Raises
    ------
    SourceUnclearError
        Both folders and what only the records know, or a table without folders.
    PlatesLackError
        The records hold none.
    GraderError
        See `read_plates`, `open_kept` and `day_begins`.
    """
    asked_of_records = (source.records, source.first_day, source.last_day)
    if source.runs:
        if source.kitchen or any(one is not None for one in asked_of_records):
            raise SourceUnclearError(
                "--records, --kitchen, --from and --until are about the records, and folders were given too.",
                hint="Leave the folders out, or those options.",
            )
        return read_plates(source.runs, standard=standard, about=source.about)
    if source.about is not None:
        raise SourceUnclearError(
            "A table of batches goes with folders of results; the records know what it says.",
            hint="Give folders as well, or leave --about out.",
        )
    house = open_kept(source.records)
    try:
        zone = kitchen_zone(house, source.kitchen) if source.kitchen else None
        plates = kept_plates(
            house,
            standard=standard,
            kitchen=source.kitchen,
            since=None if source.first_day is None else day_begins(source.first_day.date(), zone),
            until=None if source.last_day is None else day_begins(source.last_day.date(), zone, later=1),
        )
    finally:
        house.close()
    if not plates:
        raise PlatesLackError(
            "The records hold no plate of that kind, judged by this standard at this stage.",
            hint="Name folders of results, or look at what is kept: python -m grader records show.",
        )
    return plates
