"""One comparison of a card in use with its twin: photo in, record kept, trend and words out."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from grader.card.serial import parse_serial
from grader.card_values import as_of
from grader.card_values.drift_log import (
    DriftLine,
    PatchLine,
    add_drift,
    drift_file,
    drift_line,
    read_drift,
    with_drift,
)
from grader.card_values.drift_trend import LIMIT_DE, Condition, Trend, drift_trend
from grader.card_values.twins import TwinCards, compare_twins
from grader.photo import read_photo
from grader.records.house import known_today
from grader.records.json_values import Json, number

_SHOWN = 5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DriftRun:
    """What one photo told, the whole record of that card, its trend, and where it is kept (None where it isn't)."""

    line: DriftLine
    twins: TwinCards
    lines: tuple[DriftLine, ...]
    trend: Trend
    file: Path | None


def compare_photo(data: bytes, *, name: str, kept: str | None, on: date | None, keep: bool) -> DriftRun:
    """Compare the two cards of a photo and, if asked, add that to the record of the one in use.

    Raises
    ------
    PhotoRefused, SerialFaulty, DocumentFaulty
        The photo, the serial or the record is no good.
    OSError
        The record can't be written.
    """
    photo = read_photo(data, name=name)
    known = as_of(known_today(), photo.taken_at)
    twins = compare_twins(photo, kept=None if kept is None else parse_serial(kept), known=known)
    line = drift_line(
        twins.drift,
        day=on or known.on,
        layout=twins.layout,
        working=twins.working,
        kept=twins.kept,
        photo=photo.name,
        sha256=photo.sha256,
    )
    file = drift_file(twins.layout, twins.working)
    lines = add_drift(file, line) if keep else with_drift(read_drift(file), line)
    trend = drift_trend([one.point for one in lines])
    return DriftRun(line=line, twins=twins, lines=lines, trend=trend, file=file if keep else None)


def drift_lines(run: DriftRun) -> list[str]:
    """A comparison in words: the verdict first."""
    return list(_lines(run))


def _lines(run: DriftRun) -> Iterator[str]:
    trend, line = run.trend, run.line
    whose = line.working or f"The card ({line.layout}, its serial can't be read)"
    yield f"{whose}: {trend.words}."
    yield (
        f"  {line.day.isoformat()}: {line.mean_de:.2f} ± {line.mean_de_u:.2f} CIE 2000 units from the kept card (mean,"
        f" u with k = 1); beyond {LIMIT_DE:g} it is to be printed anew"
    )
    if trend.a_year_de is not None:
        yield f"  {len(run.lines)} comparisons: {trend.a_year_de:+.2f} ± {trend.a_year_de_u:.2f} a year"
    else:
        yield f"  {len(run.lines)} of the 3 comparisons, on different days, that a trend needs"
    for patch in _most(run):
        yield (
            f"  patch {patch.number}: {patch.de:.1f} ± {patch.de_u:.1f}"
            f" (dL {patch.dl:+.1f}, da {patch.da:+.1f}, db {patch.db:+.1f})"
        )
    yield f"  paper: da {line.paper_da:+.1f}, db {line.paper_db:+.1f}"
    if trend.condition is Condition.PRINT_ANEW:
        yield "Print new cards, keep one of them in the dark, and have one measured."
    if run.file is not None:
        yield f"Kept in {run.file}"


def _most(run: DriftRun) -> list[PatchLine]:
    return sorted((one for one in run.line.patches if one.usable), key=lambda one: -one.de)[:_SHOWN]


def drift_record(run: DriftRun) -> Json:
    """A comparison ready for JSON."""
    trend = run.trend
    return {
        "condition": trend.condition.value,
        "now_de": number(trend.now_de),
        "now_de_u": number(trend.now_de_u),
        "a_year_de": number(trend.a_year_de),
        "a_year_de_u": number(trend.a_year_de_u),
        "anew_by": None if trend.anew_by is None else trend.anew_by.isoformat(),
        "limit_de": LIMIT_DE,
        "comparison": run.line.model_dump(mode="json"),
        "comparisons": len(run.lines),
    }
