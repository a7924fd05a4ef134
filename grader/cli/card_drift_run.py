"""One comparison of two cards: photo in, record kept, trend out."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from grader.card.serial import parse_serial
from grader.card_values import KnownValues, as_of
from grader.card_values.drift_log import DriftLine, add_drift, drift_file, drift_line, read_drift
from grader.card_values.drift_trend import Trend, drift_trend
from grader.card_values.twins import TwinCards, compare_twins
from grader.photo import read_photo
from grader.records.house import today


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DriftRun:
    """What one photo told, the whole record of that card, its trend, and where it is kept (None where it isn't)."""

    line: DriftLine
    twins: TwinCards
    lines: tuple[DriftLine, ...]
    trend: Trend
    file: Path | None


def compare_photo(path: Path, *, kept: str | None, on: date | None, keep: bool) -> DriftRun:
    """Compare the two cards of a photo and, if asked, add that to the record of the one in use.

    Raises
    ------
    PhotoRefused, SerialFaulty, DocumentFaulty
        The photo, the serial or the record is no good.
    OSError
        The photo can't be read, or the record not be written.
    """
    photo = read_photo(path.read_bytes(), name=path.name)
    twins = compare_twins(photo, kept=None if kept is None else parse_serial(kept))
    line = drift_line(
        twins.drift,
        day=on or as_of(KnownValues(values=(), on=today()), photo.taken_at).on,
        layout=twins.layout,
        working=twins.working,
        kept=twins.kept,
        photo=photo.name,
        sha256=photo.sha256,
    )
    file = drift_file(twins.layout, twins.working)
    lines = add_drift(file, line) if keep else (*read_drift(file), line)
    trend = drift_trend([one.point for one in lines])
    return DriftRun(line=line, twins=twins, lines=lines, trend=trend, file=file if keep else None)
