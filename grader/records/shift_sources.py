"""Where plates and events of a chart come from: folders of results, or the records."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from pathlib import Path

from sqlalchemy import select

from grader.consistency.batches import Measure
from grader.consistency.change_words import Clock
from grader.consistency.model import Event, PlateSummary
from grader.consistency.shift_watch import Line, Period, lines_of
from grader.errors import GraderError
from grader.records.database.house import House
from grader.records.database.house_tables import Kitchen
from grader.records.database.newest import newest, thing_id
from grader.records.database.plate_tables import Plate
from grader.records.database.reading import Wanted, chart_plates
from grader.records.database.setting import zone_called
from grader.records.database.watching import events_between
from grader.records.plate_readings import read_plates
from grader.records.readings import standard_record
from grader.records.shift_baselines import chart_name
from grader.records.shift_plates import read_events, shift_plates
from grader.standard.model import Standard


class LineUnclearError(GraderError, ValueError):
    """There is no plate to chart, or of several fryers nobody said which."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShiftSource:
    """Plates, the earliest first, and events; `names` is what people call plates, where the key is no name."""

    plates: tuple[PlateSummary, ...]
    events: tuple[Event, ...]
    names: Mapping[str, str] = field(default_factory=dict)

    def name(self, plate: str) -> str:
        """What a plate is called."""
        return self.names.get(plate, plate)


def from_runs(
    folders: Sequence[Path], *, standard: Standard, about: Path | None, events: Path | None, zone: tzinfo | None
) -> ShiftSource:
    """Of folders into which `grade` wrote; see `read_plates`, `shift_plates` and `read_events` for what is raised."""
    readings = read_plates(folders, standard=standard, about=about)
    return ShiftSource(
        plates=shift_plates(readings, standard=standard),
        events=() if events is None else read_events(events, zone=zone),
        names={plate.sha256: f"{plate.batch_key} / {plate.photo}" for plate in readings},
    )


def from_house(house: House, wanted: Wanted, *, standard: Standard) -> ShiftSource:
    """Of the records: plates by a standard's values and stage, with the kitchen's events."""
    sha256 = standard_record(standard)["sha256"]
    plates = chart_plates(house, wanted, standard_sha256=sha256, stage=standard.stage)
    return ShiftSource(
        plates=plates,
        events=events_between(house, Wanted(kitchen=wanted.kitchen)),
        names={plate.plate: f"plate {plate.plate}" for plate in plates},
    )


def kitchen_names(house: House) -> tuple[str, ...]:
    """All kitchens in the records, in the order of the alphabet."""
    with house.reading() as connection:
        return tuple(connection.scalars(select(Kitchen.name).where(newest(Kitchen)).order_by(Kitchen.name)))


def kitchen_zone(house: House, kitchen: str) -> tzinfo | None:
    """The time zone of a kitchen that is in the records."""
    with house.reading() as connection:
        name = connection.scalar(select(Kitchen.zone).where(newest(Kitchen), Kitchen.name == kitchen))
    return None if name is None else zone_called(name)


def photos_of(house: House, plates: Sequence[PlateSummary]) -> dict[str, str]:
    """The SHA-256 of the photo of each plate, by the plate's key; plates that aren't of the records are left out."""
    ids = [int(plate.plate) for plate in plates if plate.plate.isdecimal()]
    asked = select(thing_id(Plate), Plate.photo_sha256).where(newest(Plate), thing_id(Plate).in_(ids))
    with house.reading() as connection:
        return {str(plate): sha256 for plate, sha256 in connection.execute(asked)}


def one_line(source: ShiftSource, *, kitchen: str = "", fryer: str = "") -> tuple[PlateSummary, ...]:
    """The plates of the one line that is meant.

    Raises
    ------
    LineUnclearError
        There is none, or there are several.
    """
    lines = {
        line: plates
        for line, plates in lines_of(source.plates).items()
        if kitchen in {"", line.kitchen} and fryer in {"", line.fryer}
    }
    if not lines:
        raise LineUnclearError(
            "There is no plate to chart.",
            hint="Check the names of kitchen and fryer, and that plates were judged by this standard at this stage.",
        )
    if len(lines) > 1:
        raise LineUnclearError(
            f"There are plates of {len(lines)} lines: {'; '.join(line.words for line in lines)}.",
            hint="Each fryer has a chart of its own: say which with --kitchen and --fryer.",
        )
    return next(iter(lines.values()))


def baseline_chart(plates: Sequence[PlateSummary], measure: Measure) -> str:
    """The name under which a line's baselines are kept."""
    first = plates[0]
    line = Line(kitchen=first.kitchen, fryer=first.fryer)
    return chart_name(line, measure, standard_sha256=first.standard_sha256, stage=first.stage)


def kitchen_clock(zone: tzinfo | None) -> Clock:
    """Moments as a kitchen writes them; None: by this machine's time zone."""

    def clock(at: datetime) -> str:
        here = at.astimezone(zone)
        return f"{here.day} {here:%b %H:%M}"

    return clock


def period_of(first: date, last: date, zone: tzinfo | None) -> Period:
    """From the start of one day to the end of another by a kitchen's clock; None: by this machine's time zone.

    Raises
    ------
    GraderError
        See `day_begins`.
    """
    return day_begins(first, zone), day_begins(last, zone, later=1) - timedelta(microseconds=1)


def day_begins(day: date, zone: tzinfo | None, *, later: int = 0) -> datetime:
    """The moment, UTC, at which a day begins by a kitchen's clock, or one so many days later.

    Raises
    ------
    GraderError
        That is before the first day that can be reckoned with, or after the last.
    """
    try:
        return datetime.combine(day + timedelta(days=later), time(), zone).astimezone(UTC)
    except (OverflowError, ValueError) as error:
        raise GraderError(f"The day {day.isoformat()} is too far off.", hint="Name one nearer to today.") from error
